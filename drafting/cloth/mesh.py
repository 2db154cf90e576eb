"""Cloth as triangles: in space, and flat as it was drafted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True)
class ClothMesh:
    """A sewn and welded garment.

    A vertex on a seam has a flat place in each of its panels, so the flat coordinates belong to face corners.

    Attributes
    ----------
    vertices : (n, 3) float
        Where the cloth is, mm, in the body's frame.
    faces : (m, 3) int
        Triangles; counter-clockwise seen from the right side of the cloth (outside).
    flat : (m, 3, 2) float
        The same corners in the frame of their panel, mm. A mirrored piece keeps its panel's coordinates.
    piece : (m,) int
        Index into `pieces`, for each face.
    pieces : tuple of str
        Names such as "back.left".
    roles : tuple of str
        The panel's role for each of `pieces`.
    edges : mapping of (piece, edge name) to (k,) int
        Vertices along each drafted edge, in the panel's counter-clockwise order.
    squares : (q, 2) int
        Pairs of faces that are one square of the solver's mesh. The diagonal between them is no edge of the cloth:
        it only halves the square.
    """

    vertices: FloatArray
    faces: IntArray
    flat: FloatArray
    piece: IntArray
    pieces: tuple[str, ...]
    roles: tuple[str, ...]
    edges: Mapping[tuple[str, str], IntArray]
    squares: IntArray = field(default_factory=lambda: np.zeros((0, 2), dtype=np.int64))


def joined(one: ClothMesh, other: ClothMesh) -> ClothMesh:
    """Two garments as one mesh, the second's vertices, faces and pieces counted on from the first's.

    Its edges are left away: both garments may call theirs alike.
    """
    vertices, faces, pieces = len(one.vertices), len(one.faces), len(one.pieces)
    return ClothMesh(
        vertices=np.concatenate([one.vertices, other.vertices]),
        faces=np.concatenate([one.faces, other.faces + vertices]),
        flat=np.concatenate([one.flat, other.flat]),
        piece=np.concatenate([one.piece, other.piece + pieces]),
        pieces=(*one.pieces, *other.pieces),
        roles=(*one.roles, *other.roles),
        edges={},
        squares=np.concatenate([one.squares, other.squares + faces]),
    )


def of_pieces(cloth: ClothMesh, names: Mapping[str, str]) -> ClothMesh:
    """The garment made of some of a mesh's pieces, which share no vertex with the others, under names of its own.

    Parameters
    ----------
    names : mapping of str to str
        The pieces' names, and what they are to be called.
    """
    own = np.isin(cloth.pieces, list(names))
    kept = own[cloth.piece]
    vertices = np.unique(cloth.faces[kept])
    renamed = np.full(len(cloth.vertices), -1)
    renamed[vertices] = np.arange(len(vertices))
    face, piece = np.cumsum(kept) - 1, np.cumsum(own) - 1
    return ClothMesh(
        vertices=cloth.vertices[vertices],
        faces=renamed[cloth.faces[kept]],
        flat=cloth.flat[kept],
        piece=piece[cloth.piece[kept]],
        pieces=tuple(names[name] for name in cloth.pieces if name in names),
        roles=tuple(role for role, mine in zip(cloth.roles, own, strict=True) if mine),
        edges={(names[name], edge): renamed[ring] for (name, edge), ring in cloth.edges.items() if name in names},
        squares=face[cloth.squares[kept[cloth.squares].all(axis=1)]],
    )
