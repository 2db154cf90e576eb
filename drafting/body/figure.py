"""A skin made ready for the tape: its arms, a stack of level cuts without them, and the cut along its middle."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..errors import ScanError
from . import graph
from .arms import Limb, find_arm
from .body import SIDES, FloatArray, IntArray, Skin
from .parts import arm_vertices
from .sections import Cuts, cut
from .tape import length, taut

LEVELS = 200
"""Level cuts over the height of the doll, to find where it is widest and narrowest."""
FINE = 41
"""Cuts between two neighbouring levels, to say exactly where."""
UP = np.array([0.0, 0.0, 1.0])
ACROSS = np.array([1.0, 0.0, 0.0])


@dataclass(frozen=True)
class Ring:
    """A taut tape round one section: its length in mm, its height above the soles and where it lies."""

    mm: float
    level: float
    path: FloatArray


@dataclass(frozen=True)
class Figure:
    """An upright skin with its arms told apart.

    Attributes
    ----------
    limbs, arms : mapping of "left" and "right"
        The arms found, and the mask of their vertices.
    """

    skin: Skin
    limbs: Mapping[str, Limb]
    arms: Mapping[str, IntArray]

    @property
    def vertices(self) -> FloatArray:
        """(n, 3) the skin's vertices."""
        return self.skin.vertices

    @cached_property
    def height(self) -> float:
        """Crown above sole, mm."""
        return float(np.ptp(self.vertices[:, 2]))

    @cached_property
    def faces(self) -> IntArray:
        """Faces that are not wholly of an arm."""
        arm = np.zeros(len(self.vertices), bool)
        for mine in self.arms.values():
            arm |= mine
        return self.skin.faces[~arm[self.skin.faces].all(axis=1)]

    @cached_property
    def _reach(self) -> tuple[FloatArray, FloatArray]:
        corner = self.vertices[:, 2][self.faces]
        return corner.min(axis=1), corner.max(axis=1)

    def level_cuts(self, levels: FloatArray) -> Cuts:
        """Level cuts of everything but the arms, at ascending heights."""
        low, high = self._reach
        return cut(self.vertices, self.faces[(low < levels[-1]) & (high >= levels[0])], UP, levels)

    @cached_property
    def levels(self) -> FloatArray:
        """(LEVELS,) heights of the stack."""
        return (np.arange(LEVELS) + 0.5) * self.height / LEVELS

    @cached_property
    def stack(self) -> Cuts:
        """Level cuts of everything but the arms."""
        return self.level_cuts(self.levels)

    @cached_property
    def column(self) -> IntArray:
        """(LEVELS,) the loop of trunk, neck and head at each level; -1 where there is none."""
        stack, widest = self.stack, np.full(LEVELS, -1)
        start = min(range(LEVELS), key=lambda plane: abs(self.levels[plane] - self._chest()))
        for order in (range(start, LEVELS), range(start - 1, -1, -1)):
            last = widest[start]
            for plane in order:
                last = _pick(stack, stack.on(plane), _box(stack, last) if last >= 0 else None)
                if last < 0:
                    break
                widest[plane] = last
        return widest

    def _chest(self) -> float:
        pits = [limb.armpit[2] for limb in self.limbs.values()]
        return float(np.mean(pits)) - 0.02 * self.height if pits else 0.72 * self.height

    @cached_property
    def middle(self) -> FloatArray:
        """(k, 3) the closed cut along the plane of symmetry, from the trunk's loop."""
        cuts = cut(self.vertices, self.skin.faces, ACROSS, np.array([0.0]))
        loops = cuts.on(0)
        if not len(loops):
            raise ScanError("the body does not reach its own middle: expected one standing doll; check the scan")
        return cuts.chain(int(loops[0]))

    @cached_property
    def crotch(self) -> FloatArray | None:
        """Where the legs part: the lowest point of the cut along the middle; None where no legs part."""
        lowest = self.middle[self.middle[:, 2].argmin()]
        return lowest if lowest[2] > 0.08 * self.height else None

    @cached_property
    def legs(self) -> Mapping[str, IntArray]:
        """(LEVELS,) the loop of each leg at each level; -1 above the crotch and where there is none."""
        found = {side: np.full(LEVELS, -1) for side in SIDES}
        if self.crotch is None:
            return {}
        for plane in np.flatnonzero(self.levels < self.crotch[2]):
            for loop in self.stack.on(plane)[::-1]:
                left = self.stack.middle[loop, 0] > self.crotch[0]
                found["left" if left else "right"][plane] = loop
        return {side: loops for side, loops in found.items() if (loops >= 0).any()}

    def girths(self, loops: IntArray) -> FloatArray:
        """(LEVELS,) taut girth of a column of loops, NaN where there is none."""
        return np.where(loops >= 0, np.append(self.stack.girth, np.nan)[loops], np.nan)

    def ring(self, loops: IntArray, level: float) -> Ring:
        """The tape round trunk or leg at one level."""
        return self._rings(loops, np.array([level]))[0]

    def extreme(self, loops: IntArray, low: float, high: float, sign: int) -> Ring | None:
        """The widest (sign 1) or narrowest (-1) tape between two levels."""
        step = self.levels[1] - self.levels[0]
        inside = np.flatnonzero((self.levels > low) & (self.levels < high) & (loops >= 0))
        if not len(inside):
            return None
        best = self.levels[inside[(sign * self.girths(loops)[inside]).argmax()]]
        levels = np.linspace(max(low, best - step), min(high, best + step), FINE)
        cuts = self.level_cuts(levels)
        chosen = [self._at(cuts, plane, loops, level) for plane, level in enumerate(levels)]
        plane = max(range(FINE), key=lambda i: sign * cuts.girth[chosen[i]] if chosen[i] >= 0 else -np.inf)
        return _taut(cuts, chosen[plane], float(levels[plane])) if chosen[plane] >= 0 else None

    def _rings(self, loops: IntArray, levels: FloatArray) -> list[Ring]:
        cuts = self.level_cuts(levels)
        return [_taut(cuts, self._at(cuts, plane, loops, level), float(level)) for plane, level in enumerate(levels)]

    def _at(self, cuts: Cuts, plane: int, loops: IntArray, level: float) -> int:
        """The loop that belongs to a column at a level between its own."""
        known = np.flatnonzero(loops >= 0)
        near = loops[known[np.abs(self.levels[known] - level).argmin()]]
        return _pick(cuts, cuts.on(plane), _box(self.stack, near))


