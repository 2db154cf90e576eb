"""The tests with several versions of Blender's module, each in an environment of its own, and one closing table.

    python3 scripts/toile.py test --all-blenders -m "not drape"
    python3 scripts/toile.py test --blender 4.2 --blender 5.2 tests/test_operators.py

Standard library only, for any Python from 3.8 on.
"""

import subprocess
import time
from xml.etree import ElementTree

from environments import BLENDERS, ROOT, blender_environment, surroundings
from telling import SetUpError, say

HEAD = ("Blender", "Python", "passed", "failed", "skipped", "time")


def chosen_blenders(words):
    """The versions that `--all-blenders` or `--blender 4.2` (once for each) ask for, and the words for pytest."""
    chosen, rest, left = [], [], iter(words)
    for word in left:
        if word == "--all-blenders":
            chosen += BLENDERS
        elif word == "--blender":
            chosen.append(next(left, ""))
        else:
            rest.append(word)
    for blender in chosen:
        if blender not in BLENDERS:
            raise SetUpError(f'--blender "{blender}": one of {", ".join(BLENDERS)} is expected')
    return sorted(set(chosen)), rest


def test_each(blenders, words, agreed):
    """Run pytest with each of these Blenders and close with the table; returns 1 if any of them failed.

    A Blender whose Python this machine lacks is told in its row and is no failure, unless none could be run.
    """
    rows = [test_one(blender, words, agreed) for blender in blenders]
    say("\n" + table([HEAD, *(row for row, _ in rows)]))
    return 1 if "failed" in (ends := {end for _, end in rows}) or ends == {"lacking"} else 0


def test_one(blender, words, agreed):
    """One Blender's row of the table, and its end: "passed", "failed" or "lacking"."""
    begun = time.monotonic()
    say(f"\n== Blender {blender}, Python {BLENDERS[blender]}")
    try:
        environment = blender_environment(blender, agreed)
    except SetUpError as error:
        say(f"not run: {error}")
        return (blender, BLENDERS[blender], "not run:", str(error).split(";")[0], "", ""), "lacking"
    report = environment.folder / "report.xml"
    report.unlink(missing_ok=True)
    command = [str(environment.python), "-m", "pytest", f"--junitxml={report}", *words]
    status = subprocess.run(command, cwd=ROOT, env=surroundings(environment), check=False).returncode
    minutes, seconds = divmod(round(time.monotonic() - begun), 60)
    row = (blender, BLENDERS[blender], *counts(report), f"{minutes}:{seconds:02d}")
    return (row if status in (0, 1) else (*row, f"ended with {status}")), "failed" if status else "passed"


def counts(report):
    """Passed, failed and skipped tests of a report in the form that pytest's --junitxml writes; "?" where none is."""
    if not report.exists():
        return "?", "?", "?"
    suite = ElementTree.parse(report).getroot().find("testsuite")
    total, failures, errors, skipped = (int(suite.get(key)) for key in ("tests", "failures", "errors", "skipped"))
    return str(total - failures - errors - skipped), str(failures + errors), str(skipped)


def table(rows):
    """Rows of texts as lines, set in columns."""
    widths = [max(len(row[index]) for row in rows if len(row) > index) for index in range(max(map(len, rows)))]
    lines = ("  ".join(text.ljust(widths[index]) for index, text in enumerate(row)) for row in rows)
    return "\n".join(line.rstrip() for line in lines)
