"""An invented doll's measures and robes drafted for her, for the tests."""

from __future__ import annotations

from drafting.garments import ROBE
from drafting.pattern.pattern import Pattern

# An invented doll of 1/4 scale, mm.
DOLL = {
    "height": 420.0,
    "bust_girth": 215.0,
    "waist_girth": 170.0,
    "hip_girth": 286.0,
    "neck_width": 27.0,
    "neck_girth": 90.0,
    "arm_length": 125.0,
    "upper_arm_girth": 62.0,
    "wrist_girth": 38.0,
    "hand_girth": 58.0,
    "shoulder_height": 345.0,
    "waist_height": 258.0,
    "shoulder_width": 92.0,
}


def draft(options=None, **measures) -> Pattern:
    return ROBE.draft(DOLL | measures, options or {})


def sizes(pattern: Pattern) -> dict[str, float]:
    return {rule.name: rule.mm for rule in pattern.rules}


def reason(pattern: Pattern, name: str) -> str:
    return next(rule.reason for rule in pattern.rules if rule.name == name)
