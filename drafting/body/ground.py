"""The ground plane in a scan: a patch of table, a cloth or a stand that is one with the soles, found and cut off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .body import FloatArray, IntArray
from .mend import above

TRIES, SAMPLES = 120, 3000
"""Planes through so many triangles, spread evenly over the area, are held against so many others."""
FLAT, LEVEL = 0.007, 0.95
"""What lies so near a plane, as a share of the size, and faces as it does, by the cosine, is of the plane."""
SHARE, WIDE = 0.07, 0.12
"""A plane with so much of the area, and so wide, is more than two soles: those of sample bodies hold 0.03."""
UNDER, OVER = 0.2, 0.45
"""A stand reaches no deeper under its top, and a body rises at least so far above it, as shares of the size."""


@dataclass(frozen=True)
class Ground:
    """What the doll stands on.

    Attributes
    ----------
    normal : (3,) float
        Unit vector that points up to the doll.
    level : float
        Of its surface along the normal, in the scan's unit.
    wide : float
        Its greatest width.
    """

    normal: FloatArray
    level: float
    wide: float


def find_ground(vertices: FloatArray, faces: IntArray) -> Ground | None:
    """The widest plane that most of the scan stands over; None where there is none."""
    points, normals = _spread(vertices, faces)
    size = float(np.linalg.norm(np.ptp(points, axis=0)))
    found: Ground | None = None
    most = SHARE * len(points)
    for try_ in np.linspace(0, len(points) - 1, TRIES).astype(int):
        for normal in (normals[try_], -normals[try_]):
            along = points @ normal - points[try_] @ normal
            if along.max() < OVER * size or along.min() < -UNDER * size:
                continue
            flat = (np.abs(along) < FLAT * size) & (normals @ normals[try_] > LEVEL)
            if flat.sum() > most and (wide := _widths(points[flat], normal))[1] > WIDE * size:
                most = float(flat.sum())
                fair = _fitted(points[flat], normal)
                found = Ground(fair, float(np.median(points[flat] @ fair)), float(wide[0]))
    return found and _upper(found, points, normals, size)


def _spread(vertices: FloatArray, faces: IntArray) -> tuple[FloatArray, FloatArray]:
    """Points spread evenly over the area, and their normals."""
    if len(faces) > 20 * SAMPLES:
        faces = faces[:: len(faces) // (20 * SAMPLES) + 1]
    corner = vertices[faces]
    cross = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    double = np.linalg.norm(cross, axis=1)
    along = np.cumsum(double)
    share = (np.arange(SAMPLES) + 0.5) / SAMPLES
    at = np.minimum(np.searchsorted(along, share * along[-1]), len(faces) - 1)
    chance = np.random.default_rng(1).random((SAMPLES, 2))
    a, b = np.sqrt(chance[:, 0]), chance[:, 1]
    weight = np.stack([1 - a, a * (1 - b), a * b], axis=1)
    return (weight[:, :, None] * corner[at]).sum(axis=1), cross[at] / np.maximum(double[at], 1e-300)[:, None]


def _fitted(points: FloatArray, normal: FloatArray) -> FloatArray:
    """Normal of the plane through points by least squares, on the side of a first guess."""
    off = points - points.mean(axis=0)
    fair = np.linalg.eigh(off.T @ off)[1][:, 0]
    return fair if fair @ normal > 0 else -fair


def _widths(points: FloatArray, normal: FloatArray) -> FloatArray:
    """Greatest and least width of points of a plane."""
    off = points - points.mean(axis=0)
    off = off - (off @ normal)[:, None] * normal
    axes = np.linalg.eigh(off.T @ off)[1]
    return np.sort(np.ptp(off @ axes, axis=0))[::-1]


def _upper(ground: Ground, points: FloatArray, normals: FloatArray, size: float) -> Ground:
    """The upper face of a stand, where its lower one was found first: the highest level that is still as wide."""
    along, level = points @ ground.normal, np.abs(normals @ ground.normal) > LEVEL
    best = ground.level
    for step in np.arange(ground.level + FLAT * size, ground.level + UNDER * size, FLAT * size / 2):
        flat = level & (np.abs(along - step) < FLAT * size)
        if flat.sum() > SHARE * len(points) and _widths(points[flat], ground.normal)[1] > WIDE * size:
            best = float(np.median(along[flat]))
    return Ground(ground.normal, best, ground.wide)


def without_ground(vertices: FloatArray, faces: IntArray, ground: Ground) -> tuple[FloatArray, IntArray]:
    """What stands on the ground, cut off a hair above it and stretched down to it again."""
    turn = _frame(ground.normal)
    placed = vertices @ turn.T
    hair = FLAT * float(np.linalg.norm(np.ptp(vertices, axis=0)))
    kept, faces = above(placed, faces, ground.level + hair)
    kept[kept[:, 2] < ground.level + 1.0001 * hair, 2] = ground.level
    return kept @ turn, faces


def _frame(up: FloatArray) -> FloatArray:
    """A rotation whose last row is the given direction."""
    aside = np.cross(up, np.eye(3)[np.abs(up).argmin()])
    aside /= np.linalg.norm(aside)
    return np.stack([aside, np.cross(up, aside), up])
