"""How far the cloth is drawn out or pushed together against its draft."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..cloth.mesh import ClothMesh
from ..errors import ClothError
from ..pattern.pattern import Pattern

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

# Half-way between the threads and the bias at 45 degrees.
THREAD_DEGREES = 22.5


@dataclass(frozen=True)
class Strain:
    """Share by which cloth edges differ from their drafted length: |length / drafted length - 1|.

    Attributes
    ----------
    longest : float
        Largest stretch, signed: 0.02 is 2 percent longer than drafted.
    shortest : float
        Largest compression, signed: -0.02 is 2 percent shorter.
    p95 : float
    drawn : float
        Longer than drafted by so much, all but the worst hundredth: what a tight garment does. Cloth that is crumpled
        in folds finer than its mesh is shorter.
    """

    count: int
    p99: float
    max: float
    longest: float
    shortest: float
    p95: float = 0.0
    drawn: float = 0.0


@dataclass(frozen=True)
class Stretch:
    """Strain of the cloth's edges, and of those along the threads (warp and weft) and on the bias.

    Woven cloth hardly stretches along its threads; on the bias it shears, which changes the length of a bias line
    without stretching a thread. The fit is judged by the edges.

    Attributes
    ----------
    edges : Strain
        All edges of the cloth's mesh: the sides of its squares, and the sides of its triangles in any direction.
    every : Strain
        The diagonals of the squares as well: no edges, but lines on the bias whose change of length is shear.
    warp, weft, bias : Strain
        All of `every`, told apart by their angle to the grain.
    """

    edges: Strain
    every: Strain
    warp: Strain
    weft: Strain
    bias: Strain


def read_stretch(cloth: ClothMesh, pattern: Pattern) -> Stretch:
    """Strain of each edge of the mesh in each of its panels; none is left out.

    Raises
    ------
    ClothError
        If an edge was drafted without a length.
    """
    change, run, diagonal = edge_strains(cloth)
    grain = {piece.name: _unit(piece.panel.grain[1] - piece.panel.grain[0]) for piece in pattern.pieces()}
    angle = _to_grain(cloth, run, grain)
    warp, weft = angle <= THREAD_DEGREES, angle >= 90 - THREAD_DEGREES
    parts = (change[~diagonal], change, change[warp], change[weft], change[~(warp | weft)])
    return Stretch(*(_strain(part) for part in parts))


def edge_strains(cloth: ClothMesh) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Signed strain of each edge once for each panel that holds it.

    Returns
    -------
    change : (k,) float
        Length / drafted length - 1.
    run : (k, 3) float
        Flat direction (x, y) of the edge, not normalised, and the number of its piece.
    diagonal : (k,) bool
        Whether it only halves a square.
    """
    start, end = cloth.faces, np.roll(cloth.faces, -1, axis=1)
    flat = np.roll(cloth.flat, -1, axis=1) - cloth.flat
    drafted = np.linalg.norm(flat, axis=2).ravel()
    if (drafted <= 0).any() or not np.isfinite(drafted).all():
        raise ClothError("The cloth has an edge that was drafted without a length: make its mesh anew.")
    length = np.linalg.norm(cloth.vertices[end] - cloth.vertices[start], axis=2).ravel()
    piece = np.repeat(cloth.piece, 3)
    # An edge inside a piece is met twice, from both of its triangles. A seam of a piece with itself keeps both its
    # sides, because they lie at two flat places.
    middle = (np.roll(cloth.flat, -1, axis=1) + cloth.flat).reshape(-1, 2)
    low, high = np.minimum(start, end).ravel(), np.maximum(start, end).ravel()
    key = np.column_stack([piece, low, high, np.round(middle * 1e4)]).astype(np.int64)
    _, once = np.unique(key, axis=0, return_index=True)
    run = np.column_stack([flat.reshape(-1, 2), piece])
    return (length / drafted - 1)[once], run[once], diagonals(cloth).ravel()[once]


def diagonals(cloth: ClothMesh) -> BoolArray:
    """(m, 3) bool: which side of each triangle is the diagonal of its square."""
    found = np.zeros(cloth.faces.shape, dtype=bool)
    for own, other in (cloth.squares.T, cloth.squares[:, ::-1].T):
        shared = (cloth.faces[own][:, :, None] == cloth.faces[other][:, None, :]).any(axis=2)
        found[own] = shared & np.roll(shared, -1, axis=1)
    return found


def _to_grain(cloth: ClothMesh, run: FloatArray, grain: Mapping[str, FloatArray]) -> FloatArray:
    """Angle between each edge and the grain of its piece, 0 to 90 degrees."""
    warp = np.array([grain[name] for name in cloth.pieces])[run[:, 2].astype(np.int64)]
    along = np.abs(np.einsum("ij,ij->i", run[:, :2], warp)) / np.linalg.norm(run[:, :2], axis=1)
    return np.degrees(np.arccos(np.clip(along, 0.0, 1.0)))


def _strain(change: FloatArray) -> Strain:
    if not len(change):
        return Strain(0, 0.0, 0.0, 0.0, 0.0)
    size = np.abs(change)
    return Strain(
        count=len(change),
        p99=float(np.percentile(size, 99)),
        max=float(size.max()),
        longest=float(max(0.0, change.max())),
        shortest=float(min(0.0, change.min())),
        p95=float(np.percentile(size, 95)),
        drawn=max(0.0, float(np.percentile(change, 99))),
    )


def _unit(vector: FloatArray) -> FloatArray:
    return np.asarray(vector, dtype=float) / np.linalg.norm(vector)
