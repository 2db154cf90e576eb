"""From a field to a watertight triangle mesh: sample near the surface, extract, thin out, settle on the surface."""

from __future__ import annotations

from collections.abc import Sequence

import fast_simplification
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from skimage.measure import marching_cubes

from .field import Field, FloatArray
from .lens import Lens
from .tidy import spread, turn_edges

IntArray = NDArray[np.int64]
BLOCK = 8  # fine cells along the edge of one coarse cell


def surface(field: Field, bounds: FloatArray, cell: float) -> tuple[FloatArray, IntArray]:
    """Zero surface of `field` within `bounds` (2, 3), sampled on a grid of edge `cell`."""
    values, low = sample(field, bounds, cell)
    vertices, faces, _, _ = marching_cubes(values, 0.0, gradient_direction="descent")
    return vertices.astype(float) * cell + low, faces.astype(np.int64)


def sample(field: Field, bounds: FloatArray, cell: float) -> tuple[NDArray[np.float32], FloatArray]:
    """Field values on a regular grid; far from the surface only the sign is right."""
    coarse = BLOCK * cell
    low = bounds[0] - coarse
    blocks = np.ceil((bounds[1] + coarse - low) / coarse).astype(int)
    corner = np.stack(np.meshgrid(*map(np.arange, blocks), indexing="ij"), -1).reshape(-1, 3)
    middle = field(low + (corner + 0.5) * coarse)
    values = np.repeat(np.repeat(np.repeat(middle.reshape(blocks), BLOCK, 0), BLOCK, 1), BLOCK, 2).astype(np.float32)
    near = np.flatnonzero(np.abs(middle) < 1.6 * coarse)
    step = np.stack(np.meshgrid(*3 * [np.arange(BLOCK)], indexing="ij"), -1).reshape(-1, 3)
    for some in np.array_split(near, max(1, len(near) // 400)):
        index = (corner[some, None] * BLOCK + step).reshape(-1, 3)
        values[tuple(index.T)] = field(low + index * cell)
    return values, low


def gradient(field: Field, points: FloatArray, step: float) -> FloatArray:
    """Central differences."""
    nudge = np.eye(3) * step
    return np.stack([field(points + n) - field(points - n) for n in nudge], axis=1) / (2 * step)


def settle(field: Field, points: FloatArray, step: float, rounds: int = 3) -> FloatArray:
    """Newton steps onto the surface, none longer than `step`."""
    for _ in range(rounds):
        slope = gradient(field, points, 0.1 * step)
        move = -field(points)[:, None] * slope / np.maximum((slope**2).sum(1, keepdims=True), 1e-3)
        length = np.linalg.norm(move, axis=1, keepdims=True)
        points = points + move * np.minimum(1, step / np.maximum(length, 1e-12))
    return points


def thin(vertices: FloatArray, faces: IntArray, count: int, lenses: Sequence[Lens] = ()) -> tuple[FloatArray, IntArray]:
    """Quadric thinning to about `count` vertices (a closed surface has twice as many faces), finer under the lenses."""
    for lens in lenses:
        vertices = lens.enlarge(vertices)
    points, triangles = fast_simplification.simplify(
        vertices.astype(np.float32), faces.astype(np.int32), target_count=2 * count, agg=4
    )
    points = points.astype(float)
    for lens in reversed(lenses):
        points = lens.reduce(points)
    return points, triangles.astype(np.int64)


def largest(vertices: FloatArray, faces: IntArray) -> tuple[FloatArray, IntArray]:
    """The greatest piece alone: thinning may leave crumbs of two triangles."""
    ends = faces[:, [0, 1, 1, 2]].reshape(-1, 2).T
    links = coo_array((np.ones(ends.shape[1]), ends), shape=(len(vertices),) * 2)
    piece = connected_components(links, directed=False)[1][faces[:, 0]]
    kept, compact = np.unique(faces[piece == np.bincount(piece).argmax()], return_inverse=True)
    return vertices[kept], compact.reshape(-1, 3)


def mesh(
    field: Field, bounds: FloatArray, cell: float, count: int, lenses: Sequence[Lens] = ()
) -> tuple[FloatArray, IntArray]:
    """Closed mesh of about `count` vertices, well-shaped triangles, on the zero surface of `field`."""
    vertices, faces = surface(field, bounds, cell)
    vertices = settle(field, vertices, 0.3 * cell, rounds=1)
    for goal in (2 * count, count):
        if goal < len(vertices):
            vertices, faces = largest(*thin(vertices, faces, goal, lenses))
        for _ in range(4):
            faces = turn_edges(vertices, faces)
            vertices = settle(field, spread(vertices, faces), 0.3 * cell, rounds=1)
    return settle(field, vertices, 0.3 * cell), turn_edges(vertices, faces)
