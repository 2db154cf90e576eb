"""Where a plane meets a mesh: segments that know their triangle and how far along its sides they end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True)
class Section:
    """One straight segment for each triangle that is cut.

    The segments run counter-clockwise seen from the plane's upper side, if the triangles do seen from outside.

    Attributes
    ----------
    points : (k, 2, 3) float
        Start and end of each segment, mm.
    face : (k,) int
        The triangle that holds it.
    weights : (k, 2, 3) float
        Barycentric coordinates of both ends in that triangle.
    crossed : (k, 2) int
        A number for the mesh edge on which each end lies: equal numbers are the same edge.
    """

    points: FloatArray
    face: IntArray
    weights: FloatArray
    crossed: IntArray

    @property
    def lengths(self) -> FloatArray:
        """(k,) float: length of each segment, mm."""
        return np.linalg.norm(self.points[:, 1] - self.points[:, 0], axis=1)

    def blend(self, corners: FloatArray) -> FloatArray:
        """Interpolate any value of the triangles' corners, (m, 3, d), at the segments' ends: (k, 2, d)."""
        return np.einsum("kec,kcd->ked", self.weights, corners[self.face])

    def chains(self) -> list[IntArray]:
        """Segments in the order in which they follow each other, one array for each connected run.

        An open run begins at a free edge; a closed one anywhere.
        """
        starts_at = {edge: index for index, edge in enumerate(self.crossed[:, 0].tolist())}
        follower = [starts_at.get(edge, -1) for edge in self.crossed[:, 1].tolist()]
        followed = set(follower)
        order = [index for index in range(len(follower)) if index not in followed] + list(range(len(follower)))
        seen: set[int] = set()
        runs = []
        for first in order:
            run = []
            while first >= 0 and first not in seen:
                seen.add(first)
                run.append(first)
                first = follower[first]
            if run:
                runs.append(np.array(run))
        return runs


def cut(vertices: FloatArray, faces: IntArray, origin: FloatArray, normal: FloatArray) -> Section:
    """Cut a triangle mesh by a plane.

    Parameters
    ----------
    vertices : (n, 3) float
    faces : (m, 3) int
    origin, normal : (3,) float
        A point of the plane and the direction of its upper side.
    """
    height = (np.asarray(vertices, dtype=float) - origin) @ np.asarray(normal, dtype=float)
    return cut_where(height[faces], vertices, faces)


def cut_where(values: FloatArray, vertices: FloatArray, faces: IntArray) -> Section:
    """Cut where a value given at the triangles' corners passes zero.

    A corner at exactly zero counts as above, so that a plane through a vertex gives each segment once.

    Parameters
    ----------
    values : (m, 3) float
    """
    above = values >= 0
    count = above.sum(axis=1)
    face = np.flatnonzero((count == 1) | (count == 2))
    up = count[face] == 1
    lone = np.where(up[:, None], above[face], ~above[face]).argmax(axis=1)
    others = np.stack([(lone + 1) % 3, (lone + 2) % 3], axis=1)
    others = np.where(up[:, None], others, others[:, ::-1])

    row = np.arange(len(face))[:, None]
    at_lone = values[face[:, None], lone[:, None]]
    share = at_lone / (at_lone - values[face[:, None], others])
    weights = np.zeros((len(face), 2, 3))
    weights[row, [[0, 1]], lone[:, None]] = 1 - share
    weights[row, [[0, 1]], others] = share

    near, far = faces[face[:, None], lone[:, None]], faces[face[:, None], others]
    crossed = np.minimum(near, far) * np.int64(len(vertices)) + np.maximum(near, far)
    points = np.einsum("kec,kcd->ked", weights, np.asarray(vertices)[faces[face]])
    return Section(points, face, weights, crossed)


def tape_round(points: FloatArray) -> float:
    """Length of a taut tape round points of one plane: the perimeter of their convex hull, mm.

    Parameters
    ----------
    points : (n, 2) float
    """
    ordered = np.unique(np.asarray(points, dtype=float), axis=0)
    if len(ordered) < 2:
        return 0.0
    hull = _half_hull(ordered)[:-1] + _half_hull(ordered[::-1])[:-1]
    ring = np.array(hull)
    return float(np.linalg.norm(ring - np.roll(ring, -1, axis=0), axis=1).sum())


def _half_hull(ordered: FloatArray) -> list[tuple[float, float]]:
    """One side of the hull of points sorted by x (monotone chain, Andrew 1979)."""
    hull: list[tuple[float, float]] = []
    for x, y in ordered.tolist():
        while len(hull) > 1 and _turn(hull[-2], hull[-1], (x, y)) <= 0:
            hull.pop()
        hull.append((x, y))
    return hull


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
