"""Places along an arm's centre line."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..body.body import Arm, Body

FloatArray = NDArray[np.float64]

# The direction of an arm is taken over this share of its length, so that one bent link does not tilt the plane.
DIRECTION_SHARE = 0.05


def place(arm: Arm, station: float) -> tuple[FloatArray, FloatArray]:
    """Point and direction of the centre line at a distance from the shoulder joint.

    Parameters
    ----------
    station : float
        Distance along the line, mm; the line runs on straight before its first and after its last point.

    Returns
    -------
    point, direction : (3,) float
        The direction has length 1 and looks to the hand.
    """
    half = DIRECTION_SHARE * _stations(arm.axis)[-1]
    ahead, behind = _at(arm.axis, station + half), _at(arm.axis, station - half)
    return _at(arm.axis, station), (ahead - behind) / np.linalg.norm(ahead - behind)


def stations(arm: Arm, points: FloatArray) -> FloatArray:
    """(n,) float: distance along the centre line, mm, of the place nearest to each of (n, 3) points.

    Before the joint the distance is negative, past the finger tips it runs on along the last link.
    """
    start, run = arm.axis[:-1], np.diff(arm.axis, axis=0)
    length = np.linalg.norm(run, axis=1)
    share = np.einsum("ijk,jk->ij", points[:, None] - start, run) / length**2
    low, high = np.zeros(len(run)), np.ones(len(run))
    low[0], high[-1] = -np.inf, np.inf
    share = np.clip(share, low, high)
    away = np.linalg.norm(points[:, None] - (start + share[:, :, None] * run), axis=2)
    best, row = away.argmin(axis=1), np.arange(len(points))
    return _stations(arm.axis)[best] + share[row, best] * length[best]


def girth_station(body: Body, level: str, side: str) -> float | None:
    """Where along an arm a girth was taken: at the wrist, or where the tape lies; None if it cannot be told.

    Both arms are taken at the same share of their length from joint to wrist.
    """
    arm = body.arms.get(side)
    if arm is None:
        return None
    if level == "wrist":
        return arm.wrist
    measure = body.measures.get(f"{level}_girth")
    left = body.arms.get("left", arm)
    if measure is None:
        return None
    if measure.path is not None:
        return float(stations(left, measure.path.mean(axis=0)[None])[0] / left.wrist * arm.wrist)
    if measure.level_mm is not None:
        return _station_at_height(arm, measure.level_mm)
    return None


def _station_at_height(arm: Arm, level: float) -> float | None:
    """First place between joint and finger tips at that height."""
    height = arm.axis[:, 2] - level
    passed = np.flatnonzero((height[:-1] >= 0) & (height[1:] < 0))
    if not len(passed):
        return None
    i = int(passed[0])
    marks = _stations(arm.axis)
    return float(marks[i] + height[i] / (height[i] - height[i + 1]) * (marks[i + 1] - marks[i]))


def _stations(axis: FloatArray) -> FloatArray:
    """Distance of each point of a line from its first."""
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(axis, axis=0), axis=1))])


def _at(axis: FloatArray, station: float) -> FloatArray:
    marks = _stations(axis)
    i = int(np.clip(np.searchsorted(marks, station, side="right") - 1, 0, len(axis) - 2))
    return axis[i] + (station - marks[i]) / (marks[i + 1] - marks[i]) * (axis[i + 1] - axis[i])
