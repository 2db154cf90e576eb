"""The command line's one edge: reads the words, runs the verb, turns every error into a line and a status."""

from __future__ import annotations

import signal
import sys
import traceback
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, nullcontext
from types import FrameType

from drafting.errors import ToileError
from drafting.files import writing_alone
from drafting.scratch import workplace

from .help import overview
from .progress import Progress
from .quiet import quiet
from .spelling import spelled
from .streams import Unheard, complain, open_streams, silence, speak

# As shells count: 128 and the number of the signal, for Ctrl-C and for a pipe that nobody reads.
BAD_INPUT, FAULT, STOPPED, UNHEARD = 2, 1, 130, 141


class Ended(KeyboardInterrupt):
    """Another process asked this one to end; everything is put away as after Ctrl-C."""


def main(words: Sequence[str]) -> int:
    """Run one verb; returns the exit status."""
    try:
        return _edge(words)
    finally:
        silence()


def _edge(words: Sequence[str]) -> int:
    """Run one verb; every error is a line."""
    try:
        open_streams()
        with _ended_by_signals():
            _run(words)
        return 0
    except Unheard:
        return UNHEARD
    except ToileError as error:
        return _say(" ".join(spelled(error).split()), BAD_INPUT)
    except Ended as ended:
        return _say("stopped; nothing was written.", 128 + int(ended.args[0]))
    except KeyboardInterrupt:
        return _say("stopped; nothing was written.", STOPPED)
    except OSError as error:  # the system refuses a file or a folder: what it says is the reason
        if "--traceback" in words:
            traceback.print_exc()
        what = error.filename if isinstance(error.filename, str) else "this machine"
        return _say(f"{_short(what)} cannot be used: {error.strerror or error}; choose another.", BAD_INPUT)
    except Exception as error:  # noqa: BLE001  the last edge: told, with a status of its own, never swallowed
        if "--traceback" in words:
            traceback.print_exc()
        return _say(
            f"this is a fault of Pocket Toile, not yours ({type(error).__name__}: {error}); "
            "call again with --traceback to see where, and report it.",
            FAULT,
        )


def _run(words: Sequence[str]) -> None:
    """Read the request first: a wrong word must not wait for Blender to load."""
    if not words or words[0] in {"help", "--help", "-h"}:
        speak(f"{overview()}\n")
        return
    from .request import read_request

    try:
        request = read_request(words)
    except SystemExit:  # its page was shown
        speak("")
        return
    loud = "--traceback" in words
    with workplace(), writing_alone(request.out):
        from .verbs import RUN

        with nullcontext() if loud else quiet(), Progress() as progress:
            said = RUN[request.verb](request, progress)
    speak(f"{said}\n")


@contextmanager
def _ended_by_signals() -> Iterator[None]:
    """What ends a process at once ends it as Ctrl-C does: children too, and no temporary file stays."""

    def end(number: int, frame: FrameType | None) -> None:
        raise Ended(number)

    names = [name for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    numbers = [getattr(signal, name) for name in names if signal.getsignal(getattr(signal, name)) == signal.SIG_DFL]
    for number in numbers:
        signal.signal(number, end)
    try:
        yield
    finally:
        for number in numbers:
            signal.signal(number, signal.SIG_DFL)


def _short(path: str) -> str:
    """A path as it is, or its two ends where it is very long."""
    return path if len(path) <= 120 else f"{path[:60]}...{path[-40:]}"


def _say(line: str, status: int) -> int:
    """One line on standard error."""
    complain(f"toile: {line}")
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
