"""Standard streams: closed, full, or heard by nobody any more."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from typing import TextIO

from drafting.errors import OutputError


class Unheard(Exception):  # noqa: N818 - no mistake: whoever listened has heard enough
    """Nobody reads what is said any more (broken pipe)."""


def open_streams() -> None:
    """Make sure that there are three: a closed one leads nowhere, so that no result is opened under its number.

    Raises
    ------
    OutputError
        Standard output is closed: there is no way to say how it goes.
    """
    deaf = sys.stdout is None
    for number in range(3):
        if not _is_open(number):
            os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free: this one
    sys.stdout = sys.stdout or os.fdopen(1, "w", closefd=False)
    sys.stderr = sys.stderr or os.fdopen(2, "w", closefd=False)
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError):  # a stand-in for a terminal may lack it
            stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    if deaf:
        raise OutputError("standard output is closed: nothing can be told; call again with somewhere to write to")


def speak(text: str, stream: TextIO | None = None) -> None:
    """Write a text at once, on standard output or another stream.

    Raises
    ------
    Unheard
        Whoever listened is gone.
    OutputError
        It cannot be written for another reason, such as a full disk.
    """
    stream = stream or sys.stdout
    try:
        stream.write(text)
        stream.flush()
    except BrokenPipeError:
        raise Unheard from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise OutputError(f"standard output cannot be written: {reason}; make room, or write elsewhere") from None


def complain(line: str) -> None:
    """One line on standard error, where that can be written."""
    with suppress(OSError, ValueError):
        print(line, file=sys.stderr, flush=True)


def silence() -> None:
    """Let what could not be written go nowhere, so that Python does not try once more at its end."""
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (OSError, ValueError):
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, stream.fileno())
            os.close(nowhere)


def _is_open(number: int) -> bool:
    try:
        os.fstat(number)
    except OSError:
        return False
    return True
