"""Skin under cloth, for pictures alone: it is drawn in where coarse cloth dips below it, so that no bare spot shows.

Nothing is measured on it. A triangle of cloth is flat and the body round: its corners lie on it, its middle below.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from mathutils import Vector
from mathutils.bvhtree import BVHTree
from numpy.typing import NDArray

from drafting.cloth.mesh import ClothMesh

from ..bridge import FloatArray
from .stage import normals

IntArray = NDArray[np.int64]

# Shares of the doll's height.
CLEAR = 1.0 / 2000.0  # how far below the cloth the skin is drawn in; cloth at rest lies more than that off it
DEEPEST = 1.0 / 60.0  # cloth that lies deeper is inside the body, and no dip
STEP = 1.0 / 200.0  # how closely the cloth is felt: about a skin triangle's edge
NEAR = 1.0 / 100.0  # a triangle whose corners all stand off farther cannot dip
HALF = 0.45  # of a limb's thickness: the skin is never drawn in as far as its middle
ROUNDS = 5  # the skin is felt anew after each


def drawn_in(vertices: FloatArray, faces: IntArray, cloths: Sequence[ClothMesh]) -> FloatArray:
    """(n, 3) float, mm: the skin's vertices, those under cloth that dips pulled in along their normals."""
    height = float(np.ptp(vertices[:, 2]))
    whole = BVHTree.FromPolygons(vertices.tolist(), faces.tolist())
    felt = np.concatenate([_felt(cloth, whole, height) for cloth in cloths])
    inward, skin, tree = -normals(vertices, faces), vertices, whole
    depth, most = np.zeros(len(vertices)), np.full(len(vertices), np.nan)
    for _ in range(ROUNDS):
        above, face = _above(tree, felt)
        dips = (above > -DEEPEST * height) & (above < CLEAR * height)
        felt, above, face = felt[dips], above[dips], face[dips]  # skin that is drawn in uncovers no other cloth
        if not len(felt):
            break
        wanted = np.zeros(len(vertices))
        np.maximum.at(wanted, faces[face], np.repeat((CLEAR * height - above)[:, None], 3, axis=1))
        for at in np.flatnonzero((wanted > 0.0) & np.isnan(most)):
            most[at] = HALF * _thickness(whole, vertices[at], inward[at], height)
        depth = np.minimum(depth + wanted, np.nan_to_num(most))
        skin = vertices + depth[:, None] * inward
        tree = BVHTree.FromPolygons(skin.tolist(), faces.tolist())
    return skin


def _felt(cloth: ClothMesh, skin: BVHTree, height: float) -> FloatArray:
    """(k, 3) float: points all over the triangles that lie near the skin."""
    off, _ = _above(skin, cloth.vertices)
    near = cloth.vertices[cloth.faces[(np.abs(off)[cloth.faces] < NEAR * height).any(axis=1)]]
    if not len(near):
        return np.zeros((0, 3))
    longest = np.linalg.norm(near - np.roll(near, 1, axis=1), axis=2).max()
    count = max(1, int(np.ceil(longest / (STEP * height))))
    i, j = (k.ravel() for k in np.meshgrid(np.arange(count + 1), np.arange(count + 1)))
    shares = np.stack([i, j, count - i - j], axis=1)[i + j <= count] / count
    return np.einsum("kc,mcd->mkd", shares, near).reshape(-1, 3)


def _above(skin: BVHTree, points: FloatArray) -> tuple[FloatArray, IntArray]:
    """How far each point lies outside the skin, mm, inside below 0, and which triangle is nearest."""
    found = [skin.find_nearest(point) for point in points.tolist()]
    spot, normal = (np.array([each[k] for each in found]).reshape(-1, 3) for k in (0, 1))
    away, face = np.array([each[3] for each in found]), np.array([each[2] for each in found], dtype=np.int64)
    return np.where(((points - spot) * normal).sum(axis=1) < 0.0, -away, away), face


def _thickness(skin: BVHTree, point: FloatArray, inward: FloatArray, height: float) -> float:
    """How far the other side of the body lies from a point on it."""
    far = skin.ray_cast(Vector(point + 1e-4 * height * inward), Vector(inward))[3]
    return height if far is None else float(far)
