"""The head, one unit high, its chin's lowest point at the origin's level: skull, face, eyes, nose, mouth, ears, bun."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np

from .field import Field, ball, blend, carve, pair, strand


def head_of_one(bun: bool) -> Field:
    """A head one unit high, the chin's lowest point at the origin's level."""
    skull = ball((0, 0.03, 0.63), (0.340, 0.410, 0.37))
    face = ball((0, -0.120, 0.37), (0.245, 0.275, 0.35))
    chin = ball((0, -0.270, 0.090), (0.075, 0.080, 0.085))
    jaw = pair(strand([(0.03, -0.25, 0.10), (0.175, -0.04, 0.215), (0.22, 0.03, 0.36)], (0.065, 0.075, 0.085)), 0.05)
    mass = blend(0.12, skull, face, blend(0.10, chin, jaw))
    mass = blend(0.16, mass, pair(ball((0.140, -0.245, 0.345), 0.095), 0.05))
    mass = eyes(mass)
    mass = nose(mass)
    mass = mouth(mass)
    mass = blend(0.03, mass, pair(ear(), 0.0))
    return blend(0.05, mass, ball((0, 0.46, 0.72), (0.17, 0.14, 0.16))) if bun else mass


def front(mass: Field, x: float, z: float) -> float:
    """Where a line from before the face meets it: y, by halving."""
    outside, inside = -0.7, 0.0
    for _ in range(40):
        middle = 0.5 * (outside + inside)
        if mass(np.array([[x, middle, z]]))[0] > 0:
            outside = middle
        else:
            inside = middle
    return inside


def eyes(mass: Field) -> Field:
    """Shallow sockets under the brow and closed lids in them."""
    x, z = 0.135, 0.470
    y = front(mass, x, z)
    mass = carve(0.09, mass, pair(ball((x, y - 0.045, z), (0.085, 0.062, 0.052)), 0.0))
    lid = ball((x + 0.004, front(mass, x, z) + 0.044, z - 0.004), (0.078, 0.064, 0.050))
    return blend(0.014, mass, pair(lid, 0.0))


def nose(mass: Field) -> Field:
    """A small straight nose with its wings."""
    root, tip = front(mass, 0, 0.50), front(mass, 0, 0.345)
    bridge = strand([(0, root + 0.008, 0.510), (0, tip - 0.022, 0.405), (0, tip - 0.044, 0.352)], (0.014, 0.022, 0.030))
    wings = pair(ball((0.032, tip - 0.016, 0.336), (0.022, 0.030, 0.022)), 0.01)
    return blend(0.07, mass, blend(0.030, bridge, wings))


def mouth(mass: Field) -> Field:
    """Two closed lips, the corners drawn back along the face."""
    high, low = 0.228, 0.196
    corner = front(mass, 0.088, 0.5 * (high + low))
    upper = strand(
        [
            (-0.088, corner + 0.006, 0.213),
            (-0.028, front(mass, 0, high) + 0.001, high),
            (0, front(mass, 0, high) + 0.003, high - 0.004),
            (0.028, front(mass, 0, high) + 0.001, high),
            (0.088, corner + 0.006, 0.213),
        ],
        (0.005, 0.014, 0.013, 0.014, 0.005),
    )
    lower = strand(
        [
            (-0.075, corner + 0.008, 0.207),
            (-0.02, front(mass, 0, low) - 0.001, low),
            (0.02, front(mass, 0, low) - 0.001, low),
            (0.075, corner + 0.008, 0.207),
        ],
        (0.005, 0.0165, 0.0165, 0.005),
    )
    return blend(0.022, mass, blend(0.004, upper, lower))


def ear() -> Field:
    """A left ear, hollowed, its top leaning back."""
    lean = radians(12)
    turn = np.array([[1, 0, 0], [0, cos(lean), sin(lean)], [0, -sin(lean), cos(lean)]])
    shell = ball((0.325, 0.055, 0.43), (0.042, 0.080, 0.125), turn)
    return carve(0.03, shell, ball((0.385, 0.040, 0.445), (0.045, 0.045, 0.075), turn))
