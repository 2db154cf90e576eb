"""Every body dimension in one table: what it is, by which standard, and how the tape takes it.

Terms and definitions after ISO 8559-1:2017 and EN 13402-1:2001, adapted where a doll has no bones to feel for. The item
numbers of ISO 8559-1 are named where known; a rule that no standard gives is marked "common practice, no source".
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..errors import MeasureError
from .body import SIDES, Measure
from .figure import Figure
from .landmarks import BACK, FRONT, outward
from .neck import Marks, brow, has_head, neck_ring
from .taking import (
    UP,
    Taken,
    Taking,
    across,
    down_the_back,
    foot_ahead,
    hand_tape,
    heel_ankle_tape,
    path_of,
    plumb,
    ring_of,
    until,
    upper_arm_tape,
    wrist_tape,
)
from .tape import lay, over, walk


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
    sided: bool


TABLE: list[Dimension] = []
"""All dimensions, in the order in which a maker works down the body."""


def _row(take: Callable[..., Taken]) -> Callable[..., Taken]:
    """Enter a function into the table; its docstring is the definition."""
    rule = " ".join((inspect.getdoc(take) or "").split())
    TABLE.append(Dimension(take.__name__, rule, take, "side" in inspect.signature(take).parameters))
    return take


@_row
def height(on: Taking) -> Taken:
    """Plumb distance from crown to sole (EN 13402-1 height); hair counts, as the doll stands."""
    return plumb(on.at("crown"), float(on.at("sole")[2]))


@_row
def head_girth(on: Taking) -> Taken:
    """Fullest level girth of the head above the ears and below a knot of hair (EN 13402-1 head girth)."""
    neck = neck_ring(on.figure, on.marks)
    if neck is None or not has_head(on.figure, neck):
        raise MeasureError("this doll shows no head")
    low, high = brow(on.figure, neck.level)
    return ring_of(on.figure.trunk.extreme(low, high, 1) or on.figure.trunk.ring(high))


@_row
def neck_girth(on: Taking) -> Taken:
    """Narrowest level girth between head and shoulders; stands for the girth below the Adam's apple (EN 13402-1 neck
    girth, ISO 8559-1 5.3.2).
    """
    return ring_of(on.figure.trunk.ring(float(on.at("neck_narrow")[2])))


@_row
def neck_width(on: Taking) -> Taken:
    """Straight across between the two points where the shoulder lines meet the neck; common practice, no source."""
    left, right = on.at("neck_left"), on.at("neck_right")
    return float(abs(left[0] - right[0])), float((left[2] + right[2]) / 2), np.array([left, right])


@_row
def shoulder_width(on: Taking) -> Taken:
    """From shoulder end to shoulder end on the skin, through the back neck point (ISO 8559-1 5.4.3 across back
    shoulder width).
    """
    figure, neck = on.figure, on.at("neck_back")
    ends = [on.at(f"shoulder_{side}") for side in SIDES]
    halves = [over(figure.vertices, figure.near(neck[2], end[2]), neck, end, BACK + UP) for end in ends]
    return path_of(halves[0][::-1], halves[1])


@_row
def shoulder_length(on: Taking, side: str) -> Taken:
    """From the side of the neck to the shoulder end, on the skin (ISO 8559-1 shoulder length)."""
    neck, end = on.at(f"neck_{side}"), on.at(f"shoulder_{side}")
    return path_of(over(on.figure.vertices, on.figure.near(neck[2], end[2]), neck, end, UP))


@_row
def chest_girth(on: Taking) -> Taken:
    """Level girth just under the armpits (EN 13402-1 chest girth)."""
    return ring_of(on.figure.trunk.ring(on.pit() - 0.004 * on.figure.height))


@_row
def bust_girth(on: Taking) -> Taken:
    """Fullest level girth across the prominence of the breasts, under the armpits, arms not taken (EN 13402-1 bust
    girth).
    """
    return ring_of(on.trunk("bust_left", "bust_right"))


@_row
def underbust_girth(on: Taking) -> Taken:
    """Level girth just below the breasts, where their profile turns back (ISO 8559-1 underbust girth)."""
    return ring_of(on.trunk("underbust_front"))


@_row
def waist_girth(on: Taking) -> Taken:
    """Narrowest level girth between hip and bust; a doll has no ribs to feel for (stands for the natural waist of EN
    13402-1).
    """
    return ring_of(on.trunk("waist_front"))


@_row
def hip_girth(on: Taking) -> Taken:
    """Fullest level girth between crotch and waist (EN 13402-1 hip girth)."""
    return ring_of(on.trunk("hip_back"))


@_row
def upper_hip_girth(on: Taking) -> Taken:
    """Level girth half-way between waist and hip; common practice, no source."""
    return ring_of(on.trunk("waist_front", "hip_back"))


@_row
def rise(on: Taking) -> Taken:
    """Plumb distance from waist to crotch (ISO 8559-1 body rise, standing instead of sitting)."""
    return plumb(on.at("waist_front"), float(on.at("crotch")[2]))


@_row
def thigh_girth(on: Taking, side: str) -> Taken:
    """Fullest level girth of one leg below the crotch (ISO 8559-1 thigh girth)."""
    top = float(on.at("crotch")[2])
    knee = float(on.at(f"knee_{side}")[2])
    on.clear_of_arms()
    return ring_of(on.leg(side).extreme((knee + top) / 2, 0.995 * top, 1))


@_row
def knee_girth(on: Taking, side: str) -> Taken:
    """Level girth over the knee cap, a little above the hollow that ends the calf (ISO 8559-1 knee
    girth).
    """
    return ring_of(on.leg(side).ring(float(on.at(f"knee_{side}")[2])))


@_row
def calf_girth(on: Taking, side: str) -> Taken:
    """Fullest level girth between knee and ankle (ISO 8559-1 calf girth)."""
    low, high = float(on.at(f"ankle_{side}")[2]), float(on.at(f"knee_{side}")[2])
    return ring_of(on.leg(side).extreme(low + 0.1 * (high - low), high - 0.15 * (high - low), 1))


@_row
def ankle_girth(on: Taking, side: str) -> Taken:
    """Narrowest level girth above the foot (ISO 8559-1 minimum leg girth)."""
    return ring_of(on.leg(side).ring(float(on.at(f"ankle_{side}")[2])))


@_row
def foot_length(on: Taking, side: str) -> Taken:
    """From heel to longest toe along the foot (ISO 8559-1 foot length)."""
    heel, toe = on.at(f"heel_{side}"), on.at(f"toe_{side}")
    ahead = foot_ahead(on, side)
    mm = float((toe - heel) @ ahead)
    start = np.array([heel[0], heel[1], 0.0])
    return mm, None, np.array([start, start + mm * ahead])


@_row
def heel_ankle_girth(on: Taking, side: str) -> Taken:
    """Shortest tape round the corner of the heel and the instep: what a trouser leg must pass; common practice, no
    source.
    """
    return heel_ankle_tape(on, side)


@_row
def upper_arm_girth(on: Taking, side: str) -> Taken:
    """Fullest girth square to the upper arm, below the armpit (ISO 8559-1 5.3.16)."""
    return upper_arm_tape(on, side)


@_row
def elbow_girth(on: Taking, side: str) -> Taken:
    """Girth square to the arm at the elbow, arm as the doll holds it (ISO 8559-1 elbow girth)."""
    limb = on.handed(side)
    way = walk(limb.axis, limb.elbow + 0.3 * (limb.wrist - limb.elbow)) - walk(limb.axis, 0.7 * limb.elbow)
    return across(on, limb, walk(limb.axis, limb.elbow), way)


@_row
def wrist_girth(on: Taking, side: str) -> Taken:
    """Narrowest girth between forearm and hand, square to the forearm (stands for the wrist bone of ISO 8559-1 wrist
    girth).
    """
    return wrist_tape(on, side)


@_row
def hand_girth(on: Taking, side: str) -> Taken:
    """Longest tape square to the hand with the thumb in it: what a sleeve must pass; common practice, no source."""
    return hand_tape(on, side)


@_row
def arm_length(on: Taking, side: str) -> Taken:
    """From the shoulder end over the elbow to the wrist, on the skin (EN 13402-1 arm length), arm as the doll holds it;
    to the end of an arm without a hand.
    """
    limb = on.limb(side)
    faces = on.figure.skin.faces[limb.faces]
    shoulder, elbow, wrist = (on.at(f"{name}_{side}") for name in ("shoulder", "elbow", "wrist"))
    upper = over(on.figure.vertices, faces, shoulder, elbow, outward(limb, elbow - shoulder))
    lower = over(on.figure.vertices, faces, elbow, wrist, outward(limb, wrist - elbow))
    return path_of(upper, lower)


@_row
def scye_depth(on: Taking) -> Taken:
    """From the back of the neck down the back to the level of the armpits, on the skin (ISO 8559-1 scye depth
    length).
    """
    return path_of(down_the_back(on, on.pit()))


@_row
def back_waist_length(on: Taking) -> Taken:
    """From the back of the neck down the back to the waist, on the skin (ISO 8559-1 back waist length)."""
    return path_of(down_the_back(on, float(on.at("waist_back")[2])))


@_row
def front_waist_length(on: Taking, side: str) -> Taken:
    """From the side of the neck over the bust point and down to the waist, on the skin (ISO 8559-1 front waist
    length).
    """
    figure, bust = on.figure, on.at(f"bust_{side}")
    neck = on.at(f"neck_{side}")
    top = over(figure.vertices, figure.near(neck[2], bust[2]), neck, bust, FRONT)
    chain = figure.upright(float(bust[0]))
    low = on.at("waist_front")[2]
    candidates = chain[np.abs(chain[:, 2] - low) < 0.02 * figure.height]
    foot = candidates[candidates[:, 1].argmin()]
    return path_of(top, until(lay(chain, bust, foot - 0.02 * figure.height * UP, FRONT), float(low)))


@_row
def bust_point_distance(on: Taking) -> Taken:
    """Straight between the two bust points (ISO 8559-1 bust point width)."""
    left, right = on.at("bust_left"), on.at("bust_right")
    return float(np.linalg.norm(left - right)), float((left[2] + right[2]) / 2), np.array([left, right])


@_row
def waist_height(on: Taking) -> Taken:
    """Plumb distance from waist to sole (ISO 8559-1 waist height)."""
    return plumb(on.at("waist_front"), float(on.at("sole")[2]))


@_row
def inside_leg(on: Taking) -> Taken:
    """Plumb distance from crotch to sole (EN 13402-1 inside leg length)."""
    return plumb(on.at("crotch"), float(on.at("sole")[2]))


@_row
def shoulder_height(on: Taking, side: str) -> Taken:
    """Plumb distance from the side of the neck, where the shoulder line begins, to the sole; common practice, no
    source.
    """
    return plumb(on.at(f"neck_{side}"), float(on.at("sole")[2]))


@_row
def span(on: Taking) -> Taken:
    """From wrist to wrist on the skin, over elbows, shoulder ends and the back of the neck (twice ISO 8559-1
    5.4.17).
    """
    left, right = (arm_length(on, side) for side in SIDES)
    across = shoulder_width(on)
    paths = [part for part in (left[2], across[2], right[2]) if part is not None]
    paths[0] = paths[0][::-1]
    return left[0] + across[0] + right[0], None, np.vstack(paths)


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
