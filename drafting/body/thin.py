"""Thinning a skin: short edges drawn together, many at once, where the surface stays as it is."""

from __future__ import annotations

import numpy as np

from .body import FloatArray, IntArray
from .graph import edges_of
from .mend import vertex_normals

ROUNDS = 60
BEND = np.cos(np.radians(22))
"""A triangle may turn by so much and no more when an edge beside it is drawn together."""
ROUND = np.cos(np.radians(28))
"""An edge is drawn together only where the skin turns less than this along it: fingers keep their shape."""
LONGEST = 0.0075
"""Longest edge that thinning makes, as a share of the height."""


def thinned(vertices: FloatArray, faces: IntArray, held: IntArray) -> tuple[FloatArray, IntArray, IntArray]:
    """Draw edges of a closed skin together while its triangles hardly turn.

    Parameters
    ----------
    held : (n,) bool
        A mark for each vertex that is carried along; the joined vertex is held only if both were.
    """
    longest = LONGEST * float(np.ptp(vertices[:, 2]))
    refused = np.zeros(0, np.int64)
    for _ in range(ROUNDS):
        count = len(vertices)
        tried, good = _choose(vertices, faces, longest, refused)
        refused = np.concatenate([refused, tried[~good] @ np.array([count, 1])])
        if len(tried) < 0.002 * count:
            break
        vertices, faces, held = _join(vertices, faces, held, tried[good])
    used = np.zeros(len(vertices), bool)
    used[faces] = True
    return vertices[used], (np.cumsum(used) - 1)[faces], held[used]


def _choose(vertices: FloatArray, faces: IntArray, longest: float, refused: IntArray) -> tuple[IntArray, IntArray]:
    """Short edges of which no two are neighbours, and which of them may be drawn together."""
    count = len(vertices)
    every = edges_of(faces, count)
    span = np.linalg.norm(vertices[every[:, 0]] - vertices[every[:, 1]], axis=1)
    normal = vertex_normals(vertices, faces)
    flat = (normal[every[:, 0]] * normal[every[:, 1]]).sum(axis=1) > ROUND
    open_ = flat & (span < 0.72 * longest) & ~np.isin(every @ np.array([count, 1]), refused)
    edges = every[open_]
    rank = np.zeros(len(edges), np.int64)
    rank[np.argsort(span[open_], kind="stable")] = np.arange(len(edges))
    # An edge is tried if it is the shortest of all that touch its own two vertices and their neighbours.
    low = np.full(count, len(edges))
    for end in (0, 1):
        np.minimum.at(low, edges[:, end], rank)
    spread = low.copy()
    np.minimum.at(spread, every[:, 0], low[every[:, 1]])
    np.minimum.at(spread, every[:, 1], low[every[:, 0]])
    tried = edges[(spread[edges[:, 0]] == rank) & (spread[edges[:, 1]] == rank)]
    return tried, _linked(every, tried, count) & _steady(vertices, faces, tried, longest)


def _linked(every: IntArray, chosen: IntArray, count: int) -> IntArray:
    """Whether both ends of an edge share two neighbours only, so that the skin stays one."""
    key = every[:, 0] * count + every[:, 1]
    here = np.concatenate([every[:, 0], every[:, 1]])
    there = np.concatenate([every[:, 1], every[:, 0]])
    order = np.argsort(here, kind="stable")
    there = there[order]
    begin = np.searchsorted(here[order], np.arange(count + 1))
    many = (begin[1:] - begin[:-1])[chosen[:, 0]]
    owner = np.repeat(np.arange(len(chosen)), many)
    index = np.repeat(begin[chosen[:, 0]] - np.cumsum(many) + many, many) + np.arange(many.sum())
    around, other = there[index], chosen[owner, 1]
    asked = np.minimum(around, other) * count + np.maximum(around, other)
    at = np.minimum(np.searchsorted(key, asked), len(key) - 1)
    return np.bincount(owner, key[at] == asked, len(chosen)) == 2


def _steady(vertices: FloatArray, faces: IntArray, chosen: IntArray, longest: float) -> IntArray:
    """Whether no triangle about an edge turns over, turns far or grows long when the edge is drawn together."""
    owner = np.full(len(vertices), -1)
    owner[chosen[:, 0]] = owner[chosen[:, 1]] = np.arange(len(chosen))
    moved = vertices.copy()
    moved[chosen[:, 0]] = moved[chosen[:, 1]] = vertices[chosen].mean(axis=1)
    touched = owner[faces]
    edge = touched.max(axis=1)
    stays = (edge >= 0) & ((touched >= 0).sum(axis=1) == 1)
    edge, rim = edge[stays], faces[stays]
    before, after = _normals(vertices[rim]), _normals(moved[rim])
    size = np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    turned = (before * after).sum(axis=1) < BEND * size
    sides = moved[rim] - np.roll(moved[rim], -1, axis=1)
    bad = turned | (np.linalg.norm(sides, axis=2).max(axis=1) > longest)
    return np.bincount(edge[bad], minlength=len(chosen)) == 0


def _normals(corner: FloatArray) -> FloatArray:
    return np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])


def _join(
    vertices: FloatArray, faces: IntArray, held: IntArray, picked: IntArray
) -> tuple[FloatArray, IntArray, IntArray]:
    vertices, held = vertices.copy(), held.copy()
    vertices[picked[:, 0]] = vertices[picked].mean(axis=1)
    held[picked[:, 0]] = held[picked].all(axis=1)
    into = np.arange(len(vertices))
    into[picked[:, 1]] = picked[:, 0]
    faces = into[faces]
    real = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    return vertices, faces[real], held
