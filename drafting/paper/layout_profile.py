"""How close two pieces may come: their no-fit regions, along the cloth, for every shift across it.

A piece is parted into bands in which every line along the cloth meets it once. Of two such bands the lower and upper
ends of the no-fit region are functions of the shift; between neighbouring differences of their corners these are a
minimum, or a maximum, of straight lines, so that joining the values there never lets two pieces overlap.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ..pattern.panel import FloatArray

LEAN = 1e-3  # mm: an upright wall leans out by this much, so that a band's limits are functions
PLAIN = 0.2  # mm: limits are made plainer by up to this much, always outwards


@dataclass(frozen=True)
class Line:
    """A broken line over growing x: `y` (k,) at `x` (k,), mm."""

    x: FloatArray
    y: FloatArray

    def __call__(self, x: FloatArray) -> FloatArray:
        """Its y at any x within its reach."""
        return np.interp(x, self.x, self.y)


@dataclass(frozen=True)
class Band:
    """The part of a piece between two broken lines."""

    low: Line
    high: Line


@dataclass(frozen=True)
class NoFit:
    """Where the second of two bands may not be: between `low` and `high`, at shifts from low.x[0] to low.x[-1]."""

    low: Line
    high: Line


def bands(outline: FloatArray, gap: float = 0.0) -> list[Band]:
    """The bands of an outline, each grown by half of the gap to all sides.

    Parameters
    ----------
    outline : (n, 2) float
        A simple polygon, either way round.
    """
    return [
        Band(_negative(_above(_negative(low), gap / 2)), _above(high, gap / 2))
        for low, high in (_limits(chain) for chain in _chains(_trapezoids(outline)))
    ]


def no_fit(still: Band, moving: Band) -> NoFit:
    """Where `moving` overlaps `still` when both lie at the origin but for the shift."""
    high = _least(_negative(still.high), _negative(moving.low))
    return NoFit(_least(still.low, moving.high), _negative(high))


def _least(a: Line, b: Line) -> Line:
    """The minimum over x of a(x) - b(x - shift), for all shifts at which both lines have an x in common."""
    shifts = np.unique(np.subtract.outer(a.x, b.x))
    left, right = np.maximum(a.x[0], b.x[0] + shifts), np.minimum(a.x[-1], b.x[-1] + shifts)
    x = np.concatenate([np.broadcast_to(a.x, (len(shifts), len(a.x))), b.x + shifts[:, None]], axis=1)
    x = np.clip(x, left[:, None], np.maximum(left, right)[:, None])
    return Line(shifts, (a(x) - b(x - shifts[:, None])).min(axis=1))


def _negative(line: Line) -> Line:
    return Line(line.x, -line.y)


def _above(line: Line, grow: float) -> Line:
    """The highest value within `grow` to either side, and `grow` on top of it."""
    if grow == 0:
        return line
    x = np.unique(np.concatenate([line.x - grow, line.x + grow]))
    near = np.clip(line.x, x[:, None] - grow, x[:, None] + grow)
    near = np.clip(np.column_stack([near, x - grow, x + grow]), line.x[0], line.x[-1])
    return Line(x, line(near).max(axis=1) + grow)


def _trapezoids(outline: FloatArray) -> list[list[FloatArray]]:
    """For each slab between neighbouring corners' x: the trapezoids in it, from below.

    Each is (3, 2) float: x, low and high at its left and its right side.
    """
    a = np.round(outline, 6)  # corners that lie above one another do so exactly
    b = np.roll(a, -1, axis=0)
    a, b = np.where((a[:, :1] <= b[:, :1]), a, b), np.where((a[:, :1] <= b[:, :1]), b, a)
    slabs = []
    for left, right in pairwise(np.unique([a[:, 0], b[:, 0]])):
        spans = (a[:, 0] <= left) & (b[:, 0] >= right)
        slope = (b[spans, 1] - a[spans, 1]) / (b[spans, 0] - a[spans, 0])
        ends = a[spans, 1] + slope * (np.array([[left], [right]]) - a[spans, 0])
        ends = ends[:, np.argsort(ends.sum(axis=0), kind="stable")]
        slabs.append([np.array([[left, right], ends[:, i], ends[:, i + 1]]) for i in range(0, ends.shape[1] - 1, 2)])
    return slabs


def _chains(slabs: list[list[FloatArray]]) -> list[list[FloatArray]]:
    """Trapezoids joined from slab to slab where one goes on into one."""
    chains: list[list[FloatArray]] = []
    open_ones: list[list[FloatArray]] = []
    for slab in slabs:
        before, open_ones = open_ones, []
        after = [[one for one in slab if _meet(chain[-1], one)] for chain in before]
        for one in slab:
            sources = [i for i, chain in enumerate(before) if _meet(chain[-1], one)]
            if len(sources) == 1 and len(after[sources[0]]) == 1:
                chain = before[sources[0]]
                chain.append(one)
            else:
                chain = [one]
                chains.append(chain)
            open_ones.append(chain)
    return chains


def _meet(left: FloatArray, right: FloatArray) -> bool:
    """Whether two trapezoids share a wall, or at least a point of it."""
    shared = left[0, 1] == right[0, 0]
    return bool(shared and max(left[1, 1], right[1, 0]) <= min(left[2, 1], right[2, 0]) + 1e-9)


def _limits(chain: list[FloatArray]) -> tuple[Line, Line]:
    """The lower and upper limit of a chain of trapezoids; never inside it."""
    x = np.concatenate([trapezoid[0] for trapezoid in chain])
    low, high = (np.concatenate([trapezoid[row] for trapezoid in chain]) for row in (1, 2))
    return _negative(_plain(_leaning(x, -low))), _plain(_leaning(x, high))


def _leaning(x: FloatArray, y: FloatArray) -> Line:
    """A broken line over strictly growing x: upright walls lean away from the piece, which lies below it."""
    wall = np.diff(x, prepend=-np.inf) == 0
    rises = y > np.roll(y, 1)
    moved = np.where(wall & ~rises, x + LEAN, x)
    before = np.roll(wall & rises, -1)
    moved = np.where(before, x - LEAN, moved)
    keep = ~(wall & (y == np.roll(y, 1)))
    return Line(np.maximum.accumulate(moved[keep]), y[keep])


def _plain(line: Line) -> Line:
    """A line of fewer corners that is nowhere lower."""
    keep = np.zeros(len(line.x), bool)
    keep[[0, -1]] = True
    spans = [(0, len(line.x) - 1)]
    while spans:
        first, last = spans.pop()
        inner = slice(first + 1, last)
        off = line.y[inner] - np.interp(line.x[inner], line.x[[first, last]], line.y[[first, last]])
        if len(off) and np.abs(off).max() > PLAIN / 2:
            middle = first + 1 + int(np.abs(off).argmax())
            keep[middle] = True
            spans += [(first, middle), (middle, last)]
    x, y = line.x[keep], line.y[keep]
    return Line(x, y + max(0.0, float((line.y - np.interp(line.x, x, y)).max())))
