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
