"""Lengths down and across the body, on the skin or plumb.

Terms after ISO 8559-1:2017 and EN 13402-1:2001; each docstring is the definition.
"""

from __future__ import annotations

import numpy as np

from .body import SIDES
from .landmarks import FRONT
from .limb_rows import arm_length
from .taking import UP, Taken, Taking, down_the_back, path_of, plumb, until
from .tape import lay, over
from .trunk_rows import shoulder_width


def scye_depth(on: Taking) -> Taken:
    """From the back of the neck down the back to the level of the armpits, on the skin (ISO 8559-1 scye depth
    length).
    """
    return path_of(down_the_back(on, on.pit()))


def back_waist_length(on: Taking) -> Taken:
    """From the back of the neck down the back to the waist, on the skin (ISO 8559-1 back waist length)."""
    return path_of(down_the_back(on, float(on.at("waist_back")[2])))


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


def bust_point_distance(on: Taking) -> Taken:
    """Straight between the two bust points (ISO 8559-1 bust point width)."""
    left, right = on.at("bust_left"), on.at("bust_right")
    return float(np.linalg.norm(left - right)), float((left[2] + right[2]) / 2), np.array([left, right])


def waist_height(on: Taking) -> Taken:
    """Plumb distance from waist to sole (ISO 8559-1 waist height)."""
    return plumb(on.at("waist_front"), float(on.at("sole")[2]))


def inside_leg(on: Taking) -> Taken:
    """Plumb distance from crotch to sole (EN 13402-1 inside leg length)."""
    return plumb(on.at("crotch"), float(on.at("sole")[2]))


def shoulder_height(on: Taking, side: str) -> Taken:
    """Plumb distance from the side of the neck, where the shoulder line begins, to the sole; common practice, no
    source.
    """
    return plumb(on.at(f"neck_{side}"), float(on.at("sole")[2]))


def span(on: Taking) -> Taken:
    """From wrist to wrist on the skin, over elbows, shoulder ends and the back of the neck (twice ISO 8559-1
    5.4.17).
    """
    left, right = (arm_length(on, side) for side in SIDES)
    across = shoulder_width(on)
    paths = [part for part in (left[2], across[2], right[2]) if part is not None]
    paths[0] = paths[0][::-1]
    return left[0] + across[0] + right[0], None, np.vstack(paths)
