"""Dimensions of head, neck and trunk: heights, girths, and the shoulders.

Terms after ISO 8559-1:2017 and EN 13402-1:2001; each docstring is the definition.
"""

from __future__ import annotations

import numpy as np

from ..errors import MeasureError
from .body import SIDES
from .landmarks import BACK
from .neck import brow, has_head, neck_ring
from .taking import UP, Taken, Taking, path_of, plumb, ring_of
from .tape import over


def height(on: Taking) -> Taken:
    """Plumb distance from crown to sole (EN 13402-1 height); hair counts, as the doll stands."""
    return plumb(on.at("crown"), float(on.at("sole")[2]))


def head_girth(on: Taking) -> Taken:
    """Fullest level girth of the head above the ears and below a knot of hair (EN 13402-1 head girth)."""
    neck = neck_ring(on.figure, on.marks)
    if neck is None or not has_head(on.figure, neck):
        raise MeasureError("this doll shows no head")
    low, high = brow(on.figure, neck.level)
    return ring_of(on.figure.trunk.extreme(low, high, 1) or on.figure.trunk.ring(high))


def neck_girth(on: Taking) -> Taken:
    """Narrowest level girth between head and shoulders; stands for the girth below the Adam's apple (EN 13402-1 neck
    girth, ISO 8559-1 5.3.2).
    """
    return ring_of(on.figure.trunk.ring(float(on.at("neck_narrow")[2])))


def neck_width(on: Taking) -> Taken:
    """Straight across between the two points where the shoulder lines meet the neck; common practice, no source."""
    left, right = on.at("neck_left"), on.at("neck_right")
    return float(abs(left[0] - right[0])), float((left[2] + right[2]) / 2), np.array([left, right])


def shoulder_width(on: Taking) -> Taken:
    """From shoulder end to shoulder end on the skin, through the back neck point (ISO 8559-1 5.4.3 across back
    shoulder width).
    """
    figure, neck = on.figure, on.at("neck_back")
    ends = [on.at(f"shoulder_{side}") for side in SIDES]
    halves = [over(figure.vertices, figure.near(neck[2], end[2]), neck, end, BACK + UP) for end in ends]
    return path_of(halves[0][::-1], halves[1])


def shoulder_length(on: Taking, side: str) -> Taken:
    """From the side of the neck to the shoulder end, on the skin (ISO 8559-1 shoulder length)."""
    neck, end = on.at(f"neck_{side}"), on.at(f"shoulder_{side}")
    return path_of(over(on.figure.vertices, on.figure.near(neck[2], end[2]), neck, end, UP))


def chest_girth(on: Taking) -> Taken:
    """Level girth just under the armpits (EN 13402-1 chest girth)."""
    return ring_of(on.figure.trunk.ring(on.pit() - 0.004 * on.figure.height))


def bust_girth(on: Taking) -> Taken:
    """Fullest level girth across the prominence of the breasts, under the armpits, arms not taken (EN 13402-1 bust
    girth).
    """
    return ring_of(on.trunk("bust_left", "bust_right"))


def underbust_girth(on: Taking) -> Taken:
    """Level girth just below the breasts, where their profile turns back (ISO 8559-1 underbust girth)."""
    return ring_of(on.trunk("underbust_front"))


def waist_girth(on: Taking) -> Taken:
    """Narrowest level girth between hip and bust; a doll has no ribs to feel for (stands for the natural waist of EN
    13402-1).
    """
    return ring_of(on.trunk("waist_front"))


def hip_girth(on: Taking) -> Taken:
    """Fullest level girth between crotch and waist (EN 13402-1 hip girth)."""
    return ring_of(on.trunk("hip_back"))


def upper_hip_girth(on: Taking) -> Taken:
    """Level girth half-way between waist and hip; common practice, no source."""
    return ring_of(on.trunk("waist_front", "hip_back"))


def rise(on: Taking) -> Taken:
    """Plumb distance from waist to crotch (ISO 8559-1 body rise, standing instead of sitting)."""
    return plumb(on.at("waist_front"), float(on.at("crotch")[2]))
