"""What was done and what went wrong, one line each, for the panel; it lives as long as Blender is open."""

from __future__ import annotations

import time
from collections import deque
from dataclasses import dataclass

MOST_LINES = 30


@dataclass(frozen=True)
class Line:
    """One thing that was said; `wrong` where it was an error."""

    at: str
    text: str
    wrong: bool = False


lines: deque[Line] = deque(maxlen=MOST_LINES)


def say(text: str, wrong: bool = False) -> None:
    """Add a line."""
    lines.append(Line(time.strftime("%H:%M"), " ".join(text.split()), wrong))


def last() -> Line | None:
    """The newest line."""
    return lines[-1] if lines else None
