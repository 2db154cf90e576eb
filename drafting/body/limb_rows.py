"""Dimensions of legs, feet, arms and hands.

Terms after ISO 8559-1:2017 and EN 13402-1:2001; each docstring is the definition.
"""

from __future__ import annotations

import numpy as np

from ..errors import MeasureError
from .landmarks import outward
from .taking import (
    HANDLESS,
    Taken,
    Taking,
    across,
    foot_ahead,
    hand_tape,
    heel_ankle_tape,
    path_of,
    ring_of,
    upper_arm_tape,
    wrist_tape,
)
from .tape import over, walk


def thigh_girth(on: Taking, side: str) -> Taken:
    """Fullest level girth of one leg below the crotch (ISO 8559-1 thigh girth)."""
    top = float(on.at("crotch")[2])
    knee = float(on.at(f"knee_{side}")[2])
    on.clear_of_arms()
    return ring_of(on.leg(side).extreme((knee + top) / 2, 0.995 * top, 1))


def knee_girth(on: Taking, side: str) -> Taken:
    """Level girth over the knee cap, a little above the hollow that ends the calf (ISO 8559-1 knee
    girth).
    """
    return ring_of(on.leg(side).ring(float(on.at(f"knee_{side}")[2])))


def calf_girth(on: Taking, side: str) -> Taken:
    """Fullest level girth between knee and ankle (ISO 8559-1 calf girth)."""
    low, high = float(on.at(f"ankle_{side}")[2]), float(on.at(f"knee_{side}")[2])
    return ring_of(on.leg(side).extreme(low + 0.1 * (high - low), high - 0.15 * (high - low), 1))


def ankle_girth(on: Taking, side: str) -> Taken:
    """Narrowest level girth above the foot (ISO 8559-1 minimum leg girth)."""
    return ring_of(on.leg(side).ring(float(on.at(f"ankle_{side}")[2])))


def foot_length(on: Taking, side: str) -> Taken:
    """From heel to longest toe along the foot (ISO 8559-1 foot length)."""
    heel, toe = on.at(f"heel_{side}"), on.at(f"toe_{side}")
    ahead = foot_ahead(on, side)
    mm = float((toe - heel) @ ahead)
    start = np.array([heel[0], heel[1], 0.0])
    return mm, None, np.array([start, start + mm * ahead])


def heel_ankle_girth(on: Taking, side: str) -> Taken:
    """Shortest tape round the corner of the heel and the instep: what a trouser leg must pass; common practice, no
    source.
    """
    return heel_ankle_tape(on, side)


def upper_arm_girth(on: Taking, side: str) -> Taken:
    """Fullest girth square to the upper arm, below the armpit (ISO 8559-1 5.3.16)."""
    return upper_arm_tape(on, side)


def elbow_girth(on: Taking, side: str) -> Taken:
    """Girth square to the arm at the elbow, arm as the doll holds it (ISO 8559-1 elbow girth)."""
    limb = on.handed(side)
    way = walk(limb.axis, limb.elbow + 0.3 * (limb.wrist - limb.elbow)) - walk(limb.axis, 0.7 * limb.elbow)
    return across(on, limb, walk(limb.axis, limb.elbow), way)


def wrist_girth(on: Taking, side: str) -> Taken:
    """Narrowest girth between forearm and hand, square to the forearm (stands for the wrist bone of ISO 8559-1 wrist
    girth).
    """
    return wrist_tape(on, side)


def hand_girth(on: Taking, side: str) -> Taken:
    """Longest tape square to the hand with the thumb in it: what a sleeve must pass; common practice, no source."""
    return hand_tape(on, side)


def arm_length(on: Taking, side: str) -> Taken:
    """From the shoulder end over the elbow to the wrist, on the skin (EN 13402-1 arm length), arm as the doll holds it;
    to the end of an arm without a hand where the other has none either.
    """
    limb = on.limb(side)
    if not limb.hand and any(other.hand for other in on.figure.limbs.values()):
        raise MeasureError(HANDLESS)
    faces = on.figure.limb_faces[limb.side]
    shoulder, elbow, wrist = (on.at(f"{name}_{side}") for name in ("shoulder", "elbow", "wrist"))
    upper = over(on.figure.vertices, faces, shoulder, elbow, outward(limb, elbow - shoulder))
    lower = over(on.figure.vertices, faces, elbow, wrist, outward(limb, wrist - elbow))
    return path_of(upper, lower)
