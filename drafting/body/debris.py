"""Scan debris (outliers): loose triangles, ragged scraps and points that stand out like needles."""

from __future__ import annotations

import numpy as np

from .body import FloatArray, IntArray
from .graph import lengths_of
from .mend import shells
from .weld import compact

RAGGED = 0.25
"""A shell with so large a share of open edges is a scrap: the rim of a torn part is far shorter than its inside."""
MOST = 0.5
"""Where scraps are more than this share of all triangles, the scan was written so: nothing is joined in it."""
NEEDLE, STANDS_OUT = 4.0, 0.01
"""A point is a needle that stands so many times as high over its neighbours as they are wide, and by this share of the
whole; the tip of a finger or a lock of hair stands twice as high at most."""
LONG = 5.0
"""Only edges so many times the usual length can belong to needles."""
ROUNDS = 3


def without_scraps(vertices: FloatArray, faces: IntArray) -> tuple[FloatArray, IntArray, int]:
    """A scan that is not closed without triangles that share no edge and shells that are nearly all rim; how many."""
    edge, count = _edges(faces, len(vertices))
    lonely = (count[edge] == 1).all(axis=1)
    shell = shells(vertices, faces)
    rim = np.bincount(shell, (count[edge] == 1).sum(axis=1)) / np.maximum(np.bincount(shell), 1) / 3
    scrap = lonely | (rim > RAGGED)[shell]
    if not scrap.any() or scrap.mean() > MOST:
        return vertices, faces, 0
    return *compact(vertices, faces[~scrap]), int(scrap.sum())


def _edges(faces: IntArray, count: int) -> tuple[IntArray, IntArray]:
    """(m, 3) the number of each face's edges, and how many faces share each of them."""
    there = np.roll(faces, -1, axis=1)
    key = np.minimum(faces, there) * count + np.maximum(faces, there)
    _, edge, shared = np.unique(key.ravel(), return_inverse=True, return_counts=True)
    return edge.reshape(-1, 3), shared


def without_needles(vertices: FloatArray, faces: IntArray) -> tuple[FloatArray, int, float]:
    """Points that stand out alone, laid among their neighbours; how many, and how far the highest stood out."""
    count, highest = 0, 0.0
    for _ in range(ROUNDS):
        edge = lengths_of(vertices, faces[:, :2])
        size = float(max(np.ptp(column) for column in vertices.T))
        long = edge > max(LONG * float(edge.mean()), STANDS_OUT * size)
        if not long.any():
            break
        some = np.unique(faces[long, :2])
        mean, wide = _round_about(vertices, faces, some)
        height = np.linalg.norm(vertices[some] - mean, axis=1)
        needle = (height > NEEDLE * wide) & (height > STANDS_OUT * size)
        if not needle.any():
            break
        vertices = vertices.copy()
        vertices[some[needle]] = mean[needle]
        count, highest = count + int(needle.sum()), max(highest, float(height[needle].max()))
    return vertices, count, highest


def _round_about(vertices: FloatArray, faces: IntArray, some: IntArray) -> tuple[FloatArray, FloatArray]:
    """The mean of each point's neighbours, and how far they are from it in the mean."""
    chosen = np.full(len(vertices), -1)
    chosen[some] = np.arange(len(some))
    own = np.concatenate([chosen[faces[:, i]] for i in (0, 1, 2) for _ in (0, 1)])
    other = np.concatenate([faces[:, (i + j) % 3] for i in (0, 1, 2) for j in (1, 2)])
    other, own = other[own >= 0], own[own >= 0]
    total = np.maximum(np.bincount(own, minlength=len(some)), 1)
    mean = np.stack([np.bincount(own, vertices[other, axis], len(some)) / total for axis in range(3)], axis=1)
    away = np.linalg.norm(vertices[other] - mean[own], axis=1)
    return mean, np.bincount(own, away, len(some)) / total