def _taut(cuts: Cuts, loop: int, level: float) -> Ring:
    mm, path = taut(cuts.points(loop), UP)
    return Ring(mm, level, path)


def _box(cuts: Cuts, loop: int) -> FloatArray:
    return np.stack([cuts.low[loop], cuts.high[loop]])


def _pick(cuts: Cuts, loops: IntArray, box: FloatArray | None) -> int:
    """The loop that covers a box in plan best; the largest where there is no box."""
    if not len(loops):
        return -1
    if box is None:
        return int(loops[0])
    low, high = cuts.low[loops, :2], cuts.high[loops, :2]
    shared = np.clip(np.minimum(high, box[1, :2]) - np.maximum(low, box[0, :2]), 0, None).prod(axis=1)
    whole = (high - low).prod(axis=1) + np.prod(box[1, :2] - box[0, :2]) - shared
    score = shared / np.maximum(whole, 1e-12)
    return int(loops[score.argmax()]) if score.max() > 0 else -1


def figure_of(skin: Skin) -> Figure:
    """Find the arms of an upright skin, in any pose."""
    vertices, faces = skin.vertices, skin.faces
    edges = graph.edges_of(faces, len(vertices))
    height = float(np.ptp(vertices[:, 2]))
    net = graph.net_of(vertices, edges, height / 120)
    near = net.neighbours()
    source = int(((net.points - vertices.mean(axis=0)) ** 2).sum(axis=1).argmin())
    limbs: dict[str, Limb] = {}
    for tip in _hands(net.points, graph.tips(near, graph.distances(near, source), 0.1 * height), height):
        limb = find_arm(vertices, faces, net, near, tip)
        side = "left" if net.points[tip, 0] > 0 else "right"
        if limb and (side not in limbs or length(limb.axis) > length(limbs[side].axis)):
            limbs[side] = limb
    return Figure(skin, limbs, {side: arm_vertices(vertices, edges, limb) for side, limb in limbs.items()})


def _hands(points: FloatArray, found: list[tuple[int, int]], height: float) -> list[int]:
    """Tips that may be hands: off the middle, clear of the floor, and not the crown."""
    ends = [tip for tip, _ in found]
    return [tip for tip in ends if abs(points[tip, 0]) > 0.06 * height and points[tip, 2] > 0.12 * height]
