"""Where cloth passes through cloth: pairs of triangles that cut each other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]


def crossing_pairs(vertices: FloatArray, faces: IntArray) -> IntArray:
    """Pairs of triangles that cut each other and share no vertex.

    Parameters
    ----------
    vertices : (n, 3) float
    faces : (m, 3) int

    Returns
    -------
    (k, 2) int
        Indices of faces, the lower first. Triangles that only touch, or lie in one plane, do not cut.
    """
    near = _near_pairs(vertices[faces])
    strangers = near[~(faces[near[:, 0]][:, :, None] == faces[near[:, 1]][:, None, :]).any(axis=(1, 2))]
    one, other = (vertices[faces[strangers[:, side]]] for side in (0, 1))
    cut: IntArray = strangers[_pierces(one, other) | _pierces(other, one)]
    return cut


def _near_pairs(corners: FloatArray) -> IntArray:
    """(k, 2) int: triangles whose boxes overlap, each pair once.

    Each box is put into the cells of a lattice that it reaches; a cell is as wide as the widest box, so that a box
    reaches two along each axis at most.
    """
    low, high = corners.min(axis=1), corners.max(axis=1)
    cell = max(float((high - low).max(initial=0.0)), 1e-9)
    first = np.floor((low - low.min(axis=0, initial=np.inf)) / cell).astype(np.int64)
    last = np.floor((high - low.min(axis=0, initial=np.inf)) / cell).astype(np.int64)
    span = last.max(axis=0, initial=0) + 1
    keys, owners = [], []
    for step in np.ndindex(2, 2, 2):
        place = first + step
        reached = np.flatnonzero((place <= last).all(axis=1))
        x, y, z = place[reached].T
        keys.append((x * span[1] + y) * span[2] + z)
        owners.append(reached)
    key, owner = np.concatenate(keys), np.concatenate(owners)
    order = np.argsort(key, kind="stable")
    key, owner = key[order], owner[order]
    found = [np.zeros((0, 2), dtype=np.int64)]
    for apart in range(1, int(np.unique(key, return_counts=True)[1].max(initial=1))):
        together = np.flatnonzero(key[apart:] == key[:-apart])
        pair = np.column_stack([owner[together], owner[together + apart]])
        overlap = (low[pair[:, 0]] <= high[pair[:, 1]]) & (low[pair[:, 1]] <= high[pair[:, 0]])
        found.append(pair[overlap.all(axis=1)])
    one, other = np.concatenate(found).T
    key = np.unique(np.minimum(one, other) * len(corners) + np.maximum(one, other))
    return np.column_stack([key // max(len(corners), 1), key % max(len(corners), 1)])


def _pierces(sides: FloatArray, triangles: FloatArray) -> BoolArray:
    """(k,) bool: whether a side of one triangle goes through the other, by the signs of tetrahedra's volumes."""
    a, b, c = (triangles[:, i] for i in range(3))
    through = np.zeros(len(triangles), dtype=bool)
    for i in range(3):
        start, end = sides[:, i], sides[:, (i + 1) % 3]
        split = _volume(start, a, b, c) * _volume(end, a, b, c) < 0
        turns = np.stack([_volume(start, end, *side) for side in ((a, b), (b, c), (c, a))])
        through |= split & ((turns > 0).all(axis=0) | (turns < 0).all(axis=0))
    return through


def _volume(a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray) -> FloatArray:
    """(k,) float: six times the signed volume of each tetrahedron."""
    volume: FloatArray = np.einsum("ij,ij->i", np.cross(b - a, c - a), d - a)
    return volume
