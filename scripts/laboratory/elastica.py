"""The heavy elastica: how an inextensible strip hangs over a table's edge, solved by scipy.

In the arc length s of a strip of length 1, with the angle t below the horizontal: t'' = -k (1 - s) cos t, t(0) = 0,
t'(1) = 0, k = w g L^3 / B = (L / c)^3, c the bending length. It is Peirce's cantilever (J. Text. Inst. 21, T377, 1930)
without his approximation.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_bvp
from scipy.interpolate import PchipInterpolator

FloatArray = NDArray[np.float64]

SOFTEST, STIFFEST = 400.0, 0.01  # (L / c)^3


def hanging(k: float) -> FloatArray:
    """(n, 2) float: a strip of length 1 from the table's edge to its tip, out and down."""
    s = np.linspace(0.0, 1.0, 101)
    guess = np.zeros((4, len(s)))
    guess[0] = np.minimum(1.5, k / 6.0) * (1.0 - (1.0 - s) ** 3)
    guess[2:] = np.cumsum([np.cos(guess[0]), np.sin(guess[0])], axis=1) / len(s)

    def slope(s: FloatArray, y: FloatArray) -> FloatArray:
        return np.stack([y[1], -k * (1.0 - s) * np.cos(y[0]), np.cos(y[0]), np.sin(y[0])])

    def ends(a: FloatArray, b: FloatArray) -> FloatArray:
        return np.array([a[0], b[1], a[2], a[3]])

    solved = solve_bvp(slope, ends, s, guess, tol=1e-8, max_nodes=50_000)
    if not solved.success:
        raise ArithmeticError(f"the elastica of k = {k} was not solved: {solved.message}")
    return np.asarray(solved.sol(s)[2:].T)


def chord_angle(k: float) -> float:
    """Degrees from the horizontal down to the tip, seen from the table's edge."""
    out, down = hanging(k)[-1]
    return float(np.degrees(np.arctan2(down, out)))


@cache
def _stiffness_of_angle() -> PchipInterpolator:
    k = np.geomspace(STIFFEST, SOFTEST, 60)
    return PchipInterpolator([chord_angle(one) for one in k], np.log(k), extrapolate=False)


def bending_length(chord_deg: float, overhang_mm: float) -> float:
    """The bending length, mm, of a strip that hangs at that chord angle; nan outside 0.07 to 88 degrees."""
    return float(overhang_mm / np.exp(_stiffness_of_angle()(chord_deg) / 3.0))
