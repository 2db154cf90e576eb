"""Laying pieces on cloth so that they take little length: bottom-left placing, many orders tried.

Each piece in its turn goes where its far end lies nearest to the cloth's end, in the best way round that the cloth
allows; the order of the pieces is improved by trials. The same pieces and cloth always give the same layout.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from ..errors import DraftError
from ..pattern.curve import signed_area
from ..pattern.panel import FloatArray
from ..pattern.tolerance import TOLERANCE
from .layout import HALF_TURN, CutPiece, Layout, Placement, Spread, laid
from .layout_profile import Band, NoFit, bands, no_fit

STEPS = 48  # places tried across the cloth, beside those that touch another piece or a selvedge
TRIALS, FEWEST, MOST = 100_000, 20, 1000  # plans tried: so many over the number of pieces squared, within these limits
SEED = 1
ANY = -1
Plan = tuple[tuple[int, int], ...]  # pieces in the order of laying, each with its way round or ANY


@dataclass(frozen=True)
class _Way:
    """A shape as it may lie on the cloth: one piece, turned and mirrored in one way."""

    turned: int
    mirrored: bool
    shape: int
    wide: float
    high: float


@dataclass(frozen=True)
class _Spot:
    way: _Way
    x: float
    y: float

    @property
    def top(self) -> float:
        return self.y + self.way.high


def lay_out(pieces: Sequence[CutPiece], spread: Spread, effort: float = 1.0) -> Layout:
    """Lay all pieces on the cloth.

    Parameters
    ----------
    effort : float
        Share of the usual number of trials, for a quick look.

    Returns
    -------
    Layout
        In the order of `pieces`. None overlaps another, all keep their grain and stay between the selvedges.

    Raises
    ------
    DraftError
        There are no pieces, or one is too large for the cloth; names it.
    """
    if not pieces:
        raise DraftError("There is nothing to lay on the cloth: the pattern has no pieces to cut from it.")
    table = _Table(pieces, spread)
    spots = _improved(table, round(effort * _trials(len(pieces))))
    return Layout(
        spread,
        tuple(
            Placement(piece, np.array([spot.x, spot.y]), spot.way.turned, spot.way.mirrored)
            for piece, spot in zip(pieces, spots, strict=True)
        ),
    )


class _Table:
    """The cutting table: what may lie how, and how close. No-fit regions are worked out once for each two shapes."""

    def __init__(self, pieces: Sequence[CutPiece], spread: Spread) -> None:
        self.spread = spread
        self._outlines: list[FloatArray] = []
        self._bands: list[list[Band]] = []
        self._no_fits: dict[tuple[int, int], list[NoFit]] = {}
        self.ways = [self._ways(piece) for piece in pieces]
        self.on_fold = [piece.on_fold for piece in pieces]
        self.areas = [piece.area / piece.layers for piece in pieces]

    def ways_in(self, piece: int, way: int) -> list[_Way]:
        """The one way that a plan asks for, or all of them."""
        return self.ways[piece] if way == ANY else self.ways[piece][way : way + 1]

    def lay(self, plan: Plan) -> dict[int, _Spot]:
        """Where every piece goes when they are laid after this plan."""
        spots: dict[int, _Spot] = {}
        for piece, way in plan:
            placed = list(spots.values())
            found = [self._lowest(one, placed, self.on_fold[piece]) for one in self.ways_in(piece, way)]
            spots[piece] = min(found, key=lambda spot: (round(spot.top, 6), spot.x))
        return spots

    def bound(self) -> float:
        """No layout is shorter than this, mm."""
        left, right = self.spread.reach
        return max(*(ways[0].high for ways in self.ways), sum(self.areas) / (right - left))

    def _ways(self, piece: CutPiece) -> list[_Way]:
        """The different ways in which a piece may lie."""
        turns = (0,) if self.spread.one_way else (0, HALF_TURN)
        # A half on the fold stays against it; mirroring it would only swap the layers.
        free = (self.spread.alike or piece.layers == 2) and not piece.on_fold
        mirrors = (False, True) if free else (piece.mirrored,)
        ways: dict[int, _Way] = {}
        for turned, mirrored in product(turns, mirrors):
            # Turned round, a half on the fold is mirrored as well, so that its fold stays at the left.
            face = mirrored if not piece.on_fold else turned == HALF_TURN
            outline = laid(piece, turned, face)
            shape = self._shape(outline)
            wide, high = outline.max(axis=0)
            ways.setdefault(shape, _Way(turned, face, shape, float(wide), float(high)))
        self._refuse(piece, next(iter(ways.values())))
        return list(ways.values())

    def _refuse(self, piece: CutPiece, way: _Way) -> None:
        left, right = self.spread.reach
        if way.wide > right - left + TOLERANCE.same_mm:
            folded = " when folded: lay it single, or" if self.spread.folded else ":"
            raise DraftError(
                f"The {piece.name} is {way.wide:.0f} mm wide across the grain, and the cloth has room for "
                f"{right - left:.0f} mm{folded} take wider cloth, or part the {piece.name} by a seam along its grain."
            )
        if way.high > self.spread.length + TOLERANCE.same_mm:
            raise DraftError(
                f"The {piece.name} is {way.high:.0f} mm long, and the piece of cloth {self.spread.length:.0f} mm: "
                f"take a longer one, or part the {piece.name} by a seam across its grain."
            )

    def _shape(self, outline: FloatArray) -> int:
        """The number of a shape; one that was met before keeps its number."""
        outline = _from_first(outline)
        for number, known in enumerate(self._outlines):
            if _same(known, outline):
                return number
        self._outlines.append(outline)
        self._bands.append(bands(outline, self.spread.gap))
        return len(self._outlines) - 1

    def _no_fit(self, still: int, moving: int) -> list[NoFit]:
        key = still, moving
        if key not in self._no_fits:
            self._no_fits[key] = [no_fit(a, b) for a, b in product(self._bands[still], self._bands[moving])]
        return self._no_fits[key]

    def _lowest(self, way: _Way, placed: list[_Spot], on_fold: bool) -> _Spot:
        """The spot whose far end is nearest to the cloth's end, the leftmost of several."""
        left, right = self.spread.reach
        x = np.array([0.0]) if on_fold else _across(left, max(left, right - way.wide), way, placed, self.spread.gap)
        lows, highs = [np.full_like(x, np.inf)], [np.full_like(x, -np.inf)]
        for spot in placed:
            for region in self._no_fit(spot.way.shape, way.shape):
                shift = x - spot.x
                free = (shift <= region.low.x[0] + TOLERANCE.same_mm) | (shift >= region.low.x[-1] - TOLERANCE.same_mm)
                lows.append(np.where(free, np.inf, region.low(shift) + spot.y))
                highs.append(np.where(free, -np.inf, region.high(shift) + spot.y))
        if np.isfinite(self.spread.length):
            for end in self.spread.length * np.arange(1, len(placed) + 2):
                lows.append(np.full_like(x, end - way.high))
                highs.append(np.full_like(x, end))
        y = _first_gap(np.array(lows), np.array(highs))
        best = int(np.lexsort((x, np.round(y, 6)))[0])
        return _Spot(way, float(x[best]), float(y[best]))


