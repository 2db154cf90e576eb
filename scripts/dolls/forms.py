"""The invented dolls, as numbers: levels, girths and breadths are shares of the height, angles are degrees."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Form:
    """What makes one doll. Girths are those of the bare column of flesh; breasts and buttocks add to bust and hip."""

    name: str
    height_mm: float
    # levels above the soles
    chin: float = 0.853
    neck_base: float = 0.834
    shoulder: float = 0.792
    bust: float = 0.720
    underbust: float = 0.690
    waist: float = 0.632
    hip: float = 0.515
    crotch: float = 0.481
    knee: float = 0.272
    calf: float = 0.205
    ankle: float = 0.048
    # girths
    neck_girth: float = 0.170
    chest_girth: float = 0.448
    underbust_girth: float = 0.425
    waist_girth: float = 0.375
    hip_girth: float = 0.505
    thigh_girth: float = 0.320
    knee_girth: float = 0.200
    calf_girth: float = 0.218
    ankle_girth: float = 0.124
    upper_arm_girth: float = 0.162
    elbow_girth: float = 0.138
    forearm_girth: float = 0.146
    wrist_girth: float = 0.090
    # breadths and lengths
    shoulder_half: float = 0.097
    leg_half: float = 0.0555
    breast: float = 0.035
    buttock: float = 0.050
    upper_arm: float = 0.165
    forearm: float = 0.145
    hand: float = 0.100
    foot: float = 0.145
    # angles
    arm_below_level: float = 46.0
    leg_spread: float = 0.4
    toes_out: float = 7.0
    # looks
    bun: bool = False


SIXTH_CURVY = Form(
    name="sixth_curvy",
    height_mm=270.0,
    chin=0.848,
    waist_girth=0.370,
    hip_girth=0.522,
    thigh_girth=0.328,
    leg_half=0.0565,
    breast=0.036,
    buttock=0.051,
    arm_below_level=42.0,
    bun=True,
)
QUARTER_CURVY = Form(name="quarter_curvy", height_mm=420.0)
THIRD_SLIM = Form(
    name="third_slim",
    height_mm=600.0,
    chin=0.860,
    chest_girth=0.372,
    underbust_girth=0.355,
    waist_girth=0.316,
    hip_girth=0.395,
    thigh_girth=0.252,
    knee_girth=0.180,
    calf_girth=0.186,
    ankle_girth=0.112,
    upper_arm_girth=0.134,
    elbow_girth=0.118,
    forearm_girth=0.124,
    wrist_girth=0.080,
    neck_girth=0.152,
    shoulder_half=0.092,
    leg_half=0.0465,
    breast=0.024,
    buttock=0.037,
    arm_below_level=48.0,
)
FORMS = (SIXTH_CURVY, QUARTER_CURVY, THIRD_SLIM)
