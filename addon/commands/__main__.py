"""The command line's one edge: reads the words, runs the verb, turns every error into a line and a status."""

from __future__ import annotations

import sys
import traceback
from collections.abc import Sequence
from contextlib import nullcontext

from drafting.errors import ToileError

from .help import overview
from .progress import Progress
from .quiet import quiet
from .spelling import spelled

BAD_INPUT, FAULT, STOPPED = 2, 1, 130


def main(words: Sequence[str]) -> int:
    """Run one verb; returns the exit status."""
    try:
        if not words or words[0] in {"help", "--help", "-h"}:
            print(overview())
            return 0
        return _run(words)
    except ToileError as error:
        return _say(" ".join(spelled(error).split()), BAD_INPUT)
    except KeyboardInterrupt:
        return _say("stopped; nothing was written.", STOPPED)
    except Exception as error:  # noqa: BLE001  the last edge: told, with a status of its own, never swallowed
        if "--traceback" in words:
            traceback.print_exc()
        return _say(
            f"this is a fault of Pocket Toile, not yours ({type(error).__name__}: {error}); "
            "call again with --traceback to see where, and report it.",
            FAULT,
        )


def _run(words: Sequence[str]) -> int:
    """Read the request first: a wrong word must not wait for Blender to load."""
    from .request import read_request

    request = read_request(words)
    from .verbs import RUN

    loud = "--traceback" in words
    with nullcontext() if loud else quiet(), Progress() as progress:
        said = RUN[request.verb](request, progress)
    print(said)
    return 0


def _say(line: str, status: int) -> int:
    """One line on standard error."""
    print(f"toile: {line}", file=sys.stderr)
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
