"""Every body dimension in one table: what it is, by which standard, and how the tape takes it.

Terms and definitions after ISO 8559-1:2017 and EN 13402-1:2001, adapted where a doll has no bones to feel for. The item
numbers of ISO 8559-1 are named where known; a rule that no standard gives is marked "common practice, no source".
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from ..errors import MeasureError
from .arms import Limb
from .body import SIDES, FloatArray, Measure
from .figure import Figure, Ring
from .landmarks import BACK, FRONT, Marks, arm_ring, armpit_level, has_head, neck_ring, outward, shoulder_ridge
from .sections import cut
from .tape import lay, length, over, taut, walk

UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Taking:
    """A figure with its landmarks, ready to be measured."""

    figure: Figure
    marks: Mapping[str, FloatArray]

    def at(self, name: str) -> FloatArray:
        """One landmark."""
        if name not in self.marks:
            raise MeasureError(f"this doll shows no {name.replace('_', ' ')}")
        return self.marks[name]

    def limb(self, side: str) -> Limb:
        """One arm."""
        if side not in self.figure.limbs:
            raise MeasureError(f"this doll shows no {side} arm")
        return self.figure.limbs[side]

    def leg(self, side: str) -> FloatArray:
        """The column of loops of one leg."""
        if side not in self.figure.legs:
            raise MeasureError(f"this doll shows no {side} leg")
        return self.figure.legs[side]


Taken = tuple[float, float | None, FloatArray | None]
"""Millimetres, level, path."""


def _ring(ring: Ring | None) -> Taken:
    if ring is None:
        raise MeasureError("no closed section of the skin lies there")
    return ring.mm, ring.level, ring.path


def _path(*parts: FloatArray) -> Taken:
    path = np.vstack(parts)
    return sum(length(part) for part in parts), None, path


def _plumb(top: FloatArray, low: float) -> Taken:
    path = np.array([top, [top[0], top[1], low]])
    return float(top[2] - low), None, path


def height(on: Taking) -> Taken:
    return _plumb(on.at("crown"), float(on.at("sole")[2]))


def head_girth(on: Taking) -> Taken:
    neck = neck_ring(on.figure, on.marks)
    if neck is None or not has_head(on.figure, on.marks):
        raise MeasureError("this doll shows no head")
    low = neck.level + 0.6 * (on.figure.height - neck.level)
    return _ring(on.figure.extreme(on.figure.column, low, on.figure.height, 1))


def neck_girth(on: Taking) -> Taken:
    return _ring(neck_ring(on.figure, on.marks))


def neck_width(on: Taking) -> Taken:
    left, right = on.at("neck_left"), on.at("neck_right")
    return float(abs(left[0] - right[0])), float((left[2] + right[2]) / 2), np.array([left, right])


def shoulder_width(on: Taking) -> Taken:
    body = on.figure.vertices, on.figure.skin.faces
    neck = on.at("neck_back")
    halves = [over(*body, neck, on.at(f"shoulder_{side}"), BACK + UP) for side in SIDES]
    return _path(halves[0][::-1], halves[1])


def shoulder_length(on: Taking, side: str) -> Taken:
    return _path(over(on.figure.vertices, on.figure.skin.faces, on.at(f"neck_{side}"), on.at(f"shoulder_{side}"), UP))


def chest_girth(on: Taking) -> Taken:
    level = armpit_level(on.figure, on.marks) - 0.004 * on.figure.height
    return _ring(on.figure.ring(on.figure.column, level))


def bust_girth(on: Taking) -> Taken:
    return _ring(on.figure.ring(on.figure.column, float(on.at("bust_left")[2] + on.at("bust_right")[2]) / 2))


def underbust_girth(on: Taking) -> Taken:
    return _ring(on.figure.ring(on.figure.column, float(on.at("underbust_front")[2])))


def waist_girth(on: Taking) -> Taken:
    return _ring(on.figure.ring(on.figure.column, float(on.at("waist_front")[2])))


def hip_girth(on: Taking) -> Taken:
    return _ring(on.figure.ring(on.figure.column, float(on.at("hip_back")[2])))


def upper_hip_girth(on: Taking) -> Taken:
    level = float(on.at("waist_front")[2] + on.at("hip_back")[2]) / 2
    return _ring(on.figure.ring(on.figure.column, level))


def rise(on: Taking) -> Taken:
    return _plumb(on.at("waist_front"), float(on.at("crotch")[2]))


def thigh_girth(on: Taking, side: str) -> Taken:
    top = float(on.at("crotch")[2])
    knee = float(on.at(f"knee_{side}")[2])
    return _ring(on.figure.extreme(on.leg(side), (knee + top) / 2, 0.995 * top, 1))


def knee_girth(on: Taking, side: str) -> Taken:
    return _ring(on.figure.ring(on.leg(side), float(on.at(f"knee_{side}")[2])))


def calf_girth(on: Taking, side: str) -> Taken:
    low, high = float(on.at(f"ankle_{side}")[2]), float(on.at(f"knee_{side}")[2])
    return _ring(on.figure.extreme(on.leg(side), low + 0.1 * (high - low), high - 0.1 * (high - low), 1))


def ankle_girth(on: Taking, side: str) -> Taken:
    return _ring(on.figure.ring(on.leg(side), float(on.at(f"ankle_{side}")[2])))


def foot_length(on: Taking, side: str) -> Taken:
    heel, toe = on.at(f"heel_{side}"), on.at(f"toe_{side}")
    ahead = _ahead(on, side)
    return float((toe - heel) @ ahead), None, np.array([heel, toe])


def heel_ankle_girth(on: Taking, side: str) -> Taken:
    """The shortest tape through the back corner of the heel, over all tilts of its plane."""
    figure, heel, ahead = on.figure, on.at(f"heel_{side}"), _ahead(on, side)
    sign, top = (1 if side == "left" else -1), float(on.at(f"ankle_{side}")[2])
    corner = figure.vertices[figure.faces].reshape(-1, 9)
    middle = float(on.at("crotch")[0])
    mine = (corner[:, 2::3].min(axis=1) < 2.5 * top) & (sign * (corner[:, ::3].mean(axis=1) - middle) > 0)
    faces = figure.faces[mine]
    foot = figure.vertices[np.unique(faces)]
    back = foot[(foot @ (ahead + UP)).argmin()] + 0.02 * float((on.at(f"toe_{side}") - heel) @ ahead) * (ahead + UP)
    best: tuple[float, FloatArray] | None = None
    aside = np.cross(UP, ahead)
    for tilt in np.radians(np.arange(15, 76, 3)):
        normal = np.cross(aside, np.cos(tilt) * ahead + np.sin(tilt) * UP)
        cuts = cut(figure.vertices, faces, normal, np.array([back @ normal]))
        whole = [int(loop) for loop in cuts.on(0)[:3] if cuts.closed(int(loop))]
        if whole:
            near = min(whole, key=lambda loop: float(((cuts.points(loop) - back) ** 2).sum(axis=1).min()))
            found = taut(cuts.points(near), normal)
            best = found if best is None or found[0] < best[0] else best
    if best is None:
        raise MeasureError("no closed section of the foot passes heel and instep")
    return best[0], None, best[1]


def _ahead(on: Taking, side: str) -> FloatArray:
    """Level direction of a foot, from heel to toe."""
    way = (on.at(f"toe_{side}") - on.at(f"heel_{side}")) * np.array([1.0, 1.0, 0.0])
    return way / np.linalg.norm(way)


def upper_arm_girth(on: Taking, side: str) -> Taken:
    limb = on.limb(side)
    upper = limb.axis[0] - walk(limb.axis, limb.elbow)
    upper /= np.linalg.norm(upper)
    top = float((limb.axis[0] - limb.armpit) @ upper)
    girths = [
        arm_ring(on.figure, limb, walk(limb.axis, at), upper)
        for at in np.linspace(max(top, 0) + 0.06 * limb.elbow, 0.85 * limb.elbow, 24)
    ]
    mm, path = max(girths, key=lambda ring: ring[0])
    return mm, float(path[:, 2].mean()), path


def elbow_girth(on: Taking, side: str) -> Taken:
    limb = on.limb(side)
    way = walk(limb.axis, limb.elbow + 0.3 * (limb.wrist - limb.elbow)) - walk(limb.axis, 0.7 * limb.elbow)
    return _across(on, limb, walk(limb.axis, limb.elbow), way)


def wrist_girth(on: Taking, side: str) -> Taken:
    limb = on.limb(side)
    end = walk(limb.axis, limb.wrist)
    return _across(on, limb, end, end - walk(limb.axis, (limb.elbow + limb.wrist) / 2))


def _across(on: Taking, limb: Limb, middle: FloatArray, way: FloatArray) -> Taken:
    mm, path = arm_ring(on.figure, limb, middle, way / np.linalg.norm(way))
    return mm, float(middle[2]), path


def hand_girth(on: Taking, side: str) -> Taken:
    """The longest tape square to the hand, thumb and all fingers within it."""
    limb, figure = on.limb(side), on.figure
    wrist, tip = walk(limb.axis, limb.wrist), limb.axis[-1]
    reach = float(np.linalg.norm(tip - wrist))
    if reach < 0.02 * figure.height:
        raise MeasureError(f"this doll shows no {side} hand")
    way = (tip - wrist) / reach
    arm = figure.skin.faces[limb.faces]
    mine = arm[figure.arms[side][arm].all(axis=1)]
    offsets = float(wrist @ way) + np.linspace(0.02, 0.9, 45) * reach
    cuts = cut(figure.vertices, mine, way, offsets)
    best = max(
        (taut(cuts.start[cuts.plane == plane], way) for plane in np.unique(cuts.plane)), key=lambda ring: ring[0]
    )
    return best[0], float(best[1][:, 2].mean()), best[1]


def arm_length(on: Taking, side: str) -> Taken:
    limb = on.limb(side)
    faces = on.figure.skin.faces[limb.faces]
    shoulder, elbow, wrist = (on.at(f"{name}_{side}") for name in ("shoulder", "elbow", "wrist"))
    upper = over(on.figure.vertices, faces, shoulder, elbow, outward(limb, elbow - shoulder))
    lower = over(on.figure.vertices, faces, elbow, wrist, outward(limb, wrist - elbow))
    return _path(upper, lower)


def scye_depth(on: Taking) -> Taken:
    level = armpit_level(on.figure, on.marks)
    return _path(_down_the_back(on, level))


def back_waist_length(on: Taking) -> Taken:
    return _path(_down_the_back(on, float(on.at("waist_back")[2])))


def _down_the_back(on: Taking, level: float) -> FloatArray:
    path = lay(on.figure.middle, on.at("neck_back"), on.at("waist_back"), BACK)
    return _until(path, level)


def _until(path: FloatArray, level: float) -> FloatArray:
    """A path that goes down, cut off at a level."""
    below = np.flatnonzero(path[:, 2] <= level)
    if not len(below) or below[0] == 0:
        return path
    at = below[0]
    share = (path[at - 1, 2] - level) / (path[at - 1, 2] - path[at, 2])
    return np.vstack([path[:at], path[at - 1] + share * (path[at] - path[at - 1])])


def front_waist_length(on: Taking, side: str) -> Taken:
    figure, bust = on.figure, on.at(f"bust_{side}")
    top = over(figure.vertices, figure.skin.faces, on.at(f"neck_{side}"), bust, FRONT)
    cuts = cut(figure.vertices, figure.faces, np.array([1.0, 0.0, 0.0]), np.array([bust[0]]))
    chain = cuts.chain(int(cuts.on(0)[0]))
    low = on.at("waist_front")[2]
    candidates = chain[np.abs(chain[:, 2] - low) < 0.02 * figure.height]
    foot = candidates[candidates[:, 1].argmin()]
    return _path(top, _until(lay(chain, bust, foot - 0.02 * figure.height * UP, FRONT), float(low)))


def bust_point_distance(on: Taking) -> Taken:
    left, right = on.at("bust_left"), on.at("bust_right")
    return float(np.linalg.norm(left - right)), float((left[2] + right[2]) / 2), np.array([left, right])


def waist_height(on: Taking) -> Taken:
    return _plumb(on.at("waist_front"), float(on.at("sole")[2]))


def inside_leg(on: Taking) -> Taken:
    return _plumb(on.at("crotch"), float(on.at("sole")[2]))


def shoulder_height(on: Taking, side: str) -> Taken:
    return _plumb(on.at(f"neck_{side}"), float(on.at("sole")[2]))


def span(on: Taking) -> Taken:
    left, right = (arm_length(on, side) for side in SIDES)
    across = shoulder_width(on)
    assert left[2] is not None and right[2] is not None and across[2] is not None
    return left[0] + across[0] + right[0], None, np.vstack([left[2][::-1], across[2], right[2]])


@dataclass(frozen=True)
class Dimension:
    """One row of the table.

    Attributes
    ----------
    rule : str
        The definition, with the standard it follows.
    take : callable
        Of a `Taking`; of a `Taking` and a side where `sided`.
    """

    name: str
    rule: str
    take: Callable[..., Taken]
    sided: bool = False


TABLE: tuple[Dimension, ...] = (
    Dimension(
        "height", "Plumb distance from crown to sole (EN 13402-1 height); hair counts, as the doll stands.", height
    ),
    Dimension("head_girth", "Fullest level girth of the head above the ears (EN 13402-1 head girth).", head_girth),
    Dimension(
        "neck_girth",
        "Narrowest level girth between head and shoulders; stands for the girth below the Adam's "
        "apple (EN 13402-1 neck girth, ISO 8559-1 5.3.2).",
        neck_girth,
    ),
    Dimension(
        "neck_width",
        "Straight across between the two points where the shoulder lines meet the neck; common practice, no source.",
        neck_width,
    ),
    Dimension(
        "shoulder_width",
        "From shoulder end to shoulder end on the skin, through the back neck point "
        "(ISO 8559-1 5.4.3 across back shoulder width).",
        shoulder_width,
    ),
    Dimension(
        "shoulder_length",
        "From the side of the neck to the shoulder end, on the skin (ISO 8559-1 shoulder length).",
        shoulder_length,
        True,
    ),
    Dimension("chest_girth", "Level girth just under the armpits (EN 13402-1 chest girth).", chest_girth),
    Dimension(
        "bust_girth",
        "Fullest level girth across the prominence of the breasts, under the armpits, arms not "
        "taken (EN 13402-1 bust girth).",
        bust_girth,
    ),
    Dimension(
        "underbust_girth",
        "Level girth just below the breasts, where their profile turns back (ISO 8559-1 underbust girth).",
        underbust_girth,
    ),
    Dimension(
        "waist_girth",
        "Narrowest level girth between hip and bust; a doll has no ribs to feel for (stands for "
        "the natural waist of EN 13402-1).",
        waist_girth,
    ),
    Dimension("hip_girth", "Fullest level girth between crotch and waist (EN 13402-1 hip girth).", hip_girth),
    Dimension(
        "upper_hip_girth", "Level girth half-way between waist and hip; common practice, no source.", upper_hip_girth
    ),
    Dimension("rise", "Plumb distance from waist to crotch (ISO 8559-1 body rise, standing instead of sitting).", rise),
    Dimension(
        "thigh_girth", "Fullest level girth of one leg below the crotch (ISO 8559-1 thigh girth).", thigh_girth, True
    ),
    Dimension(
        "knee_girth",
        "Level girth where the leg is slimmest between thigh and calf (stands for the knee cap of "
        "ISO 8559-1 knee girth).",
        knee_girth,
        True,
    ),
    Dimension("calf_girth", "Fullest level girth between knee and ankle (ISO 8559-1 calf girth).", calf_girth, True),
    Dimension("ankle_girth", "Narrowest level girth above the foot (ISO 8559-1 minimum leg girth).", ankle_girth, True),
    Dimension("foot_length", "From heel to longest toe along the foot (ISO 8559-1 foot length).", foot_length, True),
    Dimension(
        "heel_ankle_girth",
        "Shortest tape round the corner of the heel and the instep: what a trouser leg must "
        "pass; common practice, no source.",
        heel_ankle_girth,
        True,
    ),
    Dimension(
        "upper_arm_girth",
        "Fullest girth square to the upper arm, below the armpit (ISO 8559-1 5.3.16).",
        upper_arm_girth,
        True,
    ),
    Dimension(
        "elbow_girth",
        "Girth square to the arm at the elbow, arm as the doll holds it (ISO 8559-1 elbow girth).",
        elbow_girth,
        True,
    ),
    Dimension(
        "wrist_girth",
        "Narrowest girth between forearm and hand, square to the forearm (stands for the wrist "
        "bone of ISO 8559-1 wrist girth).",
        wrist_girth,
        True,
    ),
    Dimension(
        "hand_girth",
        "Longest tape square to the hand with the thumb in it: what a sleeve must pass; common practice, no source.",
        hand_girth,
        True,
    ),
    Dimension(
        "arm_length",
        "From the shoulder end over the elbow to the wrist, on the skin (EN 13402-1 arm length), "
        "arm as the doll holds it.",
        arm_length,
        True,
    ),
    Dimension(
        "scye_depth",
        "From the back of the neck down the back to the level of the armpits, on the skin "
        "(ISO 8559-1 scye depth length).",
        scye_depth,
    ),
    Dimension(
        "back_waist_length",
        "From the back of the neck down the back to the waist, on the skin (ISO 8559-1 back waist length).",
        back_waist_length,
    ),
    Dimension(
        "front_waist_length",
        "From the side of the neck over the bust point and down to the waist, on the skin "
        "(ISO 8559-1 front waist length).",
        front_waist_length,
        True,
    ),
    Dimension(
        "bust_point_distance",
        "Straight between the two bust points (ISO 8559-1 bust point width).",
        bust_point_distance,
    ),
    Dimension("waist_height", "Plumb distance from waist to sole (ISO 8559-1 waist height).", waist_height),
    Dimension("inside_leg", "Plumb distance from crotch to sole (EN 13402-1 inside leg length).", inside_leg),
    Dimension(
        "shoulder_height",
        "Plumb distance from the side of the neck, where the shoulder line begins, to the "
        "sole; common practice, no source.",
        shoulder_height,
        True,
    ),
    Dimension(
        "span",
        "From wrist to wrist on the skin, over elbows, shoulder ends and the back of the neck (twice "
        "ISO 8559-1 5.4.17).",
        span,
    ),
)


def take_all(figure: Figure, marks: Marks) -> tuple[dict[str, Measure], tuple[str, ...]]:
    """All dimensions that this doll has, and the names of the missing ones with the reason."""
    on, found, missing = Taking(figure, marks), {}, []
    for row in TABLE:
        try:
            found[row.name] = _both(on, row) if row.sided else _once(on, row)
        except MeasureError as why:
            missing.append(f"{row.name}: {why}")
    return found, tuple(missing)


def _once(on: Taking, row: Dimension) -> Measure:
    mm, level, path = row.take(on)
    return Measure(row.name, float(mm), level, path=path)


def _both(on: Taking, row: Dimension) -> Measure:
    """A dimension that exists twice: the mean of both sides, or the one there is."""
    taken: dict[str, Taken] = {}
    why: MeasureError | None = None
    for side in SIDES:
        try:
            taken[side] = row.take(on, side)
        except MeasureError as error:
            why = error
    if not taken:
        raise why or MeasureError("neither side shows it")
    levels = [each[1] for each in taken.values() if each[1] is not None]
    shown = next(iter(taken.values()))
    left, right = (taken[side][0] if side in taken else None for side in SIDES)
    mean = float(np.mean([each[0] for each in taken.values()]))
    return Measure(row.name, mean, float(np.mean(levels)) if levels else None, left, right, shown[2])
