"""Thinning a skin: short edges drawn together, many at once, where the surface stays as it is."""

from __future__ import annotations

import numpy as np

from .body import FloatArray, IntArray
from .graph import edges_of, lengths_of
from .mend import vertex_normals

ROUNDS = 60
PASSES = 3
"""Times that a round looks for edges to draw together, each time apart from those that it has."""
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
    refused, normals = np.zeros((0, 2), np.int64), vertex_normals(vertices, faces)
    for _ in range(ROUNDS):
        tried, good = _choose(vertices, normals, faces, longest, refused)
        if len(tried) < 0.002 * len(vertices):
            break
        refused = np.concatenate([refused, tried[~good]])
        vertices, normals, faces, held, refused = _join(vertices, normals, faces, held, tried[good], refused)
    return vertices, faces, held


def _choose(
    vertices: FloatArray, normals: FloatArray, faces: IntArray, longest: float, refused: IntArray
) -> tuple[IntArray, IntArray]:
    """Short edges of which no two are neighbours, and which of them may be drawn together."""
    count = len(vertices)
    every = edges_of(faces, count, closed=True)
    span = lengths_of(vertices, every)
    short = np.flatnonzero(span < 0.72 * longest)
    edges, span = every.take(short, axis=0), span.take(short)
    a, b = (normals.take(end, axis=0) for end in edges.T)
    open_ = _dot(a, b) > ROUND
    if len(refused):
        known, mine = np.sort(refused @ [count, 1]), edges @ [count, 1]
        open_ &= known.take(np.searchsorted(known, mine), mode="clip") != mine
    # Whole numbers of two bytes are sorted in one pass.
    order = np.argsort((span * (65535 / longest)).astype(np.uint16)[open_], kind="stable")
    tried = _apart(edges[open_].take(order, axis=0), every, count)
    return tried, _linked(faces, tried, count) & _steady(vertices, faces, tried, longest)


def _apart(edges: IntArray, every: IntArray, count: int) -> IntArray:
    """Of edges, the shortest first: such that no two share a vertex or are joined by an edge."""
    chosen = []
    here, there = (np.ascontiguousarray(end) for end in every.T)
    for _ in range(PASSES):
        # An edge is chosen if it is the first of all that touch its own two vertices and their neighbours.
        low, rank = np.full(count, len(edges)), np.arange(len(edges))
        low[edges[::-1].ravel()] = np.repeat(rank[::-1], 2)
        spread = low.copy()
        np.minimum.at(spread, here, low.take(there))
        np.minimum.at(spread, there, low.take(here))
        one, two = edges.T
        first = (spread.take(one) == rank) & (spread.take(two) == rank)
        chosen.append(edges[first])
        near = np.zeros(count, bool)
        near[edges[first]] = True
        taken = near.copy()
        near[here[taken.take(there)]] = near[there[taken.take(here)]] = True
        edges = edges[~(near.take(one) | near.take(two))]
    return np.concatenate(chosen)


def _linked(faces: IntArray, chosen: IntArray, count: int) -> IntArray:
    """Whether both ends of an edge share two neighbours only, so that the skin stays one."""
    owner = np.full(count, -1)
    owner[chosen] = np.arange(len(chosen))[:, None]
    one, two = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    mine = np.flatnonzero(owner.take(one) >= 0)
    seen = np.sort(owner.take(one.take(mine)) * count + two.take(mine))
    return np.bincount(seen[1:][seen[1:] == seen[:-1]] // count, minlength=len(chosen)) == 2


def _steady(vertices: FloatArray, faces: IntArray, chosen: IntArray, longest: float) -> IntArray:
    """Whether no triangle about an edge turns over, turns far or grows long when the edge is drawn together."""
    owner = np.full(len(vertices), -1)
    owner[chosen] = np.arange(len(chosen))[:, None]
    moved = vertices.copy()
    one, two = chosen.T
    moved[one] = moved[two] = (vertices[one] + vertices[two]) / 2
    a, b, c = (owner.take(corner) for corner in faces.T)
    stays = np.flatnonzero(((a < 0) | (b < 0)) & ((b < 0) | (c < 0)) & ((c < 0) | (a < 0)) & (a + b + c > -3))
    edge = (a + b + c + 2).take(stays)
    rim = faces.take(stays, axis=0).T
    before, after = ([points.take(corner, axis=0) for corner in rim] for points in (vertices, moved))
    old, new = _normal(before), _normal(after)
    bad = _dot(old, new) < BEND * np.sqrt(_dot(old, old) * _dot(new, new))
    for here, there in zip(after, after[1:] + after[:1], strict=True):
        bad |= _dot(here - there, here - there) > longest**2
    return np.bincount(edge[bad], minlength=len(chosen)) == 0


def _normal(corner: list[FloatArray]) -> FloatArray:
    a, b, c = corner
    return np.cross(b - a, c - a)


def _dot(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.einsum("ij,ij->i", a, b)


def _join(
    vertices: FloatArray, normals: FloatArray, faces: IntArray, held: IntArray, picked: IntArray, refused: IntArray
) -> tuple[FloatArray, FloatArray, IntArray, IntArray, IntArray]:
    """Each picked edge drawn together into its middle; vertices, and the edges refused, under their new numbers."""
    one, two = picked.T
    vertices, normals, held = vertices.copy(), normals.copy(), held.copy()
    vertices[one] = (vertices[one] + vertices[two]) / 2
    mean = normals[one] + normals[two]
    normals[one] = mean / np.linalg.norm(mean, axis=1)[:, None]
    held[one] &= held[two]
    stays = np.ones(len(vertices), bool)
    stays[two] = False
    into = np.cumsum(stays) - 1
    into[two] = into[one]
    faces = into.take(faces)
    a, b, c = faces.T
    real = np.flatnonzero((a != b) & (b != c) & (c != a))
    refused = np.sort(into.take(refused), axis=1)
    return vertices[stays], normals[stays], faces.take(real, axis=0), held[stays], refused
