"""The nearest point of a skin to each of many points: exact, by a tree of boxes, in whole arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..cores import spread

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

LEAF_LEVEL = 2
LEAF = 1 << LEAF_LEVEL  # triangles in a leaf: fewer tests of triangles against more tests of boxes
CHUNK = 1024  # points at a time, neighbours together: the working arrays stay in the processor's cache


@dataclass(frozen=True)
class _Tree:
    """A complete binary tree of boxes over triangles sorted along a space-filling curve.

    Attributes
    ----------
    corners : (m, 3, 3) float
        The triangles, sorted; leaf j holds LEAF of them from j * LEAF on.
    face : (m,) int
        Their numbers in the mesh.
    low, high : (m, 3) float
        Their boxes.
    lows, highs : tuple of (2**i, 3) float
        The boxes of each level of the tree, the root first.
    marks : tuple of (2**i, 3) float
        A point of the skin within each box: no point is farther from the skin than from a mark.
    """

    corners: FloatArray
    face: IntArray
    low: FloatArray
    high: FloatArray
    lows: tuple[FloatArray, ...]
    highs: tuple[FloatArray, ...]
    marks: tuple[FloatArray, ...]


def nearest(
    points: FloatArray, skin_vertices: FloatArray, skin_faces: IntArray
) -> tuple[FloatArray, FloatArray, IntArray]:
    """Nearest point of a triangle mesh to each point.

    Parameters
    ----------
    points : (n, 3) float
    skin_vertices : (v, 3) float
    skin_faces : (m, 3) int
        At least one triangle.

    Returns
    -------
    distance : (n,) float
    closest : (n, 3) float
    face : (n,) int
        A triangle that holds the closest point.
    """
    points = np.asarray(points, dtype=float).reshape(-1, 3)
    tree = _grow(np.asarray(skin_vertices, dtype=float)[skin_faces])
    square, closest = np.zeros(len(points)), np.zeros((len(points), 3))
    face = np.zeros(len(points), dtype=np.int64)
    order = np.argsort(_curve(points)) if len(points) else np.zeros(0, dtype=np.int64)
    blocks = [order[start : start + CHUNK] for start in range(0, len(points), CHUNK)]
    for rows, found in zip(blocks, spread(lambda rows: _search(points[rows], tree), blocks), strict=True):
        square[rows], closest[rows], face[rows] = found
    return np.sqrt(square), closest, face


def _grow(corners: FloatArray) -> _Tree:
    """Sort the triangles so that neighbours in the list are neighbours in space, then box them two by two."""
    face = np.argsort(_curve(corners.sum(axis=1)))
    depth = max(0, int(np.ceil(np.log2(len(corners) / LEAF))))
    corners = corners[face]
    low = np.minimum(np.minimum(corners[:, 0], corners[:, 1]), corners[:, 2])
    high = np.maximum(np.maximum(corners[:, 0], corners[:, 1]), corners[:, 2])
    unfilled = ((0, (LEAF << depth) - len(face)), (0, 0))  # places without a triangle: boxes that are nowhere
    low, high = np.pad(low, unfilled, constant_values=np.inf), np.pad(high, unfilled, constant_values=-np.inf)
    marks = np.pad(corners[:, 0], unfilled, constant_values=np.inf)
    lows, highs = [low], [high]
    while len(lows[-1]) > 1:
        lows.append(np.minimum(lows[-1][::2], lows[-1][1::2]))
        highs.append(np.maximum(highs[-1][::2], highs[-1][1::2]))
    levels = range(len(lows) - 1, LEAF_LEVEL - 1, -1)
    return _Tree(
        corners,
        face,
        low,
        high,
        tuple(lows[i] for i in levels),
        tuple(highs[i] for i in levels),
        tuple(marks[1 << i >> 1 :: 1 << i] for i in levels),
    )


def _curve(points: FloatArray) -> IntArray:
    """Place of each point on Morton's curve: the bits of its three coordinates in turn (Morton, IBM, 1966)."""
    span = max(float(np.ptp(points, axis=0).max()), np.finfo(float).tiny)
    cell = ((points - points.min(axis=0)) / span * 1023).astype(np.int64)
    for shift, mask in ((16, 0x30000FF), (8, 0x300F00F), (4, 0x30C30C3), (2, 0x9249249)):
        cell = (cell | (cell << shift)) & mask
    return cell[:, 0] | (cell[:, 1] << 1) | (cell[:, 2] << 2)


