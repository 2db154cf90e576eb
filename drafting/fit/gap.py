"""The room between skin and cloth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..body.body import Skin
from ..cloth.mesh import ClothMesh
from .nearest import closest_on_triangles, nearest

__all__ = ["Gap", "closest_on_triangles", "nearest", "read_gap", "signed_gap", "weighted_quantile"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# What a gap below is called contact: the cloth's thickness and the accuracy of the drape, which lays cloth a 600th of
# the doll's height off the skin: twice the solver's 2 mm by 8/9, where the doll is 2.1 m tall (measured; the principle,
# contact = gap below what the scanner resolves: Frackiewicz-Kaczmarek et al. 2010, 3dbodyscanning.org).
ACCURACY = 1.0 / 700.0  # of the height: a little less than that 600th, for the cloth's own thickness is added


@dataclass(frozen=True)
class Gap:
    """Distance of the cloth from the skin, weighted by the area of cloth, mm; below the skin is negative.

    Attributes
    ----------
    contact_share : float
        Share of the cloth that is nearer than `contact_mm`, 0 .. 1.
    below_deepest_mm : float
        How deep the deepest cloth lies under the skin; 0 if none does.
    below_share : float
        Share of the cloth that lies under the skin, 0 .. 1.
    below_at : (x, y, z) or None
        Where it lies deepest; None where none does.
    """

    p05: float
    median: float
    p95: float
    max: float
    contact_mm: float
    contact_share: float
    below_deepest_mm: float
    below_share: float
    below_at: tuple[float, float, float] | None = None


def read_gap(cloth: ClothMesh, skin: Skin, thickness_mm: float) -> Gap:
    """Gap between a draped garment and the skin.

    The cloth is felt at the corners and at the middle of every triangle, each with a quarter of its area, so that
    a point of the body that pierces a triangle between its corners is not overlooked.
    """
    corners = cloth.vertices[cloth.faces]
    quarter = triangle_areas(corners) / 4
    at_corner = np.bincount(cloth.faces.ravel(), np.repeat(quarter, 3), minlength=len(cloth.vertices))
    points, weight = np.concatenate([cloth.vertices, corners.mean(axis=1)]), np.concatenate([at_corner, quarter])
    points, weight = points[weight > 0], weight[weight > 0]
    gap = signed_gap(points, skin.vertices, skin.faces)
    x, y, z = points[gap.argmin()].tolist()
    contact = contact_mm(skin, thickness_mm)
    p05, median, p95 = weighted_quantile(gap, weight, (0.05, 0.5, 0.95))
    return Gap(
        p05=p05,
        median=median,
        p95=p95,
        max=float(gap.max()),
        contact_mm=contact,
        contact_share=float(weight[gap < contact].sum() / weight.sum()),
        below_deepest_mm=float(max(0.0, -gap.min())),
        below_share=float(weight[gap < 0].sum() / weight.sum()),
        below_at=(x, y, z) if gap.min() < 0 else None,
    )


def contact_mm(skin: Skin, thickness_mm: float) -> float:
    """Cloth that is nearer to the skin than this touches it, mm."""
    return thickness_mm + ACCURACY * float(np.ptp(skin.vertices[:, 2]))


def signed_gap(points: FloatArray, skin_vertices: FloatArray, skin_faces: IntArray) -> FloatArray:
    """Distance to the skin, positive outside and negative below it.

    Outside is where the pseudo-normal of the closest feature points: the normal of a triangle, the sum of both
    at a side, the sum weighted by angles at a corner. That sign is exact for every closed surface that does not
    cross itself (Baerentzen & Aanaes, IEEE TVCG 11(3), 2005).

    Parameters
    ----------
    points : (n, 3) float
    skin_vertices : (v, 3) float
    skin_faces : (m, 3) int
        Counter-clockwise seen from outside.

    Returns
    -------
    (n,) float, mm
    """
    vertices, same = np.unique(np.asarray(skin_vertices, dtype=float), axis=0, return_inverse=True)
    faces = same.reshape(-1)[skin_faces]
    distance, closest, face = nearest(points, vertices, faces)
    away = np.asarray(points, dtype=float) - closest
    outward = _pseudo_normals(vertices, faces, closest, face)
    return np.where(np.einsum("ij,ij->i", away, outward) < 0, -distance, distance)


def _pseudo_normals(vertices: FloatArray, faces: IntArray, closest: FloatArray, face: IntArray) -> FloatArray:
    """The outward direction at points of the surface, each lying in the triangle named."""
    corners = vertices[faces]
    normal = _unit(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]))
    at_side = _side_sums(faces, normal)
    at_corner = np.zeros_like(vertices)
    for i in range(3):
        one, two = (_unit(corners[:, (i + k) % 3] - corners[:, i]) for k in (1, 2))
        angle = np.arctan2(np.linalg.norm(np.cross(one, two), axis=1), np.einsum("ij,ij->i", one, two))
        np.add.at(at_corner, faces[:, i], normal * angle[:, None])

    zero = _on_side(corners[face], closest)
    outward = normal[face].copy()
    for i in range(3):  # a side lies opposite corner i
        on = zero[:, i] & (zero.sum(axis=1) == 1)
        outward[on] = at_side[face[on], i]
        on = zero[:, (i + 1) % 3] & zero[:, (i + 2) % 3]
        outward[on] = at_corner[faces[face[on], i]]
    return outward


def _side_sums(faces: IntArray, normal: FloatArray) -> FloatArray:
    """(m, 3, 3): for the side opposite each corner, the normals of all triangles that share it, summed."""
    pairs = np.sort(np.stack([faces[:, [1, 2]], faces[:, [2, 0]], faces[:, [0, 1]]], axis=1), axis=2)
    key = pairs[:, :, 0] * np.int64(faces.max() + 1) + pairs[:, :, 1]
    _, side = np.unique(key, return_inverse=True)
    side = side.reshape(-1)
    total = np.zeros((side.max() + 1, 3))
    np.add.at(total, side, np.repeat(normal, 3, axis=0))
    return total[side].reshape(-1, 3, 3)


def _on_side(corners: FloatArray, spot: FloatArray) -> NDArray[np.bool_]:
    """(k, 3) bool: which barycentric coordinates of a point of each triangle vanish."""
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = np.cross(u, v)
    square = np.maximum(np.einsum("ij,ij->i", area, area), np.finfo(float).tiny)
    share = np.zeros((len(spot), 3))
    for i in range(3):
        one, two = corners[:, (i + 1) % 3] - spot, corners[:, (i + 2) % 3] - spot
        share[:, i] = np.einsum("ij,ij->i", np.cross(one, two), area) / square
    return np.abs(share) < 1e-9


def _unit(vectors: FloatArray) -> FloatArray:
    return vectors / np.maximum(np.linalg.norm(vectors, axis=-1, keepdims=True), np.finfo(float).tiny)


def triangle_areas(corners: FloatArray) -> FloatArray:
    """(m,) float: area of each triangle, from its corners (m, 3, 3)."""
    return np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2


def weighted_quantile(values: FloatArray, weights: FloatArray, shares: tuple[float, ...]) -> tuple[float, ...]:
    """The values below which these shares of the whole weight lie."""
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weights[order])
    middle = (reached - weights[order] / 2) / reached[-1]
    return tuple(float(value) for value in np.interp(shares, middle, values[order]))
