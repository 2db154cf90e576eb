"""The drapemeter: a round of cloth over a smaller disc, and the share of its ring that casts a shadow.

Geometry of BS 5058 and ISO 9073-9: a specimen 300 mm across, sandwiched between discs of 180 mm; the drape coefficient
is the shadow less the disc over the specimen less the disc, 0 for cloth that hangs straight down and 100 for card.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from addon.mesher import Sheet, triangulate
from drafting.cloth.mesh import ClothMesh

from .settle import RESTED, Specimen, settings_for, settle

FloatArray = NDArray[np.float64]

SPECIMEN_MM, DISC_MM = 150.0, 90.0  # radii
LOWERED = RESTED  # let down slowly: dropped, rounds of two sizes fall into different numbers of folds
STILL = 0.02  # mm; at rest once the rim's mean height changes less than this in ten frames, on the standard's size


@dataclass(frozen=True)
class Draping:
    """A round that has come to rest.

    Attributes
    ----------
    coefficient : float
        Percent.
    nodes : int
        Folds, counted along the rim.
    """

    coefficient: float
    nodes: int
    places: FloatArray
    sheet: Sheet

    @property
    def cloth(self) -> ClothMesh:
        """As a garment's mesh, for a picture."""
        faces = self.sheet.faces
        piece = np.zeros(len(faces), dtype=np.int64)
        return ClothMesh(self.places, faces, self.sheet.points[faces], piece, ("round",), ("trunk",), {})


def drape_round(bending_mm: float, *, size: float = 1.0, across: int = 30) -> Draping:
    """Drapes a round of cloth.

    Parameters
    ----------
    size : float
        Of the whole drapemeter, 1 for the standard's.
    across : int
        Edges across the specimen.
    """
    edge = 2.0 * SPECIMEN_MM * size / across
    count = round(np.pi * across)
    turn = 2.0 * np.pi * np.arange(count) / count
    # A vertex stands for the cloth half an edge round it: the rim lies so far outside the last ring of vertices.
    rim = SPECIMEN_MM * size - 0.5 * edge
    sheet = triangulate(rim * np.column_stack([np.cos(turn), np.sin(turn)]), edge)
    flat = np.column_stack([sheet.points, np.zeros(len(sheet.points))])
    held = np.flatnonzero(np.linalg.norm(sheet.points, axis=1) < DISC_MM * size)
    none = np.zeros((0, 2), dtype=np.int64)
    specimen = Specimen(flat, flat, sheet.faces, sheet.squares, held, none)
    settings = settings_for(bending_mm, edge)
    settled = settle(specimen, settings, lambda places: float(places[:count, 2].mean()), STILL * size, lowered=LOWERED)
    inner = np.array([_inward(sheet, k, edge) for k in range(count)])
    coefficient = _coefficient(settled.places, sheet, inner, edge, size)
    return Draping(coefficient, _nodes(settled.places[:count, 2]), settled.places, sheet)


def _coefficient(places: FloatArray, sheet: Sheet, inner: NDArray[np.int64], edge: float, size: float) -> float:
    """Shadow outside the disc over the ring, percent; the outer vertices are moved out to the rim they stand for."""
    count = len(inner)
    outward = places[:count] - places[inner]
    seen = places.copy()
    seen[:count] += 0.5 * edge * outward / np.linalg.norm(outward, axis=1)[:, None]
    disc = shapely.Point(0.0, 0.0).buffer(DISC_MM * size, quad_segs=64)
    shadow = shapely.union_all([*shapely.polygons(seen[sheet.faces][:, :, :2]), disc])
    return float(100.0 * (shadow.area - disc.area) / (np.pi * size**2 * (SPECIMEN_MM**2 - DISC_MM**2)))


def _inward(sheet: Sheet, rim: int, edge: float) -> int:
    """The vertex about an edge nearer to the middle than one of the rim."""
    at = sheet.points[rim]
    wanted = at * (1.0 - edge / np.linalg.norm(at))
    return int(np.linalg.norm(sheet.points - wanted, axis=1).argmin())


def _nodes(height: FloatArray) -> int:
    """Folds along the rim: the strongest wave in its height."""
    return int(np.abs(np.fft.rfft(height - height.mean()))[1 : len(height) // 4].argmax()) + 1
