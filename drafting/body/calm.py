"""Scan noise: how much of it there is, and taking it off without taking off what was sculpted.

A quadric is laid through the two rings of neighbours of a vertex. What is left over is noise where it is everywhere
alike; taking a vertex to its quadric keeps curved skin as it is: balls and tubes, such as arms, lie on quadrics, while
smoothing by neighbours' means makes them slimmer and by paraboloids fuller. Where all of a neighbourhood would move
the same way, the quadric is wrong and not the skin: that part of the way is taken back (Tukey's twicing, 1977).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..cores import spread
from .body import FloatArray, IntArray
from .mend import directed, vertex_normals

SPOTS = 300
"""Places where the roughness of a skin is looked at."""
SMOOTHEST = 0.25
"""Noise is everywhere, sculpture is not: the quantile of the spots that counts as noise."""
LEAST = 12
"""Neighbours that a quadric needs."""
PLAIN, SCULPTED = 1.8, 3.0
"""Where a quadric misses its neighbours by less than the first times the noise, the vertex is taken to it in full;
beyond the second there is sculpture, such as a finger, and it stays."""
TURN = 0.0
"""Where the skin turns farther within two rings (cosine), as round a finger, its triangles are too coarse to fit."""
BENT = 1e-4
"""Where a skin is so flat that a bend beyond the paraboloid's cannot be told from noise, this keeps it out."""
BLOCK = 8_000
"""Vertices fitted at a time: few enough that every core has some."""


@dataclass(frozen=True)
class _Rings:
    """All edges by their first end."""

    there: IntArray
    begin: IntArray

    @classmethod
    def of(cls, faces: IntArray, count: int) -> _Rings:
        here, there = directed(faces, count)
        order = np.argsort(here, kind="stable")
        return cls(there[order], np.searchsorted(here[order], np.arange(count + 1)))

    def _step(self, owner: IntArray, at: IntArray) -> tuple[IntArray, IntArray]:
        many = self.begin[at + 1] - self.begin[at]
        index = np.repeat(self.begin[at] - np.cumsum(many) + many, many) + np.arange(many.sum())
        return np.repeat(owner, many), self.there[index]

    def two(self, spots: IntArray) -> tuple[IntArray, IntArray]:
        """Pairs of a place in `spots` and a vertex within two edges of it, itself included."""
        owner, near = self._step(np.arange(len(spots)), spots)
        further, far = self._step(owner, near)
        count = len(self.begin)
        key = np.unique(np.concatenate([owner * count + near, further * count + far]))
        return key // count, key % count

    def mean(self, value: FloatArray) -> FloatArray:
        """(n,) mean of each vertex and its neighbours."""
        many = np.diff(self.begin)
        near = np.bincount(np.repeat(np.arange(len(many)), many), value[self.there], len(many))
        return (value + near) / (1 + many)


def _fit(vertices: FloatArray, normals: FloatArray, rings: _Rings, spots: IntArray) -> tuple[FloatArray, FloatArray]:
    """How far above some vertices their quadrics pass, and how far these miss the neighbours (inf: too few)."""
    owner, near = rings.two(spots)
    count, normal = len(spots), normals[spots]
    aside = np.cross(normal, np.eye(3)[np.abs(normal).argmin(axis=1)])
    aside /= np.linalg.norm(aside, axis=1)[:, None]
    away = vertices.take(near, axis=0) - vertices[spots].take(owner, axis=0)
    frame = (aside, np.cross(normal, aside), normal)
    x, y, z = (np.einsum("ij,ij->i", axis.take(owner, axis=0), away) for axis in frame)
    total = np.bincount(owner, minlength=count)
    wide = np.sqrt(np.bincount(owner, x * x + y * y, count) / np.maximum(total, 1)) + 1e-12
    x, y, rise = x / wide[owner], y / wide[owner], z / wide[owner]
    # A tube or ball of radius r that touches the frame's plane is 2 r z = x2 + z2, or x2 + y2 + z2.
    terms = [np.ones_like(x), x, y, x * x, x * y, y * y, rise * rise]
    many = len(terms)
    square, right = np.zeros((count, many, many)), np.zeros((count, many))
    for i, one in enumerate(terms):
        right[:, i] = np.bincount(owner, one * z, count)
        for j, other in enumerate(terms[: i + 1]):
            square[:, i, j] = square[:, j, i] = np.bincount(owner, one * other, count)
    square += np.diag([*[1e-6] * (many - 1), BENT]) * np.maximum(total, 1)[:, None, None]
    found = np.linalg.solve(square, right[:, :, None])[:, :, 0]
    rest = np.maximum(np.bincount(owner, z * z, count) - (found * right).sum(axis=1), 0)
    turned = np.ones(count)
    np.minimum.at(turned, owner, (normals[near] * normal[owner]).sum(axis=1))
    sound = (total >= LEAST) & (turned > TURN)
    return found[:, 0], np.where(sound, np.sqrt(rest / np.maximum(total - many, 1)), np.inf)


def noise_of(vertices: FloatArray, faces: IntArray) -> float:
    """Standard deviation in mm of a skin from smooth surfaces through its own neighbourhoods."""
    spots = np.unique(np.linspace(0, len(vertices) - 1, SPOTS).astype(int))
    near = np.zeros(len(vertices), bool)
    near[spots] = True
    for _ in range(3):
        a, b, c = (near.take(corner) for corner in faces.T)
        about = faces.take(np.flatnonzero(a | b | c), axis=0)
        near[about] = True
    used = np.unique(about)
    vertices, faces, spots = vertices[used], np.searchsorted(used, about), np.searchsorted(used, spots)
    rough = _fit(vertices, vertex_normals(vertices, faces), _Rings.of(faces, len(used)), spots)[1]
    rough = rough[np.isfinite(rough)]
    return float(np.quantile(rough, SMOOTHEST)) if len(rough) else 0.0


def calmed(vertices: FloatArray, faces: IntArray, noise: float) -> FloatArray:
    """Every vertex on the quadric through its neighbours, where these are as rough as the noise alone."""
    rings = _Rings.of(faces, len(vertices))
    normals, above = vertex_normals(vertices, faces), np.zeros(len(vertices))
    blocks = np.array_split(np.arange(len(vertices)), len(vertices) // BLOCK + 1)
    fitted = spread(lambda spots: _fit(vertices, normals, rings, spots), blocks)
    for spots, (rise, miss) in zip(blocks, fitted, strict=True):
        above[spots] = rise * np.clip((SCULPTED * noise - miss) / ((SCULPTED - PLAIN) * noise), 0, 1)
    alike = rings.mean(rings.mean(above))
    return vertices + (above - alike)[:, None] * normals
