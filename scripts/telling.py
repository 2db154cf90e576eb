"""What the set-up says: a line at once, and errors in a line."""

import os
import sys


class SetUpError(Exception):
    """What the maker must do before the verbs can run, in one line."""


def say(line):
    """A line of progress, at once; work goes on where nobody can hear it."""
    try:
        print(line, flush=True)
    except (OSError, ValueError):
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115 - as long as the process lives


def last_line(text):
    """The last line that says something."""
    lines = [line for line in text.splitlines() if line.strip()]
    return lines[-1].strip() if lines else "no reason given"
