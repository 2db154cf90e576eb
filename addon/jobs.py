"""Long work, a step at a time: at most one job goes on, and it can be stopped at any step.

A window takes a step of the work at each tick of a timer; a script or a test runs it to its end.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Generator
from dataclasses import dataclass
from typing import Any

import bpy

from . import bridge
from .steps import Seen, Step

WINDOW = 40  # advances by which the seconds left are told
MINUTES_FROM = 90.0  # s
LEAST_ADVANCES, LEAST_SECONDS = 3, 1.0  # before that nothing is told of the time left


class Clock:
    """How long it still takes, from the pace of the last advances."""

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        """Start."""
        self._now = now
        self._advances: deque[tuple[float, float]] = deque([(now(), 0.0)], maxlen=WINDOW)

    def left(self, share: float) -> float | None:
        """Seconds left once `share` of the work is done; None while that cannot be told."""
        now = self._now()
        if share > self._advances[-1][1]:
            self._advances.append((now, share))
        (begun, before), (last, done) = self._advances[0], self._advances[-1]
        if len(self._advances) <= LEAST_ADVANCES or last - begun < LEAST_SECONDS:
            return None
        return max(0.0, (1.0 - done) * (last - begun) / (done - before) - (now - last))


@dataclass
class Job:
    """The work that goes on.

    Attributes
    ----------
    name : str
        The step of the road that it belongs to.
    last : Step
        What it told last.
    seen : Seen or None
        What it showed last.
    shown : Seen or None
        What of that is in the view: it is drawn once what it stands in for is hidden.
    left : float or None
        Seconds left, where that can be told.
    """

    name: str
    work: Generator[Step, None, Any]
    last: Step
    seen: Seen | None = None
    shown: Seen | None = None
    left: float | None = None
    slowest: float = 0.0

    def __post_init__(self) -> None:
        """Start the clock."""
        self._clock, self._begun = Clock(), time.monotonic()

    def step(self) -> None:
        """One step on; StopIteration with the value at the end."""
        begun = time.perf_counter()
        try:
            self.last = next(self.work)
        finally:
            self.slowest = max(self.slowest, time.perf_counter() - begun)
        self.seen = self.last.seen or self.seen
        self.left = self._clock.left(self.last.share)

    def seconds(self) -> float:
        """How long it has gone on, by the clock."""
        return time.monotonic() - self._begun

    def how_far(self) -> str:
        """The share done and the time left."""
        left = "" if self.left is None else f", about {in_words(self.left)} left"
        return f"{self.last.share:.0%}{left}"

    def words(self) -> str:
        """Stage, share and time left, in one line."""
        return f"{self.last.stage}, {self.how_far()}"


def in_words(seconds: float) -> str:
    """A time as one says it: seconds up to a minute and a half, then minutes."""
    return f"{seconds:.0f} s" if seconds < MINUTES_FROM else f"{seconds / 60.0:.0f} min"


_going: list[Job] = []


def current() -> Job | None:
    """The job that goes on, if any."""
    return _going[0] if _going else None


def start(name: str, work: Generator[Step, None, Any]) -> Job:
    """Make this the job that goes on; one that went on before is stopped."""
    stop()
    _going.append(Job(name, work, Step("beginning", 0.0)))
    return _going[0]


def stop() -> bool:
    """Stop the job that goes on and let it put its things away; False where there is none."""
    if not _going:
        return False
    _going.pop().work.close()
    return True


@bpy.app.handlers.persistent
def _stop_first(*_: object) -> None:
    """Before a file is opened, or the past is restored, nothing of ours may hold on to the scene."""
    stop()


@bpy.app.handlers.persistent
def _tidy_up(*_: object) -> None:
    """After a file was opened: rooms that were saved with it go."""
    bridge.clear_rooms()


HANDLERS = {"load_pre": _stop_first, "undo_pre": _stop_first, "redo_pre": _stop_first, "load_post": _tidy_up}


def register() -> None:
    """Stop work before its scene goes away, and tidy up after a file was opened."""
    for name, handler in HANDLERS.items():
        getattr(bpy.app.handlers, name).append(handler)


def unregister() -> None:
    """Stop what goes on, and watch no more."""
    stop()
    for name, handler in HANDLERS.items():
        getattr(bpy.app.handlers, name).remove(handler)
