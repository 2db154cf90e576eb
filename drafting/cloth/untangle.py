"""Cloth that passes through itself, pulled apart.

The solver keeps layers apart that are apart, but holds together what has once slipped through. Where cloth crosses
cloth it is pushed along the way that shortens the line in which they cross, until there is none (Volino and
Magnenat-Thalmann 2006, Resolving surface collisions through intersection contour minimization, ACM Transactions on
Graphics 25(3)). What is untangled hangs out again; the little that the solver presses through each other all the
same, where a sash pinches pleats, is pulled apart once more at the end, and told.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .crossing import crossing_pairs
from .draped import Parting
from .mesh import ClothMesh

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

ROUNDS = 100  # it takes about ten; a knot that does not come loose stays
STRIDE = 0.08  # of an edge: the longest push in a round
SHALLOW = 0.1  # the sine of the angle under which a thread may pierce cloth and still count: less pushes too far


@dataclass(frozen=True)
class Piercings:
    """Where sides of triangles pierce triangles.

    Attributes
    ----------
    side, face : (k,) int
        Which side pierces which triangle.
    share : (k,) float
        How far along the side.
    weights : (k, 3) float
        Where on the triangle (barycentric).
    points, normals, along : (k, 3) float
        Where it is, the triangle's unit normal, the side's unit direction.
    """

    side: IntArray
    face: IntArray
    share: FloatArray
    weights: FloatArray
    points: FloatArray
    normals: FloatArray
    along: FloatArray


@dataclass(frozen=True)
class Sides:
    """The sides of a mesh's triangles.

    Attributes
    ----------
    ends : (s, 2) int
    of_face : (m, 3) int
        Each triangle's sides.
    tips : (s, 2) int
        The third corners of the triangles on a side; -1 where there is none.
    """

    ends: IntArray
    of_face: IntArray
    tips: IntArray


def untangled(vertices: FloatArray, faces: IntArray) -> FloatArray:
    """(n, 3) float: the vertices with crossing cloth pulled apart, as far as it comes apart.

    Parameters
    ----------
    vertices : (n, 3) float
    faces : (m, 3) int
        Of cloth whose seams are welded.
    """
    sides = _sides_of(faces, len(vertices))
    ends = vertices[sides.ends]
    stride = STRIDE * float(np.median(np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)))
    for _ in range(ROUNDS):
        found = _piercings(vertices, faces, sides)
        if not len(found.side):
            break
        vertices = vertices + _push(vertices, faces, sides, found, stride)
    return vertices


def pulled_apart(cloth: ClothMesh, most_mm: float) -> tuple[ClothMesh, Parting]:
    """Cloth at rest without the few pleats that the solver presses through each other; and what was done.

    Only where all of it comes apart by pushes of `most_mm` or less; else the cloth stays as it is, and its crossings
    are there to be counted.
    """
    pairs = len(crossing_pairs(cloth.vertices, cloth.faces))
    if not pairs:
        return cloth, Parting()
    vertices = untangled(cloth.vertices, cloth.faces)
    farthest = float(np.linalg.norm(vertices - cloth.vertices, axis=1).max())
    if farthest > most_mm or len(crossing_pairs(vertices, cloth.faces)):
        return cloth, Parting()
    return replace(cloth, vertices=vertices), Parting(pairs, farthest)


def _sides_of(faces: IntArray, count: int) -> Sides:
    begin, end = faces.reshape(-1), np.roll(faces, -1, axis=1).reshape(-1)
    key, of_face = np.unique(np.minimum(begin, end) * count + np.maximum(begin, end), return_inverse=True)
    ends = np.column_stack([key // count, key % count])
    order = np.argsort(of_face, kind="stable")
    first = np.r_[True, of_face[order][1:] != of_face[order][:-1]]
    second = np.r_[False, first[:-1]] & ~first
    third = np.roll(faces, -2, axis=1).reshape(-1)[order]
    tips = np.full((len(ends), 2), -1)
    tips[of_face[order][first], 0] = third[first]
    tips[of_face[order][second], 1] = third[second]
    return Sides(ends, of_face.reshape(-1, 3), tips)


def _piercings(vertices: FloatArray, faces: IntArray, sides: Sides) -> Piercings:
    pairs = crossing_pairs(vertices, faces)
    both = np.concatenate([pairs, pairs[:, ::-1]])
    rows = np.concatenate([np.column_stack([sides.of_face[both[:, 0], k], both[:, 1]]) for k in range(3)])
    side, face = np.unique(rows, axis=0).T
    begin, end = vertices[sides.ends[side, 0]], vertices[sides.ends[side, 1]]
    a, b, c = (vertices[faces[face, k]] for k in range(3))
    normal = np.cross(b - a, c - a)
    rise = _dot(end - begin, normal)
    share = np.divide(_dot(a - begin, normal), rise, out=np.full(len(rise), -1.0), where=rise != 0.0)
    points = begin + share[:, None] * (end - begin)
    corners = [_dot(np.cross(q - p, points - p), normal) for p, q in ((b, c), (c, a), (a, b))]
    weights = np.stack(corners, axis=1) / np.maximum(_dot(normal, normal), 1e-300)[:, None]
    at = (share >= 0.0) & (share <= 1.0) & (weights >= 0.0).all(axis=1)
    return Piercings(
        side[at], face[at], share[at], weights[at], points[at], _unit(normal[at]), _unit((end - begin)[at])
    )


def _push(vertices: FloatArray, faces: IntArray, sides: Sides, found: Piercings, stride: float) -> FloatArray:
    """(n, 3) float: each piercing side goes the way that shortens the line of crossing, its triangle the other way."""
    steep = _dot(found.along, found.normals)
    steep = np.copysign(np.maximum(np.abs(steep), SHALLOW), steep)
    way = np.zeros_like(found.points)
    for tip in sides.tips[found.side].T:
        inward = vertices[tip] - found.points
        inward -= _dot(inward, found.along)[:, None] * found.along
        line = _unit(np.cross(found.normals, np.cross(found.along, inward)))
        line *= np.sign(_dot(line, inward))[:, None]
        shorter = line - (_dot(found.along, line) / steep)[:, None] * found.normals
        way += np.where(tip[:, None] >= 0, shorter, 0.0)
    way *= stride / np.sqrt(_dot(way, way) + 0.25)[:, None]
    moved, weight = np.zeros_like(vertices), np.zeros(len(vertices))
    on_side = ((sides.ends[found.side, 0], 1.0 - found.share), (sides.ends[found.side, 1], found.share))
    on_face = ((faces[found.face, k], -found.weights[:, k]) for k in range(3))
    for vertex, share in (*on_side, *on_face):
        np.add.at(moved, vertex, share[:, None] * way)
        np.add.at(weight, vertex, np.abs(share))
    return moved / np.maximum(weight, 1.0)[:, None]


def _dot(a: FloatArray, b: FloatArray) -> FloatArray:
    return (a * b).sum(axis=1)


def _unit(rows: FloatArray) -> FloatArray:
    return rows / np.maximum(np.linalg.norm(rows, axis=1), 1e-300)[:, None]
