"""From a doll's form to the field of its skin, in shares of the height: z up, faces -y, left hand at +x."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt, tan

import numpy as np

from .field import Field, FloatArray, above, ball, blend, carve, column, pair, placed, strand
from .forms import Form


def body(form: Form) -> Field:
    """The whole doll in one skin."""
    torso = blend(0.030, trunk(form), yoke(form))
    torso = blend(0.024, torso, pair(breast(form), 0.010))
    torso = blend(0.022, torso, pair(buttock(form), 0.006))
    torso = blend(0.026, torso, pair(leg(form), 0.004))
    torso = blend(0.024, torso, pair(arm(form), 0.0))
    torso = blend(0.022, torso, neck(form))
    return blend(0.010, torso, head(form))


def half_axes(girth: float, aspect: float) -> tuple[float, float]:
    """Half width and half depth of an ellipse of this girth (Ramanujan's first formula), width = aspect * depth."""
    around = pi * (3 * (aspect + 1) - sqrt((3 * aspect + 1) * (aspect + 3)))
    deep = girth / around
    return aspect * deep, deep


def ring(level: float, x: float, y: float, girth: float, aspect: float, power: float = 2.0) -> tuple[float, ...]:
    """One station of a column from its girth."""
    return (level, x, y, *half_axes(girth, aspect), power)


def trunk(form: Form) -> Field:
    f = form
    return column(
        [
            ring(f.crotch + 0.006, 0, 0.006, 0.74 * f.hip_girth, 1.30),
            ring(f.hip, 0, 0.004, f.hip_girth, 1.42, 2.15),
            ring(f.hip + 0.35 * (f.waist - f.hip), 0, 0.003, 0.6 * f.hip_girth + 0.4 * f.waist_girth, 1.42, 2.15),
            ring(f.hip + 0.72 * (f.waist - f.hip), 0, 0.000, 0.2 * f.hip_girth + 0.8 * f.waist_girth, 1.38, 2.1),
            ring(f.waist, 0, 0.001, f.waist_girth, 1.36, 2.1),
            ring(0.5 * (f.waist + f.underbust), 0, 0.003, 0.5 * (f.waist_girth + f.underbust_girth), 1.36, 2.1),
            ring(f.underbust, 0, 0.005, f.underbust_girth, 1.38, 2.1),
            ring(f.bust + 0.01, 0, 0.006, f.chest_girth, 1.45, 2.1),
            ring(f.shoulder - 0.018, 0, 0.008, 0.95 * f.chest_girth, 1.62, 2.1),
            ring(f.shoulder + 0.010, 0, 0.010, 0.76 * f.chest_girth, 1.75, 2.1),
        ],
        caps=(0.020, 0.022),
    )


def yoke(form: Form) -> Field:
    """Collar bones and the slope from neck to shoulder."""
    f = form
    side = strand(
        [(0, 0.012, f.neck_base - 0.012), (0.5 * f.shoulder_half, 0.010, f.shoulder + 0.017), (f.shoulder_half, 0.008, f.shoulder)],
        (0.024, 0.020, 0.023),
    )
    return pair(side, 0.020)


def breast(form: Form) -> Field:
    f, size = form, form.breast
    x, y = 0.047, -half_axes(f.chest_girth, 1.45)[1] + 0.25 * size
    full = ball((x, y, f.bust), (size, 0.95 * size, 0.95 * size))
    upper = strand([(x, y - 0.1 * size, f.bust + 0.2 * size), (0.9 * x, y + 0.3 * size, f.bust + 1.35 * size)], (0.72 * size, 0.35 * size))
    return blend(0.8 * size, full, upper)


def buttock(form: Form) -> Field:
    f, size = form, form.buttock
    back = half_axes(f.hip_girth, 1.42)[1]
    return ball((0.92 * size, back - 0.62 * size, f.hip - 0.008), (0.95 * size, size, 1.05 * size))


def leg(form: Form) -> Field:
    f = form

    def at(level: float, y: float, girth: float, aspect: float, inset: float = 0.0) -> tuple[float, ...]:
        x = f.leg_half + (f.crotch - level) * tan(radians(f.leg_spread)) + inset
        return ring(level, x, y, girth, aspect, 2.0)

    thigh = f.crotch - f.knee
    shin = f.knee - f.ankle
    limb = column(
        [
            at(f.ankle - 0.012, 0.012, 1.04 * f.ankle_girth, 0.86),
            at(f.ankle + 0.10 * shin, 0.011, f.ankle_girth, 0.90),
            at(f.ankle + 0.34 * shin, 0.013, 0.5 * f.ankle_girth + 0.48 * f.calf_girth, 0.95),
            at(f.calf - 0.01, 0.014, 0.985 * f.calf_girth, 0.98),
            at(f.calf + 0.02, 0.013, f.calf_girth, 0.98),
            at(f.knee - 0.015, 0.006, 1.0 * f.knee_girth, 1.0),
            at(f.knee + 0.010, 0.003, 1.05 * f.knee_girth, 0.98),
            at(f.knee + 0.30 * thigh, 0.000, 0.55 * f.knee_girth + 0.48 * f.thigh_girth, 0.96),
            at(f.knee + 0.68 * thigh, -0.001, 0.15 * f.knee_girth + 0.85 * f.thigh_girth, 0.94),
            at(f.crotch - 0.005, 0.001, f.thigh_girth, 0.93),
            at(f.crotch + 0.030, 0.002, f.thigh_girth, 0.93, 0.004),
        ],
        caps=(0.020, 0.045),
    )
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
            (0.046 * s, 0.001 * s, 0.0000, 0.0075 * s, 0.0215 * s, 2.4),
        ],
        caps=(0.006 * s, 0.010 * s),
    )
    fingers = [
        finger((0.001, y, 0.047), side, long, 0.0047, s)
        for y, side, long in ((-0.0170, -7.0, 0.043), (-0.0056, -2.0, 0.049), (0.0058, 3.0, 0.045), (0.0165, 9.0, 0.036))
    ]
    thumb = strand(
        [np.array(p) * s for p in ((-0.003, -0.008, 0.008), (-0.006, -0.0245, 0.030), (-0.007, -0.0310, 0.046), (-0.008, -0.0345, 0.060))],
        np.array((0.0085, 0.0066, 0.0055, 0.0045)) * s,
    )
    return blend(0.007 * s, blend(0.006 * s, palm, blend(0.0008 * s, *fingers)), thumb)


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
    """Head, in lengths of the face from chin to crown, then scaled and set on the chin."""
    size = (1 - form.chin) / (1 + (0.0 if not form.bun else 0.0))
    part = head_of_one(form.bun)
    return lambda points: size * part((points - (0, 0, form.chin)) / size)


