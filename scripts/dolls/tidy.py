"""Well-shaped triangles on a thinned mesh: turn edges, spread vertices, and stay on the surface."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .field import FloatArray, dot

IntArray = NDArray[np.int64]
FLATTEST = 0.85  # cosine between two triangles above which their common edge may be turned


def turn_edges(vertices: FloatArray, faces: IntArray, rounds: int = 6) -> IntArray:
    """Turn edges until opposite angles add up to at most 180 degrees (Delaunay's criterion), folds left alone."""
    faces = faces.copy()
    for _ in range(rounds):
        if not _turn_once(vertices, faces):
            break
    return faces


def _turn_once(vertices: FloatArray, faces: IntArray) -> int:
    """Turn, in place, a set of edges no two of which share a triangle or a corner; their number."""
    start, end, tip_a, tip_b, face_a, face_b = _hinges(faces)
    angle = _angle(vertices, start, end, tip_a) + _angle(vertices, start, end, tip_b)
    normal = _normals(vertices, faces)
    old = dot(normal[face_a], normal[face_b])
    after = [_normals(vertices, np.stack(t, 1)) for t in ((tip_a, start, tip_b), (tip_b, end, tip_a))]
    mean = normal[face_a] + normal[face_b]
    safe = np.all([dot(n, mean) > 1.6 for n in after], axis=0)
    wanted = np.flatnonzero((angle > np.pi + 1e-3) & (old > FLATTEST) & safe)
    wanted = wanted[np.argsort(-angle[wanted], kind="stable")]
    known = {(min(a, b), max(a, b)) for a, b in zip(start.tolist(), end.tolist(), strict=True)}
    busy: set[int] = set()
    turned = 0
    for e in wanted.tolist():
        corners = (int(start[e]), int(end[e]), int(tip_a[e]), int(tip_b[e]))
        key = (min(corners[2:]), max(corners[2:]))
        if key in known or not busy.isdisjoint(corners):
            continue
        busy.update(corners)
        known.add(key)
        faces[face_a[e]] = (tip_a[e], start[e], tip_b[e])
        faces[face_b[e]] = (tip_b[e], end[e], tip_a[e])
        turned += 1
    return turned


def _hinges(faces: IntArray) -> tuple[IntArray, ...]:
    """For each edge of a closed surface: start, end, the tips and the numbers of both triangles, `a` runs start to end."""
    start, end, tip = faces.T.ravel(), np.roll(faces, -1, 1).T.ravel(), np.roll(faces, -2, 1).T.ravel()
    face = np.tile(np.arange(len(faces)), 3)
    size = len(faces) * 3
    there = np.argsort(start * size + end)
    back = np.argsort(end * size + start)
    here = start[there] < end[there]
    one, two = there[here], back[here]
    return start[one], end[one], tip[one], tip[two], face[one], face[two]


def _angle(vertices: FloatArray, start: IntArray, end: IntArray, tip: IntArray) -> FloatArray:
    u, v = vertices[start] - vertices[tip], vertices[end] - vertices[tip]
    return np.arctan2(np.linalg.norm(np.cross(u, v), axis=1), dot(u, v))


def _normals(vertices: FloatArray, faces: IntArray) -> FloatArray:
    a, b, c = vertices[faces.T]
    normal = np.cross(b - a, c - a)
    return normal / np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-15)


def spread(vertices: FloatArray, faces: IntArray, amount: float = 0.4) -> FloatArray:
    """Move each vertex along the surface towards the middle of its triangles, weighed by their area."""
    a, b, c = vertices[faces.T]
    area = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    heavy, total, normal = np.zeros_like(vertices), np.zeros(len(vertices)), np.zeros_like(vertices)
    flat = np.cross(b - a, c - a)
    for corner in faces.T:
        np.add.at(heavy, corner, (area / 3)[:, None] * (a + b + c))
        np.add.at(total, corner, area)
        np.add.at(normal, corner, flat)
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-15)
    move = np.where(total[:, None] > 0, heavy / np.maximum(total, 1e-30)[:, None] - vertices, 0)
    move -= dot(move, normal)[:, None] * normal
    return vertices + amount * move
