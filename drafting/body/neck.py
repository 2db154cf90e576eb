"""Neck, head and shoulders: where the neck is narrowest, where the shoulder lines begin and end."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from .body import SIDES, FloatArray
from .column import Ring
from .figure import Figure
from .sections import cut
from .steady import bowed, passing
from .tape import length, walk

Marks = dict[str, FloatArray]

SIGNS = dict(zip(SIDES, (1, -1), strict=True))
SLIM = 0.6
"""A neck is slimmer than this share of the fullest of the trunk."""
RISE = 1.05
"""Where a girth has grown by so much above the least, the neck is over and the head begins."""
ROOT = 0.27
"""Depth of the armpits below the shoulder ends as a share of the breadth between them, where there are no arms: 111 mm
of 415 mm (ANSUR II, acromial less axilla height and biacromial breadth)."""
NECK_TILT = np.radians(25)
"""The plane of the neck base rises so much from front to back; common practice, no source."""
FACE = (0.3, 0.6)
"""Chin and ears lie between these shares of the way from the narrowest of the neck to the crown; drawing teachers' rule
that the eyes lie half-way up a head, from memory."""
EAR = 0.005
"""A section of the head that is hollow by this share of its girth passes ears, or chin and neck."""
KNOT = 0.05
"""A knot of hair begins so far, as a share of the same way, below where its hollow shows."""
BENDS = 241
"""Points spread over a curve to find its bend."""
CREST, TURN = 0.025, 0.012
"""The top of a shoulder is round from front to back within the first share of the height to both sides, and turns
evenly up into the neck within the second."""
EDGES = np.radians([20, 50])
"""How steeply the two edges fall that find the side of the neck: where the shoulder's slope has begun to turn up into
the neck, the base that a neckband stands on; common practice, no source."""


def armpit_level(marks: Mapping[str, FloatArray]) -> float | None:
    """Mean height of the armpits; by the shoulder ends where there are no arms; None where there are neither."""
    pits = [marks[name][2] for name in ("armpit_left", "armpit_right") if name in marks]
    if pits:
        return float(np.mean(pits))
    ends = [marks[f"shoulder_{side}"] for side in SIDES if f"shoulder_{side}" in marks]
    if len(ends) < 2:
        return None
    return float(np.mean(ends, axis=0)[2] - ROOT * np.linalg.norm(ends[0] - ends[1]))


def narrowest(figure: Figure, marks: Marks) -> Marks:
    """The level where the neck is narrowest, marked at its front."""
    ring = neck_ring(figure, marks)
    return {} if ring is None else {"neck_narrow": ring.path[ring.path[:, 1].argmin()]}


def neck_ring(figure: Figure, marks: Mapping[str, FloatArray]) -> Ring | None:
    """The first narrow place above the shoulders, below a head or at the end of a stump; None where there is none."""
    trunk = figure.trunk
    if "neck_narrow" in marks:
        return trunk.ring(float(marks["neck_narrow"][2]))
    body = np.where(trunk.levels < 0.6 * figure.height, np.nan_to_num(trunk.girths), 0.0)
    ends = [marks[f"shoulder_{side}"][2] for side in SIDES if f"shoulder_{side}" in marks]
    low = max(float(trunk.levels[body.argmax()]), float(np.mean(ends)) if ends else 0.0)
    slim = np.flatnonzero((trunk.levels > low) & (trunk.girths < SLIM * body.max()))
    if len(slim) < 2:
        return None
    up = trunk.girths[slim]
    grown = np.flatnonzero(up > RISE * np.minimum.accumulate(up))
    if len(grown):
        return trunk.extreme(float(trunk.levels[slim[0]]) - 1e-6, float(trunk.levels[slim[grown[0]]]), -1)
    # A stump has no narrowest place: its girth is taken where it is steadiest.
    return trunk.ring(float(trunk.levels[slim[:-1]][np.abs(np.diff(up)).argmin()]))


def has_head(figure: Figure, neck: Ring) -> bool:
    """Whether something wider than the neck sits on it."""
    girths = figure.trunk.girths[figure.trunk.levels > neck.level]
    return bool(len(girths) and np.nanmax(girths, initial=0.0) > 1.15 * neck.mm)


def brow(figure: Figure, neck: float) -> tuple[float, float]:
    """The levels above chin and ears, and below a knot of hair; each leaves hollows, a ball has none of them."""
    trunk, tall = figure.trunk, figure.height - neck
    at = np.flatnonzero((trunk.hollow > EAR) & (trunk.levels > neck + FACE[0] * tall))
    runs = [trunk.levels[run] for run in np.split(at, np.flatnonzero(np.diff(at) > 1) + 1) if len(run)]
    ears = runs and runs[0][0] < neck + FACE[1] * tall
    low = float(runs[0][-1]) + 0.01 * tall if ears else neck + FACE[0] * tall
    if not any(run[0] > low + 0.01 * tall for run in runs):
        return low, figure.height
    above = trunk.levels > low
    return low, max(passing(trunk.levels[above], trunk.hollow[above], EAR) - KNOT * tall, low + 0.01 * tall)


def shoulder_ends(figure: Figure, marks: Marks) -> Marks:
    """Where there is no arm: the point where the shoulder line has come to fall twice as steeply as it runs out."""
    neck, found = neck_ring(figure, marks), Marks()
    if neck is None or figure.doubtful.any():
        return found
    for side in (side for side in SIDES if side not in figure.limbs):
        points = figure.points(neck.level - neck.mm, neck.level)
        points = points[(points[:, 2] > neck.level - neck.mm) & (points[:, 2] < neck.level)]
        found[f"shoulder_{side}"] = points[(2 * SIGNS[side] * points[:, 0] + points[:, 2]).argmax()]
    return found


def _bend(curve: FloatArray, sign: int, half: float) -> FloatArray:
    """Where the (k, 3) top of a shoulder turns up into the neck, seen from the front.

    Two straight edges are laid into the hollow from above, a flatter and a steeper one; the point under their
    crossing. Steadier than any one point of a soft bend.
    """
    even = walk(curve, np.linspace(0, length(curve), BENDS))
    seen = even[:, [0, 2]] * [sign, 1]
    rows = np.stack([np.sin(EDGES), np.cos(EDGES)], axis=1)
    lowest = []
    for normal in rows:
        turned = seen @ np.array([[normal[1], -normal[0]], [-normal[0], -normal[1]]])
        lowest.append(-bowed(turned[:-1], turned[1:], half)[1])
    crossing = np.linalg.solve(rows, lowest)[0]
    out = np.maximum.accumulate(seen[:, 0])
    return np.array([np.interp(crossing, out, even[:, axis]) for axis in range(3)])


def neck_base(figure: Figure, marks: Marks) -> Marks:
    """Where the shoulder lines meet the neck, and where the tilted plane through both leaves the middle.

    The plane stands for the pit of the neck and the seventh vertebra, which a doll need not show.
    """
    neck, found = neck_ring(figure, marks), Marks()
    if neck is None:
        return found
    for side, sign in SIGNS.items():
        end = marks.get(f"shoulder_{side}")
        if end is not None:
            found[f"neck_{side}"] = _bend(shoulder_ridge(figure, neck, end, sign), sign, TURN * figure.height)
    sides = [point for name, point in {**found, **marks}.items() if name in ("neck_left", "neck_right")]
    if sides:
        side, chain = np.mean(sides, axis=0), figure.middle
        off = chain[:, 2] - side[2] - np.tan(NECK_TILT) * (chain[:, 1] - side[1])
        at = np.flatnonzero((off[1:] < 0) != (off[:-1] < 0))
        share = off[at] / (off[at] - off[at + 1])
        points = chain[at] + share[:, None] * (chain[at + 1] - chain[at])
        before, behind = points[points[:, 1] < side[1]], points[points[:, 1] > side[1]]
        if len(before) and len(behind):
            found["neck_front"], found["neck_back"] = before[before[:, 1].argmax()], behind[behind[:, 1].argmin()]
    return found


def shoulder_ridge(figure: Figure, neck: Ring, end: FloatArray, sign: int) -> FloatArray:
    """(k, 3) the top of the shoulder, from the side of the neck at its narrowest to the shoulder end."""
    side = neck.path[(sign * neck.path[:, 0]).argmax()]
    vertices, low = figure.vertices, min(float(end[2]), neck.level) - 0.08 * figure.height
    near = figure.trunk.layers.between(low, neck.level)
    at = np.linspace(side[0], end[0], 62)[1:-1]
    order = np.argsort(at)
    cuts = cut(vertices, near, np.array([1.0, 0.0, 0.0]), at[order])
    ridge = []
    for plane in np.argsort(order):
        mine = (cuts.plane == plane) & (cuts.start[:, 2] <= neck.level)
        if mine.any():
            top = bowed(cuts.start[mine][:, 1:], cuts.end[mine][:, 1:], CREST * figure.height)
            ridge.append([cuts.start[mine][0, 0], *top])
    return np.vstack([side, *ridge, end])
