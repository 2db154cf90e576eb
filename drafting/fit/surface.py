"""What can be shown on the cloth, a value a vertex: the gap to the skin, and how far it is stretched."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..body.body import Skin
from ..cloth.mesh import ClothMesh
from .gap import contact_mm, signed_gap
from .stretch import diagonals

FloatArray = NDArray[np.float64]

NO_LENGTH = 1e-12  # mm; an edge drafted shorter than this has no strain

# What each picture on the cloth is called, and the plain words under it: in the window, the report and the files.
SEEN = {
    "room": "how far the cloth stands off the skin",
    "pull": "how much longer the cloth is than drafted",
    "touch": "where the cloth lies on the skin",
}


def picture_title(name: str) -> str:
    """A picture's name and what it shows."""
    return f"{name.capitalize()}: {SEEN[name]}"


@dataclass(frozen=True)
class Surface:
    """Values on the draped cloth.

    Attributes
    ----------
    gap_mm : (n,) float
        Distance from the skin; below it is negative.
    stretch : (n,) float
        The largest share by which an edge of the cloth that meets here is longer than drafted; 0 where none is.
    contact_mm : float
        Cloth nearer than this touches the skin.
    """

    gap_mm: FloatArray
    stretch: FloatArray
    contact_mm: float


def read_surface(cloth: ClothMesh, skin: Skin, thickness_mm: float) -> Surface:
    """Gap and stretch at every vertex of a draped garment."""
    gap = signed_gap(cloth.vertices, skin.vertices, skin.faces)
    return Surface(gap, edge_stretch(cloth), contact_mm(skin, thickness_mm))


def edge_stretch(cloth: ClothMesh) -> FloatArray:
    """(n,) float: the largest stretch of the cloth's edges at each vertex; diagonals of squares are none."""
    start, end = cloth.faces, np.roll(cloth.faces, -1, axis=1)
    drafted = np.linalg.norm(np.roll(cloth.flat, -1, axis=1) - cloth.flat, axis=2)
    longer = np.linalg.norm(cloth.vertices[end] - cloth.vertices[start], axis=2) / np.maximum(drafted, NO_LENGTH) - 1.0
    felt = ~diagonals(cloth) & (drafted > NO_LENGTH)
    most = np.zeros(len(cloth.vertices))
    for corner in (start, end):
        np.maximum.at(most, corner[felt], longer[felt])
    return most
