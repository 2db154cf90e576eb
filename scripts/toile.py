#!/usr/bin/env python3
"""Pocket Toile on the command line: sets itself up once in .venv, then runs the verb.

    python3 scripts/toile.py fit my_doll.stl --height 42cm
    python3 scripts/toile.py help

Standard library only, for any Python from 3.8 on; what the verbs need is installed from the pinned lists beside
this file.
"""

import contextlib
import os
import subprocess
import sys

from blenders import chosen_blenders, test_each
from environments import ROOT, main_environment, surroundings
from telling import SetUpError

AGREED = "--yes"  # system libraries may be installed unasked


def main(words):
    """Set up what the verb needs, then hand over to it; returns its exit status."""
    agreed, words = AGREED in words, [word for word in words if word != AGREED]
    verb, rest = (words[0], words[1:]) if words else ("help", [])
    try:
        blenders, rest = chosen_blenders(rest) if verb == "test" else ([], rest)
        if blenders:
            return test_each(blenders, rest, agreed)
        environment = main_environment(verb == "test", agreed)
    except SetUpError as error:
        return told(error, 2)
    except OSError as error:
        return told(f"the set-up could not go on: {error.filename or 'this machine'}: {error.strerror}", 2)
    except KeyboardInterrupt:
        return told("stopped; call again, and what is not whole is set up anew.", 130)
    if verb == "test":
        os.chdir(ROOT)
    return hand_over(*calling(environment, verb, rest))


def calling(environment, verb, rest):
    """The command that runs a verb in the environment's Python, and the variables that it runs with."""
    scripts = {"test": ["-m", "pytest"], "zip": [str(ROOT / "scripts" / "build_extension.py")]}
    words = scripts.get(verb, ["-m", "addon.commands", verb])
    return [str(environment.python), "-P", *words, *rest], surroundings(environment)


def hand_over(command, variables):
    """Run this command in place of this process where the system can."""
    if os.name == "nt":
        return subprocess.run(command, env=variables, check=False).returncode
    return os.execve(command[0], command, variables)  # never returns


def told(line, status):
    """Say why it ends, with which status."""
    with contextlib.suppress(OSError, ValueError):
        print(f"toile: {line}", file=sys.stderr)
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
