"""Templates laid out on as few pages as possible, as far as possible each on one page."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from ..pattern.panel import FloatArray
from .page import OVERLAP_MM

GAP_MM = 4.0  # between two templates, for the scissors
MOST_PAGES = 60
Box = tuple[float, float]


@dataclass(frozen=True)
class Spot:
    """Where a box lies: its lower left corner on the sheet, mm, and whether it is turned by a quarter."""

    box: int
    at: FloatArray
    turned: bool


@dataclass(frozen=True)
class Sheet:
    """Pages glued together: so many side by side, so many below one another, and what lies on them."""

    columns: int
    rows: int
    spots: tuple[Spot, ...]

    @property
    def pages(self) -> int:
        """How many pages it takes."""
        return self.columns * self.rows


def sheet_size(columns: int, rows: int, window: FloatArray) -> FloatArray:
    """(2,) float: width and height of so many windows glued with their overlap, mm."""
    return np.array([columns, rows]) * window - np.array([columns - 1, rows - 1]) * OVERLAP_MM


def tiles_touched(at: FloatArray, size: FloatArray, window: FloatArray) -> int:
    """On how many pages of a sheet a box lies: one, if there is a page that holds all of it."""
    step = window - OVERLAP_MM
    first = np.floor(at / step + 1e-9)
    more = np.ceil((at + size - first * step - window) / step - 1e-9)
    return int((1 + np.maximum(0, more)).prod())


def arrange(boxes: Sequence[Box], window: FloatArray) -> list[Sheet]:
    """Lay out boxes; the first lies in the top left corner of the first page.

    Parameters
    ----------
    boxes : sequence of (width, height)
        mm. The first is the block that every pattern begins with: it must fit on a page and is not turned.
    window : (2,) float
        Width and height of what can be drawn on one page, mm.

    Returns
    -------
    list of Sheet
        The fewest pages that were found; of those the layout that cuts the fewest boxes at a page's edge.
    """
    large = [i for i, box in enumerate(boxes) if i and not _fits(box, window)]
    small = [i for i in range(1, len(boxes)) if i not in large]
    best: tuple[tuple[int, int], list[Sheet]] | None = None
    for sheets in _ways(boxes, large, small, window):
        cost = (sum(sheet.pages for sheet in sheets), _cuts(boxes, sheets, window))
        if best is None or cost < best[0]:
            best = cost, sheets
    assert best is not None, "a sheet long enough for everything was tried"
    return best[1]


def _fits(box: Box, window: FloatArray) -> bool:
    return bool((np.array(box) <= window).all() or (np.array(box)[::-1] <= window).all())


def _ways(boxes: Sequence[Box], large: list[int], small: list[int], window: FloatArray) -> Iterator[list[Sheet]]:
    if not large:
        for order in _orders(boxes, small):
            yield _singles(boxes, [0, *order], window)
        return
    found = 0
    for columns, rows in sorted(
        product(range(1, MOST_PAGES + 1), repeat=2), key=lambda grid: (grid[0] * grid[1], grid)
    ):
        if columns * rows > MOST_PAGES or (found and columns * rows > found + 1):
            break
        for order, titled, whole in product(_orders(boxes, large), (True, False), (True, False)):
            bin_ = _Bin(columns, rows, window, whole)
            if (titled and not bin_.put_first(boxes[0])) or not all(bin_.put(i, boxes[i]) for i in order):
                continue
            found = found or columns * rows
            for rest in _orders(boxes, small):
                filled = bin_.copy()
                left = [i for i in rest if not filled.put(i, boxes[i])]
                others = _singles(boxes, left if titled else [0, *left], window)
                yield [filled.sheet(), *others] if titled else [*others, filled.sheet()]


def _orders(boxes: Sequence[Box], which: list[int]) -> list[list[int]]:
    """The large ones first, by three ways of being large."""
    rules = (lambda i: boxes[i][0] * boxes[i][1], lambda i: max(boxes[i]), lambda i: min(boxes[i]))
    orders = [sorted(which, key=rule, reverse=True) for rule in rules]
    return [order for k, order in enumerate(orders) if order not in orders[:k]]


def _singles(boxes: Sequence[Box], order: Iterable[int], window: FloatArray) -> list[Sheet]:
    """One page after another, each box on the first page that has room."""
    bins: list[_Bin] = []
    for i in order:
        if i == 0:
            bins.insert(0, _Bin(1, 1, window, True))
            bins[0].put_first(boxes[0])
        elif not any(bin_.put(i, boxes[i]) for bin_ in bins):
            bins.append(_Bin(1, 1, window, True))
            bins[-1].put(i, boxes[i])
    return [bin_.sheet() for bin_ in bins]


def _cuts(boxes: Sequence[Box], sheets: list[Sheet], window: FloatArray) -> int:
    return sum(tiles_touched(s.at, _size(boxes[s.box], s.turned), window) - 1 for sheet in sheets for s in sheet.spots)


def _size(box: Box, turned: bool) -> FloatArray:
    return np.array(box[::-1] if turned else box)


class _Bin:
    """A sheet that is being filled: all largest free rectangles are remembered (x0, y0, x1, y1)."""

    def __init__(self, columns: int, rows: int, window: FloatArray, whole: bool) -> None:
        self.columns, self.rows, self.window, self.whole = columns, rows, window, whole
        size = sheet_size(columns, rows, window) + GAP_MM
        self.free: list[tuple[float, float, float, float]] = [(0.0, 0.0, float(size[0]), float(size[1]))]
        self.spots: list[Spot] = []

    def copy(self) -> _Bin:
        other = _Bin(self.columns, self.rows, self.window, self.whole)
        other.free, other.spots = list(self.free), list(self.spots)
        return other

    def sheet(self) -> Sheet:
        return Sheet(self.columns, self.rows, tuple(self.spots))

    def put_first(self, box: Box) -> bool:
        """The block in the top left corner of the first page."""
        top = float(sheet_size(self.columns, self.rows, self.window)[1])
        if not (np.array(box) <= self.window).all():
            return False
        self._take(0, box, False, (0.0, top - box[1]))
        return True

    def put(self, i: int, box: Box) -> bool:
        """A box where it is cut by the fewest page edges and leaves the narrowest strip; False if it fits nowhere."""
        best: tuple[tuple[int, float, float, float], bool, Box] | None = None
        for turned in (False, True):
            wide, high = (box[1], box[0]) if turned else box
            for x0, y0, x1, y1 in self.free:
                if x1 - x0 < wide + GAP_MM - 1e-9 or y1 - y0 < high + GAP_MM - 1e-9:
                    continue
                strip = min(x1 - x0 - wide, y1 - y0 - high)
                for x, y in product(self._starts(0, x0, x1, wide), self._starts(1, y0, y1, high)):
                    touched = tiles_touched(np.array([x, y]), np.array([wide, high]), self.window) if self.whole else 0
                    cost = (touched, strip, x, y)
                    if best is None or cost < best[0]:
                        best = cost, turned, (x, y)
        if best is None:
            return False
        self._take(i, box, best[1], best[2])
        return True

    def _starts(self, axis: int, low: float, high: float, size: float) -> list[float]:
        """Where a box may begin in a free stretch: at its beginning, at its end, or where a page begins."""
        step = float(self.window[axis]) - OVERLAP_MM
        pages = [step * k for k in range(math.ceil(low / step), (self.columns, self.rows)[axis])] if self.whole else []
        ends = [low, high - size - GAP_MM, *pages]
        return [start for start in ends if low - 1e-9 <= start <= high - size - GAP_MM + 1e-9]

    def _take(self, i: int, box: Box, turned: bool, at: Box) -> None:
        wide, high = _size(box, turned) + GAP_MM
        self.spots.append(Spot(i, np.array(at), turned))
        left, low, right, top = at[0], at[1], at[0] + wide, at[1] + high
        parts: list[tuple[float, float, float, float]] = []
        for x0, y0, x1, y1 in self.free:
            if left >= x1 or right <= x0 or low >= y1 or top <= y0:
                parts.append((x0, y0, x1, y1))
                continue
            parts += [
                part
                for part in ((x0, y0, left, y1), (right, y0, x1, y1), (x0, y0, x1, low), (x0, top, x1, y1))
                if part[2] - part[0] > GAP_MM and part[3] - part[1] > GAP_MM
            ]
        self.free = [
            one
            for k, one in enumerate(parts)
            if not any(_covers(other, one, j < k) for j, other in enumerate(parts) if j != k)
        ]


def _covers(a: tuple[float, ...], b: tuple[float, ...], before: bool) -> bool:
    inside = a[0] <= b[0] and a[1] <= b[1] and a[2] >= b[2] and a[3] >= b[3]
    return inside and (before or a != b)
