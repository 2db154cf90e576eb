"""The same cloth with every edge halved, for a garment that was dressed in coarse cloth.

The finer cloth starts exactly where the coarser lies, so that no layer begins inside another.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from drafting.pattern.pattern import Pattern

from .mesher import resample
from .sewing import Assembly, draped_edges, sewn_pairs

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Edges = Mapping[tuple[str, str], IntArray]


def finer(pattern: Pattern, assembly: Assembly) -> tuple[Assembly, IntArray]:
    """Halves all edges; squares become four squares, triangles four triangles.

    Returns
    -------
    Assembly
        The finer cloth. Its new points on an outline lie on the drafted curve, not on the chord.
    (n, 2) int
        For each of its vertices the two of the coarser cloth that it lies midway between; an old one twice itself.
    """
    faces = _diagonal_last(assembly)
    sides = np.sort(np.stack([faces, np.roll(faces, -1, axis=1)], axis=2), axis=2)
    ends, middle = np.unique(sides.reshape(-1, 2), axis=0, return_inverse=True)
    count = len(assembly.flat)
    middle = count + middle.reshape(-1, 3)
    parents = np.concatenate([np.repeat(np.arange(count)[:, None], 2, axis=1), ends])
    between = {(int(a), int(b)): count + i for i, (a, b) in enumerate(ends)}
    edges = {key: _halved(ring, between) for key, ring in assembly.edges.items()}
    flat = assembly.flat[parents].mean(axis=1)
    flat += _bulge(assembly, edges, len(flat))
    sewn, seam, names, mismatch = sewn_pairs(pattern, edges)
    halved = replace(
        assembly,
        flat=flat,
        laid=assembly.laid[parents].mean(axis=1),
        faces=_four(faces, middle),
        squares=_four_squares(assembly.squares),
        piece=assembly.piece[parents[:, 0]],
        sewn=sewn,
        seam=seam,
        seams=names,
        mismatch_mm=mismatch,
        edges=edges,
    )
    return halved, parents


def _diagonal_last(assembly: Assembly) -> IntArray:
    """(m, 3) int: the triangles, those of squares turned so that the side from the last corner to the first is the
    diagonal.
    """
    faces = assembly.faces.copy()
    for own, other in (assembly.squares.T, assembly.squares[:, ::-1].T):
        apart = ~(assembly.faces[own][:, :, None] == assembly.faces[other][:, None, :]).any(axis=2)
        at = apart.argmax(axis=1)
        rows = np.arange(len(own))
        faces[own] = np.column_stack([assembly.faces[own][rows, (at + turn) % 3] for turn in (2, 0, 1)])
    return faces


def _four(faces: IntArray, middle: IntArray) -> IntArray:
    """(4 m, 3) int: one triangle at each corner in turn, then the one between."""
    p, q, r = faces.T
    pq, qr, rp = middle.T
    return np.stack([[p, pq, rp], [pq, q, qr], [rp, qr, r], [pq, qr, rp]]).transpose(2, 0, 1).reshape(-1, 3)


def _four_squares(squares: IntArray) -> IntArray:
    """(4 q, 2) int: pairs of `_four` of two triangles whose diagonal runs from the last corner to the first."""
    a, b = 4 * squares.T
    return np.concatenate([np.column_stack(pair) for pair in ((a, b + 2), (a + 2, b), (a + 1, a + 3), (b + 1, b + 3))])


def _halved(ring: IntArray, between: Mapping[tuple[int, int], int]) -> IntArray:
    """(2 j - 1,) int: the vertices along an edge with those between them."""
    whole = np.empty(2 * len(ring) - 1, dtype=np.int64)
    whole[::2] = ring
    whole[1::2] = [between[min(a, b), max(a, b)] for a, b in zip(ring[:-1].tolist(), ring[1:].tolist(), strict=True)]
    return whole


def _bulge(assembly: Assembly, edges: Edges, count: int) -> FloatArray:
    """(count, 2) float: how far the drafted curves lie off the middles of their chords."""
    bulge = np.zeros((count, 2))
    for piece in assembly.pieces:
        for edge in draped_edges(piece.panel):
            ring = edges[piece.name, edge.name]
            curve = resample(edge.points, len(ring) - 1)
            bulge[ring[1::2]] = curve[1::2] - 0.5 * (curve[:-1:2] + curve[2::2])
    return bulge
