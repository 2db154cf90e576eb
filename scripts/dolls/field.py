"""Bodies as fields: a field maps points to their distance from a surface, below 0 inside.

Distances are true to first order near the surface, which is all that meshing and projection need. Fields are plain
functions, so a body is the sum of its parts: `blend` joins as flesh does, `carve` hollows, `pair` adds the mirror image.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import CubicSpline, PchipInterpolator
from scipy.ndimage import gaussian_filter1d

FloatArray = NDArray[np.float64]
Field = Callable[[FloatArray], FloatArray]

SOFTNESS = 0.025
MIRROR = np.array([-1.0, 1.0, 1.0])
TINY = 1e-12  # keeps slopes finite at the centre of a part


def dot(a: FloatArray, b: FloatArray) -> FloatArray:
    """Scalar products along the last axis, summed in one order: a matrix product rounds as memory happens to lie."""
    x, y, z = (a[..., axis] * b[..., axis] for axis in range(3))
    return np.add(np.add(x, y), z)


def turned(points: FloatArray, axes: FloatArray) -> FloatArray:
    """Coordinates (n, 3) along the rows of `axes` (3, 3)."""
    return np.stack([dot(points, axis) for axis in axes], axis=1)


def ball(centre: ArrayLike, radii: ArrayLike, turn: FloatArray | None = None) -> Field:
    """A ball, or an ellipsoid with three radii; `turn` (3, 3) holds its own axes as rows."""
    middle, axes = np.asarray(centre, float), np.broadcast_to(np.asarray(radii, float), 3)

    def field(points: FloatArray) -> FloatArray:
        local = points - middle
        if turn is not None:
            local = turned(local, turn)
        return _relaxed(local / axes, axes)

    return field


def _relaxed(scaled: FloatArray, axes: FloatArray) -> FloatArray:
    """First-order distance to an ellipsoid from coordinates already divided by its axes."""
    scaled = np.abs(scaled) + TINY
    rho = np.sqrt(dot(scaled, scaled))
    slope = np.sqrt(dot(scaled / axes, scaled / axes))
    return rho * (rho - 1) / np.maximum(slope, TINY)


def strand(points: ArrayLike, radii: ArrayLike) -> Field:
    """A chain of balls swept from point to point, the radius changing on the way; a finger, a muscle."""
    stops, sizes = np.asarray(points, float), np.asarray(radii, float)
    sizes = np.broadcast_to(sizes, len(stops))

    def field(where: FloatArray) -> FloatArray:
        return np.min([_swept(where, *leg) for leg in zip(stops, stops[1:], sizes, sizes[1:], strict=False)], axis=0)

    return field


def _swept(where: FloatArray, start: FloatArray, end: FloatArray, first: float, last: float) -> FloatArray:
    way = end - start
    along = np.clip(dot(where - start, way) / dot(way, way), 0, 1)
    off = where - start - along[:, None] * way
    return np.sqrt(dot(off, off)) - (first + (last - first) * along)


def column(stations: Sequence[Sequence[float]], caps: tuple[float, float]) -> Field:
    """A column along z with a rounded-square to elliptic section at each station.

    Parameters
    ----------
    stations : (k, 6) float
        Rows of height, centre x, centre y, half width, half depth, roundness (2 = ellipse, more = squarer), heights rising.
    caps : tuple of float
        How far the rounded ends reach below the first and above the last station.
    """
    table = np.asarray(stations, float)
    sections = _flowing(table[:, 0], table[:, 1:])
    low, high = table[0, 0], table[-1, 0]

    def field(points: FloatArray) -> FloatArray:
        level = np.clip(points[:, 2], low, high)
        x, y, wide, deep, power = sections(level).T
        over = points[:, 2] - level
        reach = np.where(over < 0, caps[0], caps[1])
        u, v, w = (np.abs(d) + TINY for d in ((points[:, 0] - x) / wide, (points[:, 1] - y) / deep, over / reach))
        flat = (u**power + v**power) ** (1 / power)
        rho = np.hypot(flat, w)
        lean = np.maximum(flat, TINY) ** (2 - power)
        slope = np.sqrt(
            (lean * u ** (power - 1) / wide) ** 2 + (lean * v ** (power - 1) / deep) ** 2 + (w / reach) ** 2
        )
        return rho * (rho - 1) / np.maximum(slope, TINY)

    return field


def _flowing(levels: FloatArray, rows: FloatArray) -> CubicSpline:
    """A curve through the rows without overshoot, its kinks then rubbed out over `SOFTNESS` of the column's length."""
    fine = np.linspace(levels[0], levels[-1], 257)
    return CubicSpline(
        fine, gaussian_filter1d(PchipInterpolator(levels, rows, axis=0)(fine), 257 * SOFTNESS, axis=0, mode="nearest")
    )


def blend(soft: float, *fields: Field) -> Field:
    """Join fields; surfaces nearer to each other than about `soft` flow together."""

    def field(points: FloatArray) -> FloatArray:
        result = fields[0](points)
        for other in fields[1:]:
            result = soft_min(result, other(points), soft)
        return result

    return field


def carve(soft: float, body: Field, *tools: Field) -> Field:
    """Take the tools away from the body, edges rounded by about `soft`."""

    def field(points: FloatArray) -> FloatArray:
        result = body(points)
        for tool in tools:
            result = -soft_min(-result, tool(points), soft)
        return result

    return field


def pair(part: Field, soft: float) -> Field:
    """A left part and its right mirror image."""
    return blend(soft, part, lambda points: part(points * MIRROR))


def above(level: float) -> Field:
    """Everything above a height: inside is up."""
    return lambda points: level - points[:, 2]


def placed(part: Field, origin: ArrayLike, axes: FloatArray) -> Field:
    """A part made in its own frame, set down at `origin` with its axes as the rows of `axes` (3, 3), orthonormal."""
    foot = np.asarray(origin, float)
    return lambda points: part(turned(points - foot, axes))


def soft_min(a: FloatArray, b: FloatArray, soft: float) -> FloatArray:
    """Quadratic smooth minimum: the lesser of both where they differ by more than `soft`."""
    if soft <= 0:
        return np.minimum(a, b)
    near = np.maximum(soft - np.abs(a - b), 0)
    return np.minimum(a, b) - near * near / (4 * soft)
