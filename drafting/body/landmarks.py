"""The points a tape starts from, found on any doll.

A doll has no bones: where the standards name one, the nearest thing that a maker can see stands in for it, and each
rule below says which. Terms after ISO 8559-1 and EN 13402-1.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..errors import MeasureError
from .arm_line import ring_about
from .arms import Limb
from .body import SIDES, FloatArray
from .column import Column, Ring
from .figure import Figure, at_level
from .neck import Marks, armpit_level, narrowest, neck_base, shoulder_ends
from .sections import cut
from .steady import bowed, summit, turning
from .tape import hull, length, lengths, taut, walk

FRONT, BACK = np.array([0.0, -1.0, 0.0]), np.array([0.0, 1.0, 0.0])

HOLLOW = 0.002
"""A leg that is slimmer by this share above its calf shows a knee."""
CAP = 0.055
"""The knee cap above the hollow, as a share of the inside leg; common practice, no source."""
WAISTED = 0.01
"""What is narrower than its surroundings by this share is a waist."""
SOLE, UNDER_SOLE = 0.002, 0.2
"""What lies so low, as a share of the height, is a sole; it rests on the level that a fifth of it reaches."""
FOOT = 1.3
"""A foot is longer than an ankle is thick by this factor; a leg that ends in a stump is not."""
HEEL = 0.1
"""A heel is round within this share of the foot's length to both sides of its end; common practice, no source."""
PIT_SHARE = 0.755
"""Armpits above the soles where neither arms nor shoulders show: 1328 of 1755 mm (ANSUR II)."""
DEEP, HOLLOWED = 0.3, 0.01
"""All within this share of the deepest, or slimmest, have a say in where underbust and knee hollow are."""
SWELL, UNDER = 0.03, 0.025
"""The trunk swells and narrows evenly within this share of the height, and falls away under the bust within that."""
FOLD = 0.005
"""A profile that nowhere lies so far behind the line from bust to waist, as a share of its length, has no fold; common
practice, no source."""
TIP = 0.06
"""The most forward share of the trunk's depth is the tip of a breast."""
KNEE_SHARE = 0.59
"""Knee cap above the sole, as a share of the inside leg, where a leg shows no knee. From memory (ANSUR II)."""


NAMES = (
    "crown", "sole", "neck_narrow", "neck_front", "neck_back", "crotch", "waist_front", "waist_back", "hip_back",
    "underbust_front",
    *(f"{name}_{side}" for name in (
        "neck", "shoulder", "armpit", "bust", "elbow", "wrist", "hand_tip", "knee", "ankle", "heel", "toe",
    ) for side in SIDES),
)  # fmt: skip
"""All landmarks that a doll may have."""


def find_landmarks(figure: Figure, given: Mapping[str, FloatArray] | None = None) -> Marks:
    """All landmarks that this doll has; `given` ones are kept as they are and the others follow them."""
    marks: Marks = {name: np.asarray(point, float) for name, point in (given or {}).items()}
    for finder in (_ends, _arms, narrowest, shoulder_ends, _trunk, neck_base, _legs):
        for name, point in finder(figure, marks).items():
            marks.setdefault(name, point)
    return marks


def _ends(figure: Figure, marks: Marks) -> Marks:
    """Crown and sole: the highest point, and the level that the soles rest on."""
    vertices = figure.vertices
    lowest = vertices[vertices[:, 2].argmin()]
    sole = np.array([lowest[0], lowest[1], _rest(figure, float(lowest[2]))])
    return {"crown": vertices[vertices[:, 2].argmax()], "sole": sole}


def _rest(figure: Figure, low: float) -> float:
    """The level under which some of the lowest skin lies, by its area in plan: one rough point is no sole."""
    high = low + SOLE * figure.height
    corner = figure.vertices[figure.layers.between(low, high)]
    corner = corner[corner[:, :, 2].mean(axis=1) < high]
    if not len(corner):
        return low
    sides = (corner[:, 1:] - corner[:, :1])[:, :, :2]
    area = np.abs(np.linalg.det(sides))
    level = corner[:, :, 2].mean(axis=1)
    order = np.argsort(level)
    under = np.cumsum(area[order])
    return float(level[order[np.searchsorted(under, UNDER_SOLE * under[-1])]])


def outward(limb: Limb, direction: FloatArray) -> FloatArray:
    """The side of an arm that looks away from the body: up for a raised arm, sideways for one that hangs."""
    away = np.array([-limb.side * direction[2], 0.0, limb.side * direction[0]])
    return away / np.linalg.norm(away)


