"""From a doll's form to the field of its skin, in shares of the height: z up, faces -y, left hand at +x."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, radians, sin, sqrt, tan

import numpy as np

from .face import head_of_one
from .field import Field, FloatArray, above, ball, blend, carve, column, pair, placed, strand
from .forms import Form


def body(form: Form) -> Field:
    """The whole doll in one skin."""
    torso = blend(0.030, trunk(form), yoke(form))
    torso = blend(0.026, torso, pair(breast(form), 0.010))
    torso = blend(0.026, torso, pair(buttock(form), 0.006))
    torso = blend(0.026, torso, pair(leg(form), 0.004), pubis(form))
    torso = blend(0.024, torso, pair(arm(form), 0.0))
    torso = blend(0.022, torso, neck(form))
    torso = blend(0.020, torso, pair(collar_bone(form), 0.008))
    return blend(0.010, carve(0.016, torso, spine(form)), head(form))


def half_axes(girth: float, aspect: float) -> tuple[float, float]:
    """Half width and half depth of an ellipse of this girth (Ramanujan's first formula), width = aspect * depth."""
    around = pi * (3 * (aspect + 1) - sqrt((3 * aspect + 1) * (aspect + 3)))
    deep = girth / around
    return aspect * deep, deep


def ring(level: float, x: float, y: float, girth: float, aspect: float, power: float = 2.0) -> tuple[float, ...]:
    """One station of a column from its girth."""
    return (level, x, y, *half_axes(girth, aspect), power)


def trunk(form: Form) -> Field:
    """The bare trunk, hollow in the back at the waist, round in the back at the shoulder blades."""
    f, side = form, between(form.hip, form.waist)
    return column(
        [
            ring(f.hip - 0.006, 0, 0.016, f.hip_girth, 1.40),
            ring(side(0.35), 0, 0.005, 0.66 * f.hip_girth + 0.34 * f.waist_girth, 1.38),
            ring(side(0.70), 0, -0.004, 0.23 * f.hip_girth + 0.77 * f.waist_girth, 1.36),
            ring(f.waist, 0, -0.004, f.waist_girth, 1.33),
            ring(0.5 * (f.waist + f.underbust), 0, 0.001, 0.45 * f.waist_girth + 0.55 * f.underbust_girth, 1.34),
            ring(f.underbust, 0, 0.006, f.underbust_girth, 1.36),
            ring(f.bust + 0.01, 0, 0.010, f.chest_girth, 1.42),
            ring(f.shoulder - 0.022, 0, 0.013, 0.97 * f.chest_girth, 1.55),
        ],
        caps=(f.hip - 0.003 - f.crotch, 0.054),
    )


def between(low: float, high: float) -> Callable[[float], float]:
    """Levels between two others by share."""
    return lambda share: low + share * (high - low)


def spine(form: Form) -> Field:
    """The furrow down the back, from between the shoulder blades to the small of the back."""
    f = form
    back = [
        half_axes(g, a)[1] + y + 0.008
        for g, a, y in (
            (f.hip_girth, 1.38, 0.000),
            (f.waist_girth, 1.33, -0.004),
            (f.underbust_girth, 1.36, 0.006),
            (f.chest_girth, 1.42, 0.015),
        )
    ]
    levels = (f.hip + 0.045, f.waist, f.underbust, f.bust + 0.020)
    return strand([(0, y, z) for y, z in zip(back, levels, strict=True)], (0.006, 0.009, 0.008, 0.001))


def collar_bone(form: Form) -> Field:
    f = form
    y = -half_axes(0.76 * f.chest_girth, 1.75)[1] + 0.016
    return strand(
        [
            (0.012, y - 0.004, f.shoulder + 0.012),
            (0.045, y, f.shoulder + 0.020),
            (f.shoulder_half, 0.004, f.shoulder + 0.014),
        ],
        (0.004, 0.0035, 0.003),
    )


def yoke(form: Form) -> Field:
    """Collar bones and the slope from neck to shoulder."""
    f = form
    side = strand(
        [
            (0, 0.012, f.neck_base - 0.012),
            (0.5 * f.shoulder_half, 0.010, f.shoulder + 0.017),
            (f.shoulder_half, 0.008, f.shoulder),
        ],
        (0.024, 0.020, 0.023),
    )
    return pair(side, 0.020)


def breast(form: Form) -> Field:
    """A drop: full below, sloping up into the chest."""
    f, size = form, form.breast
    x, y = 0.1 * f.chest_girth, -half_axes(f.chest_girth, 1.42)[1] + 0.010 + 0.22 * size
    full = ball((x, y, f.bust - 0.10 * size), (0.98 * size, 0.95 * size, 0.92 * size))
    upper = strand(
        [(x, y - 0.22 * size, f.bust + 0.05 * size), (0.85 * x, y + 0.30 * size, f.bust + 1.5 * size)],
        (0.70 * size, 0.30 * size),
    )
    return blend(1.1 * size, full, upper)


def buttock(form: Form) -> Field:
    f, size = form, form.buttock
    back = half_axes(f.hip_girth, 1.36)[1]
    return ball((0.90 * size, back - 0.58 * size, f.hip - 0.012), (0.92 * size, size, 1.05 * size))


def pubis(form: Form) -> Field:
    """Leads the belly down between the thighs."""
    size = form.hip_girth / 0.505
    return ball((0, -0.022 * size * size, form.crotch + 0.028), np.array((0.036, 0.026, 0.026)) * size)


def leg(form: Form) -> Field:
    f = form

    def at(level: float, y: float, girth: float, aspect: float, inset: float = 0.0) -> tuple[float, ...]:
        x = f.leg_half + (f.crotch - level) * tan(radians(f.leg_spread)) + inset
        return ring(level, x, y, girth, aspect, 2.0)

    thigh, shin = f.crotch - f.knee, f.knee - f.ankle
    limb = column(
        [
            at(f.ankle - 0.012, 0.013, 1.04 * f.ankle_girth, 0.86),
            at(f.ankle + 0.10 * shin, 0.012, f.ankle_girth, 0.90),
            at(f.ankle + 0.34 * shin, 0.015, 0.52 * f.ankle_girth + 0.46 * f.calf_girth, 0.95, 0.001),
            at(f.calf - 0.01, 0.018, 0.985 * f.calf_girth, 0.98, 0.002),
            at(f.calf + 0.02, 0.017, f.calf_girth, 0.98, 0.002),
            at(f.knee - 0.015, 0.008, f.knee_girth, 1.0),
            at(f.knee + 0.010, 0.004, 1.03 * f.knee_girth, 0.98),
            at(f.knee + 0.30 * thigh, -0.002, 0.57 * f.knee_girth + 0.46 * f.thigh_girth, 0.95, 0.001),
            at(f.knee + 0.68 * thigh, -0.004, 0.18 * f.knee_girth + 0.83 * f.thigh_girth, 0.94, 0.001),
            at(f.crotch - 0.015, 0.000, f.thigh_girth, 0.94),
            at(f.crotch + 0.030, 0.004, 0.93 * f.thigh_girth, 0.94, -0.003),
            at(f.crotch + 0.075, 0.004, 0.70 * f.thigh_girth, 0.94, -0.012),
        ],
        caps=(0.020, 0.030),
    )
    knee_x = f.leg_half + thigh * tan(radians(f.leg_spread))
    size = f.knee_girth / 0.200
    cap = ball(
        (knee_x, 0.004 - f.knee_girth / (2 * pi) + 0.010, f.knee + 0.002), np.array((0.0145, 0.0105, 0.018)) * size
    )
    limb = blend(0.022, limb, cap)
    heel_x = f.leg_half + f.crotch * tan(radians(f.leg_spread))
    turn = radians(f.toes_out)
    axes = np.array([[cos(turn), sin(turn), 0], [-sin(turn), cos(turn), 0], [0, 0, 1.0]])
    return carve(0.006, blend(0.020, limb, placed(foot(form), (heel_x, 0.012, 0.0), axes)), below_floor)


def below_floor(points: FloatArray) -> FloatArray:
    """Everything under the soles."""
    return -above(0.0)(points)


def foot(form: Form) -> Field:
    """A bare flat foot under the ankle, toes to -y, the big toe inside."""
    f = form
    scale, wide = f.foot / 0.145, f.ankle_girth / 0.128
    long = np.array([wide, scale, wide])
    heel = ball(np.array((0, 0.012, 0.018)) * long, np.array((0.0195, 0.022, 0.021)) * long)
    arch = strand(
        [np.array(p) * long for p in ((0, -0.002, 0.040), (-0.001, -0.035, 0.024), (-0.001, -0.064, 0.015))],
        (0.019 * wide, 0.0175 * wide, 0.014 * wide),
    )
    sole = ball(np.array((0.0, -0.066, 0.009)) * long, np.array((0.027, 0.026, 0.014)) * long)
    outer = strand([np.array(p) * long for p in ((0.006, 0.005, 0.010), (0.012, -0.060, 0.008))], 0.013 * wide)
    toes = [
        strand([np.array(p) * long for p in ((x, -0.072, 0.010), (1.05 * x, y, 0.007))], (1.1 * r * wide, r * wide))
        for x, y, r in (
            (-0.0155, -0.107, 0.0082),
            (-0.0035, -0.108, 0.0060),
            (0.0065, -0.103, 0.0056),
            (0.0150, -0.096, 0.0053),
            (0.0225, -0.087, 0.0052),
        )
    ]
    return blend(0.008, blend(0.016, heel, arch, sole, outer), blend(0.001, *toes))


def arm(form: Form) -> Field:
    """Arm and hand along their own z from the shoulder joint, x to the back of the hand, y back."""
    f, t = form, radians(form.arm_below_level)
    elbow, wrist = f.upper_arm, f.upper_arm + f.forearm
    limb = column(
        [
            ring(0.000, -0.002, 0, 1.02 * f.upper_arm_girth, 1.0),
            ring(0.35 * elbow, -0.001, 0, f.upper_arm_girth, 1.0),
            ring(0.70 * elbow, 0, 0, 0.4 * f.upper_arm_girth + 0.58 * f.elbow_girth, 1.0),
            ring(elbow, 0, 0, f.elbow_girth, 0.97),
            ring(elbow + 0.25 * f.forearm, 0, -0.001, f.forearm_girth, 0.97),
            ring(elbow + 0.60 * f.forearm, 0, -0.001, 0.55 * f.forearm_girth + 0.42 * f.wrist_girth, 0.90),
            ring(wrist - 0.006, 0, 0, f.wrist_girth, 0.78),
            ring(wrist + 0.010, 0, 0, 1.04 * f.wrist_girth, 0.66),
        ],
        caps=(0.026, 0.010),
    )
    axes = np.array([[sin(t), 0, cos(t)], [0, 1, 0], [cos(t), 0, -sin(t)]])
    upright = placed(hand(form), (0, 0, wrist), np.eye(3))
    return placed(blend(0.010, limb, upright), (f.shoulder_half, 0.008, f.shoulder), axes)


def hand(form: Form) -> Field:
    """An open left hand, fingers along z, thumb to -y, palm to -x, the wrist at the origin."""
    s = form.hand / 0.100
    palm = column(
        [
            (0.000 * s, 0.000, 0.0005 * s, 0.0095 * s, 0.0140 * s, 2.2),
            (0.022 * s, 0.000, 0.0000, 0.0095 * s, 0.0195 * s, 2.3),
            (0.046 * s, 0.000, 0.0000, 0.0072 * s, 0.0215 * s, 2.4),
        ],
        caps=(0.006 * s, 0.010 * s),
    )
    fingers = [
        finger((0.000, y, 0.043), side, long, 0.0047, s)
        for y, side, long in (
            (-0.0168, -6.0, 0.047),
            (-0.0056, -2.0, 0.053),
            (0.0058, 3.0, 0.049),
            (0.0163, 8.0, 0.040),
        )
    ]
    thumb = strand(
        [
            np.array(p) * s
            for p in (
                (-0.003, -0.008, 0.008),
                (-0.006, -0.0245, 0.030),
                (-0.007, -0.0310, 0.046),
                (-0.008, -0.0345, 0.060),
            )
        ],
        np.array((0.0085, 0.0066, 0.0055, 0.0045)) * s,
    )
    return blend(0.007 * s, blend(0.005 * s, palm, blend(0.0008 * s, *fingers)), thumb)


def finger(base: tuple[float, float, float], side: float, long: float, radius: float, scale: float) -> Field:
    """Three bones, each bent a little further to the palm."""
    points, bend = [np.array(base)], radians(4)
    for share in (0.45, 0.30, 0.25):
        bend += radians(7)
        way = np.array([-sin(bend), sin(radians(side)), cos(bend)])
        points.append(points[-1] + share * long * way / np.linalg.norm(way))
    return strand(np.array(points) * scale, np.array((1.08, 1.0, 0.93, 0.80)) * radius * scale)


def neck(form: Form) -> Field:
    f = form
    r = f.neck_girth / (2 * pi)
    return strand(
        [(0, 0.016, f.shoulder + 0.010), (0, 0.012, f.neck_base), (0, 0.004, f.chin + 0.035)],
        (1.25 * r, 1.03 * r, r),
    )


def head(form: Form) -> Field:
    """The head, made one unit high and set on the chin."""
    size, part = 1 - form.chin, head_of_one(form.bun)
    return lambda points: size * part((points - (0, 0, form.chin)) / size)
