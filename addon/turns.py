"""Whose turn it is while work goes on in a window: the work's or the picture's, never both in one.

A turn of Blender's loop ends with its drawing. Where a graphics card draws this costs nothing; where the processor
draws, a view takes as long as a piece of work, and the two together are felt. So a turn that draws does no work, and
neither does one after a turn that drew slowly: Blender may have more to draw.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from enum import Enum

SLOW = 0.1  # s; a turn whose drawing took longer is followed by one without work
# Turns in a row: Blender draws a changed view eight times, ever smoother; then work goes on all the same.
MOST_WAITS = 12
TELLING = 0.25  # s between two looks at how far the work is


class Turn(Enum):
    """What a turn is for."""

    WORK = "work"
    SHOW = "show"
    WAIT = "wait"


class Turns:
    """Shares out the turns of one job."""

    def __init__(self, now: Callable[[], float] = time.perf_counter) -> None:
        """The first turn shows that work has begun."""
        self._now = now
        self._ended, self._waited = now(), 0
        self._shown, self._drawing = -math.inf, 0.0
        self._asked: float | None = None  # when the picture that is not yet drawn to its end was asked for

    def next(self) -> Turn:
        """What the turn that begins now is for."""
        now = self._now()
        away = now - self._ended
        if away > SLOW and self._waited < MOST_WAITS:
            self._waited += 1
            return Turn.WAIT
        if self._asked is not None:
            self._drawing, self._shown, self._asked = now - self._asked, now, None
        if now - self._shown >= max(TELLING, self._drawing):  # drawing takes no more than half of the time
            self._asked = now
            return Turn.SHOW
        self._waited = 0
        return Turn.WORK

    def end(self) -> None:
        """The turn is over: now Blender draws."""
        self._ended = self._now()