def _arms(figure: Figure, marks: Marks) -> Marks:
    """Shoulder end and armpit from the arm root; elbow and wrist on the arm's outer side; finger tip."""
    found: Marks = {}
    for side, limb in figure.limbs.items():
        elbow, wrist = walk(limb.axis, limb.elbow), walk(limb.axis, limb.wrist)
        found[f"armpit_{side}"], found[f"shoulder_{side}"] = limb.armpit, limb.shoulder
        found[f"hand_tip_{side}"] = figure.vertices[limb.tip]
        bend = walk(limb.axis, 0.5 * (limb.elbow + limb.wrist)) - walk(limb.axis, 0.5 * limb.elbow)
        found[f"elbow_{side}"] = _outermost(figure, limb, elbow, bend)
        found[f"wrist_{side}"] = _outermost(figure, limb, wrist, wrist - elbow)
    return found


def _outermost(figure: Figure, limb: Limb, middle: FloatArray, direction: FloatArray) -> FloatArray:
    direction = direction / np.linalg.norm(direction)
    ring, away = arm_ring(figure, limb, middle, direction)[1], outward(limb, direction)
    aside = np.cross(away, direction)
    flat = (ring - middle) @ np.stack([aside, away], axis=1)
    top = bowed(flat[:-1], flat[1:], 0.5 * float(flat[:, 1].max()))
    return middle + top[0] * aside + top[1] * away


def arm_ring(figure: Figure, limb: Limb, middle: FloatArray, direction: FloatArray) -> tuple[float, FloatArray]:
    """Taut tape round an arm, square to `direction`, through `middle`: mm and path."""
    faces = figure.limb_faces[limb.side]
    cuts = cut(figure.vertices, faces, direction, np.array([middle @ direction]))
    loop = ring_about(cuts, 0, middle)
    if loop < 0:
        raise MeasureError("the arm has no closed section there")
    return taut(cuts.points(loop), direction)


def _trunk(figure: Figure, marks: Marks) -> Marks:
    """Levels of waist (narrowest), hip (fullest) and bust (fullest near the most forward point)."""
    found: Marks = {}
    pit = armpit_level(marks)
    if figure.crotch is not None:
        found["crotch"] = figure.crotch
    low = float(marks.get("crotch", found.get("crotch", np.zeros(3)))[2])
    top = pit or PIT_SHARE * figure.height
    waist = figure.trunk.extreme(low + 0.2 * (top - low), top - 0.15 * (top - low), -1, SWELL)
    if waist is None or not figure.clear(waist.level) or not (figure.whole or _inner(figure, waist, top)):
        return found
    found["waist_front"], found["waist_back"] = _on_middle(figure, waist.level)
    level = float(marks.get("waist_front", found["waist_front"])[2])
    hip = figure.trunk.extreme(low, level, 1)
    if hip is not None and figure.crotch is not None and figure.clear(hip.level):
        found["hip_back"] = hip.path[hip.path[:, 1].argmax()]
    bust = _bust_level(figure, level, pit) if pit is not None else None
    if bust is not None and figure.clear(bust.level):
        found["bust_left"], found["bust_right"] = (_bust_point(figure, bust.level, sign) for sign in (1, -1))
        found |= _underbust(figure, found["bust_left"], level)
    return found


def _inner(figure: Figure, waist: Ring, top: float) -> bool:
    """Whether the trunk grows fuller both below a narrow place and above it."""
    girths, levels = figure.trunk.girths, figure.trunk.levels
    return all(
        bool((girths[side] > (1 + WAISTED) * waist.mm).any())
        for side in (levels < waist.level, (levels > waist.level) & (levels < top))
    )


def _on_middle(figure: Figure, level: float) -> tuple[FloatArray, FloatArray]:
    """Front and back point of the middle line at a level."""
    points = at_level(figure.middle, level)
    return points[points[:, 1].argmin()], points[points[:, 1].argmax()]


def _bust_level(figure: Figure, waist: float, pit: float) -> Ring | None:
    """The fullest level girth about the most forward point of the breasts, never above the armpits."""
    vertices = figure.points(waist, pit + 0.02 * figure.height)
    half = 0.5 * float(np.diff(figure.trunk.box(waist)[:, 0])[0])
    aside = np.abs(vertices[:, 0])
    front = vertices[
        (vertices[:, 2] > waist + 0.3 * (pit - waist))
        & (vertices[:, 2] < pit + 0.02 * figure.height)
        & (aside > 0.2 * half)
        & (aside < 1.3 * half)
    ]
    if not len(front):
        return None
    apex = float(front[front[:, 1].argmin(), 2])
    reach = 0.03 * figure.height
    return figure.trunk.extreme(min(apex, pit - reach) - reach, min(apex + reach, pit), 1)


