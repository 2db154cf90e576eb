"""Curves as polylines: compass arcs and lengths along a line."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .tolerance import TOLERANCE

FloatArray = NDArray[np.float64]


def arc(centre: ArrayLike, radius: float, start_deg: float, end_deg: float) -> FloatArray:
    """A compass arc.

    Parameters
    ----------
    centre : (2,) float
        Where the needle stands, mm.
    start_deg, end_deg : float
        Directions from the centre, counter-clockwise from +x; the arc runs from start to end either way round.

    Returns
    -------
    (k, 2) float
        Points on the circle, both ends included. The polyline leaves it by at most `TOLERANCE.chord_mm`.
    """
    turn = math.radians(end_deg - start_deg)
    # A chord over the angle a leaves its circle by r (1 - cos(a / 2)) = 2 r sin(a / 4)^2.
    step = 4 * math.asin(math.sqrt(min(0.5, TOLERANCE.chord_mm / (2 * radius))))
    angles = math.radians(start_deg) + np.linspace(0.0, turn, max(2, math.ceil(abs(turn) / step) + 1))
    return np.asarray(centre, dtype=float) + radius * np.column_stack([np.cos(angles), np.sin(angles)])


def stations(points: ArrayLike) -> FloatArray:
    """(k,) float: distance along a polyline at each of its points, mm, from 0."""
    steps = np.linalg.norm(np.diff(np.asarray(points, dtype=float), axis=0), axis=1)
    return np.concatenate([[0.0], np.cumsum(steps)])


def walk(points: ArrayLike, distances: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Where one stands, and which way one faces, after walking along a polyline.

    Parameters
    ----------
    points : (k, 2) float
    distances : (n,) float
        From the first point, mm. Before the start and past the end one goes on straight.

    Returns
    -------
    places, directions : (n, 2) float
        Directions are unit vectors.
    """
    points, distances = np.asarray(points, dtype=float), np.asarray(distances, dtype=float)
    at = stations(points)
    leg = np.clip(np.searchsorted(at, distances, side="right") - 1, 0, len(points) - 2)
    directions = np.diff(points, axis=0) / np.diff(at)[:, None]
    places = points[leg] + (distances - at[leg])[:, None] * directions[leg]
    return places, directions[leg]


def signed_area(outline: ArrayLike) -> float:
    """Area of a closed outline, mm2, positive when it runs counter-clockwise."""
    x, y = np.asarray(outline, dtype=float).T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
