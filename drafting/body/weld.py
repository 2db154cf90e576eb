"""Welding: points that are equal become one, and the order of what remains depends on the points alone."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from .body import FloatArray, IntArray
from .order import grouped, stable_order

Precision = TypeVar("Precision", bound=np.floating)
ODD = tuple(map(np.uint64, (0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0xBF58476D1CE4E5B9, 0x94D049BB133111EB)))
"""Large odd numbers that stir the bits of a point's coordinates; any would do."""


TORN = 1.5
"""More points than this for each triangle: joined scans have half a point for each, loose triangles have three."""
NEAR = 0.05
"""Points closer than this share of the median edge are one; no triangle of a scan that is whole is so short."""


def compact(vertices: NDArray[Precision], faces: IntArray) -> tuple[NDArray[Precision], IntArray]:
    """Without vertices that no face uses."""
    used = np.zeros(len(vertices), bool)
    used[faces] = True
    if used.all():
        return vertices, faces
    return vertices[used], (np.cumsum(used) - 1).take(faces)


def used_by(faces: IntArray, count: int) -> IntArray:
    """Which of `count` vertices some faces use, in ascending order."""
    used = np.zeros(count, bool)
    used[faces] = True
    return np.flatnonzero(used)


def weld(vertices: NDArray[Precision], faces: IntArray) -> tuple[FloatArray, IntArray]:
    """Join points that are exactly equal, drop those unused and triangles without three corners.

    The order of what remains depends on the points alone, not on their order or that of the faces in the file.

    Parameters
    ----------
    vertices : (n, 3) float
        In single or double precision.
    """
    vertices, faces = compact(vertices, faces)
    # By columns: of a fine scan all three together would be too large for the processor's cache.
    columns = [column.astype(float) + 0.0 for column in vertices.T]
    first, which = _joined(columns)
    return np.stack([column[first] for column in columns], axis=1), _ordered(which, faces, len(first))


def torn(faces: IntArray, count: int) -> bool:
    """Whether most triangles share no points with any other: a scan whose corners differ by rounding."""
    return count > TORN * len(faces)


def near_joined(vertices: FloatArray, faces: IntArray) -> FloatArray:
    """Points moved onto one nearby, within a share of the mean edge, so that `weld` makes one of them.

    Points are sorted into boxes eight times, shifted by half a box along each set of axes, so that a box's wall seldom
    parts neighbours for good.
    """
    corner = vertices.take(faces, axis=0)
    edge = float(np.median(np.linalg.norm(corner - np.roll(corner, -1, axis=1), axis=2)))
    box = max(NEAR * edge, 1e-12)
    moved = vertices
    for shift in np.ndindex(2, 2, 2):
        place = np.floor(moved / box + np.array(shift) / 2)
        _, which = _joined(list(np.ascontiguousarray(place.T) + 0.0))
        total = np.bincount(which)
        moved = np.stack([(np.bincount(which, column) / total).take(which) for column in moved.T], axis=1)
    return moved


def _joined(columns: list[FloatArray]) -> tuple[IntArray, IntArray]:
    """Where each different point stands first, and (n,) which of them each point is."""
    x, y, z = (column.view(np.uint64) for column in columns)
    mark = (x * ODD[0]) ^ (y * ODD[1])
    first, which = grouped((mark ^ (mark >> np.uint64(29))) * ODD[2] + z * ODD[3])
    if all(np.array_equal(column[first].take(which), column) for column in columns):
        return first, which
    _, first, which = np.unique(np.stack(columns, axis=1), axis=0, return_index=True, return_inverse=True)
    return first, which.reshape(-1)


def _ordered(which: IntArray, faces: IntArray, count: int) -> IntArray:
    """Faces on the joined points, each from its lowest corner on, in ascending order of their first edge."""
    a, b, c = (which.take(corner) for corner in faces.T)
    whole = (a != b) & (b != c) & (c != a)
    if not whole.all():
        a, b, c = a[whole], b[whole], c[whole]
    at_b, at_c = (b < a) & (b < c), (c < a) & (c < b)
    turned = [np.where(at_b, v, np.where(at_c, w, u)) for u, v, w in ((a, b, c), (b, c, a), (c, a, b))]
    order = stable_order(turned[0] * count + turned[1])
    return np.stack([corner.take(order) for corner in turned], axis=1)
