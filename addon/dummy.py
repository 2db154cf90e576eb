"""The dummy: a lighter copy of the doll's skin for the solver to push cloth against.

A scan has several triangles under every square of cloth. Fewer are as true where the skin is smooth, and the solver
tests the cloth against each of them at every step.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drafting.body.body import Skin
from drafting.fit.nearest import nearest

from . import bridge
from .steps import Step, Work, aside, finish

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

MOST_TRIANGLES = 10000
STAGE = "posing the doll"


@dataclass(frozen=True)
class Dummy:
    """Fewer triangles that follow the skin.

    Attributes
    ----------
    faces : (m, 3) int
        The dummy's own triangles.
    under : (n, 3) int
        The skin's triangle, as three vertices of the skin, that each of the dummy's points lies on.
    blend : (n, 3) float
        Where on it: barycentric coordinates.
    above : (n,) float
        How far over it, mm: on a rounded skin the best points of a coarser mesh lie a little outside.
    """

    faces: IntArray
    under: IntArray
    blend: FloatArray
    above: FloatArray

    def follow(self, skin: FloatArray) -> FloatArray:
        """(n, 3) float: the dummy's points when the skin's vertices are at (v, 3)."""
        corners = skin[self.under]
        return np.einsum("nk,nkd->nd", self.blend, corners) + self.above[:, None] * _normals(corners)


def dummy_of(room: bridge.Room, skin: Skin) -> Dummy:
    """The skin with at most `MOST_TRIANGLES`; a skin that is light enough stays as it is."""
    return finish(lightening(room, skin))


def lightening(room: bridge.Room, skin: Skin) -> Work[Dummy]:
    """The same, a step at a time."""
    if len(skin.faces) <= MOST_TRIANGLES:
        return whole(skin)
    share = MOST_TRIANGLES / len(skin.faces)
    points, faces = bridge.collapsed(room, skin.vertices, skin.faces, share)
    yield Step(STAGE, 0.0)
    _, closest, face = yield from aside(STAGE, 0.0, lambda: nearest(points, skin.vertices, skin.faces))
    under = skin.faces[face]
    corners = skin.vertices[under]
    above = ((points - closest) * _normals(corners)).sum(axis=1)
    return Dummy(faces, under, _barycentric(closest, corners), above)


def whole(skin: Skin) -> Dummy:
    """The skin itself."""
    own = np.arange(len(skin.vertices))
    blend = np.tile([1.0, 0.0, 0.0], (len(own), 1))
    return Dummy(skin.faces, np.column_stack([own] * 3), blend, np.zeros(len(own)))


def _normals(corners: FloatArray) -> FloatArray:
    """(n, 3) float: unit normals of triangles; none where a triangle has no area."""
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    return normal / np.where(length > 0.0, length, 1.0)


def _barycentric(points: FloatArray, corners: FloatArray) -> FloatArray:
    """(n, 3) float: coordinates of points in their triangles, the first corner's where a triangle has no area."""
    first, second, offset = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0], points - corners[:, 0]
    aa, ab, bb = ((p * q).sum(axis=1) for p, q in ((first, first), (first, second), (second, second)))
    pa, pb = (offset * first).sum(axis=1), (offset * second).sum(axis=1)
    area = aa * bb - ab * ab
    safe = np.where(area > 0.0, area, 1.0)
    v, w = (bb * pa - ab * pb) / safe, (aa * pb - ab * pa) / safe
    v, w = np.where(area > 0.0, v, 0.0), np.where(area > 0.0, w, 0.0)
    return np.column_stack([1.0 - v - w, v, w])