def _bust_point(figure: Figure, level: float, sign: int) -> FloatArray:
    """The middle of the most forward part of one side of the trunk's section, off the middle."""
    chain = figure.trunk.section(level)
    even = walk(chain, np.linspace(0, length(chain), 1441))
    wide, deep = np.ptp(even[:, 0]), np.ptp(even[:, 1])
    mine = even[
        (sign * even[:, 0] > 0.08 * wide) & (sign * even[:, 0] < 0.45 * wide) & (even[:, 1] < even[:, 1].mean())
    ]
    weight = np.clip(1 - (mine[:, 1] - mine[:, 1].min()) / (TIP * deep), 0, None)
    at = float(weight @ mine[:, 0] / weight.sum())
    mine = mine[mine[:, 0].argsort()]
    return np.array([at, np.interp(at, mine[:, 0], mine[:, 1]), level])


def _underbust(figure: Figure, bust: FloatArray, waist: float) -> Marks:
    """Just below the breast: where the profile through the bust point is deepest behind the line to the waist; none on
    a chest that falls to the waist without a fold.
    """
    profile = profile_at(figure, float(bust[0]), float(bust[2]), waist, front=True)
    way = profile[-1] - profile[0]
    way = way / max(float(np.linalg.norm(way)), 1e-12)
    off = profile - profile[0]
    behind = (off - (off @ way)[:, None] * way) @ BACK
    if behind.max() < FOLD * length(profile):
        return {}
    along = lengths(profile)
    fold = turning(along, behind, 1, UNDER * figure.height, DEEP, summit(along, behind, 1, DEEP))
    return {"underbust_front": walk(profile, fold)}


def profile_at(figure: Figure, x: float, high: float, low: float, front: bool) -> FloatArray:
    """(k, 3) the front or back profile at one x, from the level `high` down to `low`."""
    levels = np.linspace(high, low, 60)
    chain = figure.upright(x)
    points = [at_level(chain, level) for level in levels]
    return np.array([each[(each[:, 1] if front else -each[:, 1]).argmin()] for each in points])


def _legs(figure: Figure, marks: Marks) -> Marks:
    """Knee, ankle, heel and toe of each leg."""
    found: Marks = {}
    if "crotch" not in marks:
        return found
    inside = float(marks["crotch"][2])
    for side, leg in figure.legs.items():
        ankle = leg.extreme(0.08 * inside, 0.35 * inside, -1)
        knee = leg.ring(_knee_level(leg, inside)) if ankle else None
        if ankle is None or knee is None:
            continue
        outer = 1 if side == "left" else -1
        found[f"knee_{side}"] = knee.path[knee.path[:, 1].argmin()]
        found[f"ankle_{side}"] = ankle.path[(outer * ankle.path[:, 0]).argmax()]
        found |= _foot(figure, side, ankle, float(marks["crotch"][0]))
    return found


def _knee_level(leg: Column, inside: float) -> float:
    """The knee cap, a little above the hollow that ends the calf; by people's shares where a leg shows no hollow."""
    share = leg.levels / inside
    girth = np.where(leg.loops >= 0, leg.girths, 0.0)
    calf = np.flatnonzero((share > 0.3) & (share < 0.52))
    if not len(calf):
        return KNEE_SHARE * inside
    top = int(calf[girth[calf].argmax()])
    above = np.flatnonzero((np.arange(len(share)) > top) & (share < 0.64))
    low = int(girth[above].argmin()) if len(above) else 0
    if not 0 < low < len(above) - 1 or girth[above[low]] > (1 - HOLLOW) * girth[top]:
        return KNEE_SHARE * inside
    near = slice(max(low - 6, 0), low + 7)
    return summit(leg.levels[above[near]], girth[above[near]], -1, HOLLOWED) + CAP * inside


def _foot(figure: Figure, side: str, ankle: Ring, middle: float) -> Marks:
    """Heel and toe: the ends of the foot along its own direction."""
    vertices = figure.points(-1.0, ankle.level)
    sign = 1 if side == "left" else -1
    foot = vertices[(vertices[:, 2] < ankle.level) & (sign * (vertices[:, 0] - middle) > 0)]
    centre = (ankle.path.max(axis=0) + ankle.path.min(axis=0)) / 2
    flat = (foot - centre)[:, :2]
    ahead = flat[np.linalg.norm(flat, axis=1).argmax()]
    ahead = ahead / np.linalg.norm(ahead)
    along = flat @ ahead
    if np.ptp(along) < FOOT * np.ptp(ankle.path[:, :2] @ ahead):
        return {}
    aside = np.array([-ahead[1], ahead[0]])
    outline = hull(np.stack([flat @ aside, -along], axis=1))
    end = bowed(outline, np.roll(outline, -1, axis=0), HEEL * float(np.ptp(along)))
    behind = end[0] * aside - end[1] * ahead + centre[:2]
    return {f"heel_{side}": np.array([*behind, foot[along.argmin(), 2]]), f"toe_{side}": foot[along.argmax()]}
