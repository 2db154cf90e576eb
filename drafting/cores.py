"""Parts of one piece of work on all cores; in a window, where work goes on aside, on one: the other is to draw."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from threading import current_thread, main_thread
from typing import TypeVar

Part = TypeVar("Part")
Result = TypeVar("Result")


def spread(work: Callable[[Part], Result], parts: Iterable[Part]) -> list[Result]:
    """What the work gives for each part, in order; arrays at work leave Python free, so that threads are enough."""
    if current_thread() is not main_thread():
        return [work(part) for part in parts]
    with ThreadPoolExecutor() as pool:
        return list(pool.map(work, parts))
