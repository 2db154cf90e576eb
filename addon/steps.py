"""Long work as plain generators: each yields `Step` and returns its value.

Closing such a generator stops the work; its own `finally` puts things away.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Generator, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from threading import Thread
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

T = TypeVar("T")

SWITCH = 0.0005  # s; Python's own is 0.005
TICK = 0.02  # s; how long a step waits for work that goes on aside


@dataclass(frozen=True)
class Seen:
    """What can be seen of a drape while it goes on, in the body's frame, mm.

    Attributes
    ----------
    cloth, skin : (n, 3) float
        Vertices.
    cloth_faces, skin_faces : (m, 3) int
    """

    cloth: NDArray[np.float64]
    cloth_faces: NDArray[np.int64]
    skin: NDArray[np.float64]
    skin_faces: NDArray[np.int64]


@dataclass(frozen=True)
class Step:
    """How far the work is: the stage in words, and the share done, 0 to 1; a drape also shows itself."""

    stage: str
    share: float
    seen: Seen | None = None


Work = Generator[Step, None, T]


def finish(work: Work[T], on_step: Callable[[Step], None] | None = None) -> T:
    """Run work to its end."""
    while True:
        try:
            step = next(work)
        except StopIteration as done:
            value: T = done.value
            return value
        if on_step:
            on_step(step)


def aside(stage: str, share: float, function: Callable[[], T]) -> Work[T]:
    """Run a function that changes nothing in Blender in a thread of its own, so that the window lives meanwhile.

    Work that is stopped no longer waits for it; its value is then dropped.
    """
    found: list[T] = []
    wrong: list[BaseException] = []

    def run() -> None:
        try:
            found.append(function())
        except BaseException as error:  # noqa: BLE001  raised again below, where the maker sees it
            wrong.append(error)

    thread = Thread(target=run, daemon=True)
    thread.start()
    with _alert():
        while thread.is_alive():
            yield Step(stage, share)
            thread.join(TICK)
    if wrong:
        raise wrong[0]
    return found[0]


@contextmanager
def _alert() -> Iterator[None]:
    """Python changes threads sooner: a panel asks for its turn at each button, and would wait at each."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(SWITCH)
    try:
        yield
    finally:
        sys.setswitchinterval(usual)


def within(work: Work[T], low: float, high: float, what: str = "") -> Work[T]:
    """The same work as a part of a longer one: its shares lie between `low` and `high`, `what` stands before it."""
    return _told(work, lambda step: replace(step, stage=what + step.stage, share=low + (high - low) * step.share))


def otherwise(
    work: Work[T], failing: type[Exception], second: Callable[[], Work[T]], what: str = "once more: "
) -> Work[T]:
    """Work that is done in a second way where the first fails: the share never runs back, `what` says that it is tried
    again.
    """
    reached = 0.0

    def on(step: Step) -> Step:
        nonlocal reached
        reached = max(reached, step.share)
        return replace(step, share=reached)

    try:
        return (yield from _told(work, on))
    except failing:
        pass
    return (yield from within(second(), reached, 1.0, what))


def _told(work: Work[T], in_words: Callable[[Step], Step]) -> Work[T]:
    """The same work, each of its steps told in another way."""
    try:
        while True:
            try:
                step = next(work)
            except StopIteration as done:
                value: T = done.value
                return value
            yield in_words(step)
    finally:
        work.close()