def _to_box(points: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
    """Squared distance of points to boxes, row by row; 0 inside."""
    outside = np.maximum(np.maximum(low - points, points - high), 0.0)
    return _dot(outside, outside)


def _search(points: FloatArray, tree: _Tree) -> tuple[FloatArray, FloatArray, IntArray]:
    """Walk down the tree with all points at once, keeping the boxes that may hold something nearer than known."""
    who, node = np.arange(len(points)), np.zeros(len(points), dtype=np.int64)
    limit = np.full(len(points), np.finfo(float).max)  # finite: a box that is nowhere is never near
    for low, high, mark in zip(tree.lows[1:], tree.highs[1:], tree.marks[1:], strict=True):
        who, node = np.concatenate([who, who]), np.concatenate([2 * node, 2 * node + 1])
        here = points[who]
        away = here - mark[node]
        np.minimum.at(limit, who, _dot(away, away))
        near = _to_box(here, low[node], high[node]) <= limit[who]
        who, node = who[near], node[near]

    row, item = np.repeat(who, LEAF), (node[:, None] * LEAF + np.arange(LEAF)).ravel()
    near = _to_box(points[row], tree.low[item], tree.high[item]) <= limit[row]
    row, item = row[near], item[near]
    spot = closest_on_triangles(points[row], tree.corners[item])
    away = points[row] - spot
    square = _dot(away, away)

    best = np.full(len(points), np.inf)
    np.minimum.at(best, row, square)
    won = np.flatnonzero(square == best[row])
    closest, face = np.zeros((len(points), 3)), np.zeros(len(points), dtype=np.int64)
    closest[row[won]], face[row[won]] = spot[won], tree.face[item[won]]
    return best, closest, face


def closest_on_triangles(points: FloatArray, corners: FloatArray) -> FloatArray:
    """Closest point of each triangle to the point in the same row.

    The plane is divided into the regions of three corners, three sides and the inside (Ericson, Real-Time
    Collision Detection, 2005, section 5.1.5).

    Parameters
    ----------
    points : (k, 3) float
    corners : (k, 3, 3) float

    Returns
    -------
    (k, 3) float
    """
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    ab, ac = b - a, c - a
    ap, bp, cp = points - a, points - b, points - c
    d1, d2 = _dot(ab, ap), _dot(ac, ap)
    d3, d4 = _dot(ab, bp), _dot(ac, bp)
    d5, d6 = _dot(ab, cp), _dot(ac, cp)
    va, vb, vc = d3 * d6 - d5 * d4, d5 * d2 - d1 * d6, d1 * d4 - d3 * d2
    zero, one = np.zeros(len(points)), np.ones(len(points))
    with np.errstate(divide="ignore", invalid="ignore"):
        on_ab, on_ac = d1 / (d1 - d3), d2 / (d2 - d6)
        on_bc = (d4 - d3) / ((d4 - d3) + (d5 - d6))
        inside_v, inside_w = vb / (va + vb + vc), vc / (va + vb + vc)
    regions = [
        (d1 <= 0) & (d2 <= 0),
        (d3 >= 0) & (d4 <= d3),
        (d6 >= 0) & (d5 <= d6),
        (vc <= 0) & (d1 >= 0) & (d3 <= 0),
        (vb <= 0) & (d2 >= 0) & (d6 <= 0),
        (va <= 0) & (d4 - d3 >= 0) & (d5 - d6 >= 0),
    ]
    v = np.select(regions, [zero, one, zero, on_ab, zero, 1 - on_bc], inside_v)
    w = np.select(regions, [zero, zero, one, zero, on_ac, on_bc], inside_w)
    v, w = np.nan_to_num(v), np.nan_to_num(w)  # a triangle without area is met at its first corner
    return a + v[:, None] * ab + w[:, None] * ac


def _dot(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.einsum("ij,ij->i", a, b)
