#!/usr/bin/env python3
"""Pocket Toile on the command line: sets itself up once in .venv, then runs the verb.

    python3 scripts/toile.py fit my_doll.stl --height 42cm
    python3 scripts/toile.py help

Standard library only, for any Python from 3.8 on; what the verbs need is installed from the pinned lists beside
this file.
"""

import os
import subprocess
import sys

from blenders import chosen_blenders, test_each
from environments import ROOT, SetUpError, main_environment, surroundings


def main(words):
    """Set up what the verb needs, then hand over to it; returns its exit status."""
    verb, rest = (words[0], words[1:]) if words else ("help", [])
    try:
        blenders, rest = chosen_blenders(rest) if verb == "test" else ([], rest)
        if blenders:
            return test_each(blenders, rest)
        environment = main_environment(test=verb == "test")
    except SetUpError as error:
        print(f"toile: {error}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("toile: stopped; the set-up goes on where it was when you call again.", file=sys.stderr)
        return 130
    if verb == "test":
        os.chdir(ROOT)
        return hand_over(environment, ["-m", "pytest", *rest])
    if verb == "zip":
        return hand_over(environment, [str(ROOT / "scripts" / "build_extension.py"), *rest])
    return hand_over(environment, ["-m", "addon.commands", verb, *rest])


def hand_over(environment, words):
    """Run the environment's Python with these words, in place of this one where the system can."""
    command = [str(environment.python), *words]
    if os.name == "nt":
        return subprocess.run(command, env=surroundings(environment), check=False).returncode
    sys.stdout.flush()
    return os.execve(command[0], command, surroundings(environment))  # never returns


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