def head_of_one(bun: bool) -> Field:
    """A head one unit high, the chin's lowest point at the origin's level."""
    skull = ball((0, 0.03, 0.63), (0.345, 0.415, 0.37))
    face = ball((0, -0.115, 0.37), (0.265, 0.29, 0.37))
    chin = ball((0, -0.285, 0.085), (0.10, 0.085, 0.085))
    jaw = pair(strand([(0.03, -0.26, 0.09), (0.20, -0.02, 0.22), (0.24, 0.03, 0.36)], (0.075, 0.085, 0.09)), 0.05)
    mass = blend(0.12, skull, face, chin, jaw)
    cheeks = pair(ball((0.155, -0.25, 0.35), (0.10, 0.10, 0.10)), 0.05)
    mass = blend(0.10, mass, cheeks)
    sockets = pair(ball((0.140, -0.440, 0.465), (0.095, 0.075, 0.055)), 0.0)
    mass = carve(0.10, mass, sockets)
    lids = pair(ball((0.140, -0.315, 0.462), (0.070, 0.060, 0.042)), 0.0)
    mass = blend(0.03, mass, lids)
    nose = strand([(0, -0.37, 0.50), (0, -0.425, 0.40), (0, -0.462, 0.335)], (0.020, 0.028, 0.036))
    wings = pair(ball((0.036, -0.415, 0.322), (0.026, 0.034, 0.026)), 0.01)
    mass = blend(0.05, mass, blend(0.025, nose, wings))
    upper = pair(strand([(0.0, -0.395, 0.222), (0.035, -0.392, 0.226), (0.085, -0.345, 0.212)], (0.018, 0.019, 0.006)), 0.012)
    lower = strand([(-0.065, -0.355, 0.205), (0.0, -0.392, 0.190), (0.065, -0.355, 0.205)], (0.010, 0.024, 0.010))
    mass = blend(0.025, mass, blend(0.006, upper, lower))
    ear = carve(
        0.03,
        ball((0.345, 0.05, 0.43), (0.040, 0.085, 0.135)),
        ball((0.400, 0.03, 0.44), (0.040, 0.050, 0.085)),
    )
    mass = blend(0.03, mass, pair(ear, 0.0))
    if bun:
        mass = blend(0.05, mass, ball((0, 0.36, 0.88), (0.17, 0.16, 0.16)))
    return mass
