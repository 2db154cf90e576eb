"""Level cuts one above the other through the trunk or one leg: where it is widest, narrowest, and how it measures."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .body import FloatArray, IntArray
from .sections import Cuts, Layers, cut
from .steady import FLAT, plateau, summit, turning
from .tape import taut

LEVELS = 200
"""Level cuts over the height of the doll, to find where it is widest and narrowest."""
FINE = 41
"""Cuts between two neighbouring levels, to say exactly where."""
NEAR = 0.0025
"""All girths within this share of the widest or narrowest have a say in where it is."""
BESIDE = 0.03
"""A loop of so much of the trunk's area is an arm, or the end of one."""
UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Ring:
    """A taut tape round one section: its length in mm, its height above the soles and where it lies."""

    mm: float
    level: float
    path: FloatArray


@dataclass(frozen=True)
class Column:
    """A trunk with neck and head, or a leg.

    Attributes
    ----------
    layers : Layers
        Its faces alone, by height.
    height : float
        Of the whole doll, mm.
    start : float or None
        A level that it surely has, from which it is followed up and down; without one each level stands for itself.
    """

    layers: Layers
    height: float
    start: float | None = None

    @cached_property
    def levels(self) -> FloatArray:
        """(LEVELS,) heights of the stack of cuts."""
        return (np.arange(LEVELS) + 0.5) * self.height / LEVELS

    def _cuts(self, levels: FloatArray) -> Cuts:
        return cut(self.layers.vertices, self.layers.between(float(levels[0]), float(levels[-1])), UP, levels)

    @cached_property
    def stack(self) -> Cuts:
        """The cuts at all levels."""
        return self._cuts(self.levels)

    @cached_property
    def loops(self) -> IntArray:
        """(LEVELS,) the column's loop at each level, -1 where it has none."""
        stack, found = self.stack, np.full(LEVELS, -1)
        if self.start is None:
            for plane in range(LEVELS):
                found[plane] = _pick(stack, stack.on(plane), None)
            return found
        first = int(np.abs(self.levels - self.start).argmin())
        for order in (range(first, LEVELS), range(first - 1, -1, -1)):
            last = found[first]
            for plane in order:
                last = _pick(stack, stack.on(plane), _box(stack, last) if last >= 0 else None)
                if last < 0:
                    break
                found[plane] = last
        return found

    @cached_property
    def girths(self) -> FloatArray:
        """(LEVELS,) taut girth at each level, NaN where there is none."""
        return np.where(self.loops >= 0, np.append(self.stack.girth, np.nan)[self.loops], np.nan)

    @cached_property
    def hollow(self) -> FloatArray:
        """(LEVELS,) how much longer the skin's own line is than the taut tape, as a share; NaN where there is none."""
        return np.where(self.loops >= 0, np.append(self.stack.around, np.nan)[self.loops], np.nan) / self.girths - 1

    @cached_property
    def beside(self) -> IntArray:
        """(LEVELS,) how many other loops of some size each level has."""
        stack, mine = self.stack, np.append(np.abs(self.stack.area), 0.0)[self.loops]
        count = np.bincount(stack.loop_plane[np.abs(stack.area) > BESIDE * mine[stack.loop_plane]], minlength=LEVELS)
        return np.where(self.loops >= 0, count - 1, 0)

    def box(self, level: float) -> FloatArray:
        """(2, 3) lowest and highest corner of the loop nearest to a level."""
        known = np.flatnonzero(self.loops >= 0)
        return _box(self.stack, int(self.loops[known[np.abs(self.levels[known] - level).argmin()]]))

    @cached_property
    def _rings(self) -> dict[float, Ring | None]:
        """The tapes that were laid already: neck and waist are asked for more than once."""
        return {}

    def ring(self, level: float) -> Ring | None:
        """The tape round the column at one level."""
        if level not in self._rings:
            self._rings[level] = self._best(np.array([level]), 1)
        return self._rings[level]

    def extreme(self, low: float, high: float, sign: int, half: float = 0.0) -> Ring | None:
        """The widest (sign 1) or narrowest (-1) tape between two levels, told from all girths within a share `half` of
        the height to both sides, where one is given.
        """
        step = self.height / LEVELS
        inside = np.flatnonzero((self.levels > low) & (self.levels < high) & (self.loops >= 0))
        if not len(inside):
            return None
        levels, girths = self.levels[inside], self.girths[inside]
        best = int((sign * girths).argmax())
        if 0 < best < len(levels) - 1 or len(plateau(girths, sign, FLAT)) > 3:
            level = summit(levels, girths, sign, NEAR)
            return self.ring(turning(levels, girths, sign, half * self.height, NEAR / 2, level) if half else level)
        return self._best(np.linspace(max(low, levels[best] - step), min(high, levels[best] + step), FINE), sign)

    def section(self, level: float) -> FloatArray:
        """(k, 3) the skin's own line round the column at a level, in order."""
        cuts = self._cuts(np.array([level]))
        loop = _pick(cuts, cuts.on(0), self.box(level))
        return cuts.chain(loop) if loop >= 0 else np.zeros((0, 3))

    def _best(self, levels: FloatArray, sign: int) -> Ring | None:
        if not (self.loops >= 0).any():
            return None
        cuts = self._cuts(levels)
        loops = [_pick(cuts, cuts.on(plane), self.box(level)) for plane, level in enumerate(levels)]
        planes = [plane for plane, loop in enumerate(loops) if loop >= 0]
        if not planes:
            return None
        plane = max(planes, key=lambda each: sign * cuts.girth[loops[each]])
        mm, path = taut(cuts.points(loops[plane]), UP)
        return Ring(mm, float(levels[plane]), path)


def _box(cuts: Cuts, loop: int) -> FloatArray:
    return np.stack([cuts.low[loop], cuts.high[loop]])


def _pick(cuts: Cuts, loops: IntArray, box: FloatArray | None) -> int:
    """The loop that covers a box in plan best; the one of the longest tape where there is no box."""
    if not len(loops):
        return -1
    if box is None:
        return int(loops[cuts.girth[loops].argmax()])
    low, high = cuts.low[loops, :2], cuts.high[loops, :2]
    shared = np.clip(np.minimum(high, box[1, :2]) - np.maximum(low, box[0, :2]), 0, None).prod(axis=1)
    whole = (high - low).prod(axis=1) + np.prod(box[1, :2] - box[0, :2]) - shared
    score = shared / np.maximum(whole, 1e-12)
    return int(loops[score.argmax()]) if score.max() > 0 else -1