def _across(left: float, right: float, way: _Way, placed: list[_Spot], gap: float) -> FloatArray:
    """Where to try the left side of a piece: at both ends of its room, against the others, and evenly between."""
    beside = [x for spot in placed for x in (spot.x + spot.way.wide + gap, spot.x - way.wide - gap)]
    within = np.array([x for x in beside if left < x < right])
    return np.unique(np.concatenate([np.linspace(left, right, STEPS if placed else 2), within]))


def _first_gap(lows: FloatArray, highs: FloatArray) -> FloatArray:
    """The least y from 0 up that lies within none of the open intervals, for each column."""
    order = np.argsort(lows, axis=0)
    lows, highs = np.take_along_axis(lows, order, axis=0), np.take_along_axis(highs, order, axis=0)
    start = np.zeros((1, lows.shape[1]))
    reached = np.maximum.accumulate(np.concatenate([start, highs]), axis=0)
    free = np.concatenate([lows, np.full_like(start, np.inf)]) >= reached - 1e-9
    return reached[free.argmax(axis=0), np.arange(lows.shape[1])]


def _same(a: FloatArray, b: FloatArray) -> bool:
    """Whether two outlines run through the same corners."""
    return a.shape == b.shape and bool(np.allclose(a, b, atol=TOLERANCE.same_mm))


def _from_first(outline: FloatArray) -> FloatArray:
    """The same outline counter-clockwise from its leftmost corner, the lowest of several."""
    outline = outline if signed_area(outline) > 0 else outline[::-1]
    first = np.lexsort(np.round(outline, 4).T[::-1])[0]
    return np.roll(outline, -first, axis=0)


def _improved(table: _Table, trials: int) -> list[_Spot]:
    """The best layout of some sensible plans, and of small changes to the best one."""
    plans = _first_plans(table)
    chance = np.random.default_rng(SEED)
    best, least, spots = plans[0], (np.inf, np.inf), dict[int, _Spot]()
    tried: set[tuple[tuple[_Way, ...], ...]] = set()
    for trial in range(trials + len(plans)):
        plan = plans[trial] if trial < len(plans) else _changed(best, table, chance)
        # Pieces that may lie in the same ways are one and the same to the layout.
        key = tuple(tuple(table.ways_in(piece, way)) for piece, way in plan)
        if key in tried:
            continue
        tried.add(key)
        laid_out = table.lay(plan)
        score = _score(laid_out)
        if score <= least:
            best, least, spots = plan, score, laid_out
        if least[0] <= table.bound() + TOLERANCE.same_mm:
            break
    return [spots[piece] for piece in range(len(table.ways))]


def _first_plans(table: _Table) -> list[Plan]:
    """Largest first, by several notions of large; once with the way round left open, once without turning."""
    high, wide = (np.array([getattr(ways[0], side) for ways in table.ways]) for side in ("high", "wide"))
    keys = (high, np.array(table.areas), wide, high + wide, high * wide)
    orders = [np.argsort(-key, kind="stable").tolist() for key in keys]
    return [tuple((piece, way) for piece in order) for way in (ANY, 0) for order in orders]


def _changed(plan: Plan, table: _Table, chance: np.random.Generator) -> Plan:
    """Two pieces swapped, one moved, or one told which way round to lie."""
    steps = list(plan)
    i, j = chance.integers(len(steps), size=2)
    change = chance.integers(3)
    if change == 0:
        steps[i], steps[j] = steps[j], steps[i]
    elif change == 1:
        steps.insert(j, steps.pop(i))
    else:
        piece = steps[i][0]
        steps[i] = piece, int(chance.integers(ANY, len(table.ways[piece])))
    return tuple(steps)


def _score(spots: dict[int, _Spot]) -> tuple[float, float]:
    """Length used, then how far up the pieces lie: the lower, the larger the remnant."""
    tops = [spot.top for spot in spots.values()]
    return round(max(tops), 6), sum(tops)


def _trials(count: int) -> int:
    return min(MOST, max(FEWEST, TRIALS // count**2))
