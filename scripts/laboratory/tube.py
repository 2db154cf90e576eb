"""A sewn tube of known girth round a cylinder: what the fit reads back must be what was cut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray

from addon.mesher import resample, triangulate
from drafting.body.body import Skin
from drafting.cloth.mesh import ClothMesh
from drafting.fit.gap import Gap, read_gap
from drafting.fit.girth import trunk_girth

from .settle import Specimen, settings_for, settle

FloatArray = NDArray[np.float64]

STILL_MM = 0.02  # at rest once the upper edge's mean radius changes less than this in ten frames


@dataclass(frozen=True)
class Worn:
    """A tube that has come to rest round its cylinder.

    Attributes
    ----------
    cut_mm : float
        Girth as it was cut.
    body_mm : float
        Girth of the cylinder.
    girths_mm : tuple of float
        Read along the cloth at three levels, as the fit reads a trunk.
    """

    cut_mm: float
    body_mm: float
    girths_mm: tuple[float, ...]
    gap: Gap


def wear(
    radius_mm: float, gap_mm: float, *, bending_mm: float, edge_mm: float, height_mm: float = 26.0, weight: float = 1.0
) -> Worn:
    """Sews a tube that stands off the cylinder by a gap, stands it on the cylinder's foot and lets it rest.

    It is cut as a panel, with one seam, and welded afterwards as the drape welds. Less than two bending lengths high,
    it does not sink down.
    """
    round_mm = 2.0 * np.pi * (radius_mm + gap_mm)
    wide, high = round(round_mm / edge_mm), round(height_mm / edge_mm)
    corner = np.array([[0.0, 0.0], [round_mm, 0.0], [round_mm, height_mm], [0.0, height_mm]])
    sides = [resample(corner[[i, (i + 1) % 4]], count)[:-1] for i, count in enumerate((wide, high, wide, high))]
    sheet = triangulate(np.concatenate(sides), edge_mm)
    x, z = sheet.points.T
    turn = x / (radius_mm + gap_mm)
    rolled = np.column_stack([np.sin(turn), -np.cos(turn)]) * (radius_mm + gap_mm)
    right = wide + np.arange(high + 1)  # upwards
    left = (2 * wide + 2 * high - np.arange(high + 1)) % (2 * wide + 2 * high)
    body = trimesh.creation.cylinder(radius_mm, 3.0 * height_mm, sections=180)
    foot = trimesh.creation.cylinder(2.0 * radius_mm, 10.0, sections=24)
    foot.apply_translation([0.0, 0.0, -6.0])
    stand = trimesh.util.concatenate([body, foot])
    specimen = Specimen(
        flat=np.column_stack([x, np.zeros(len(x)), z]),
        start=np.column_stack([rolled, z]),
        faces=sheet.faces,
        squares=sheet.squares,
        held=np.zeros(0, dtype=np.int64),
        stitches=np.column_stack([left, right]),
        body=(np.asarray(stand.vertices), np.asarray(stand.faces)),
    )
    upper = z > height_mm - 0.1 * edge_mm
    settled = settle(
        specimen,
        settings_for(bending_mm, edge_mm),
        lambda places: float(np.linalg.norm(places[upper, :2], axis=1).mean()),
        STILL_MM,
        weight,
    )
    places, joined = settled.places.copy(), np.arange(len(x))
    places[left] = 0.5 * (places[left] + places[right])
    joined[right] = left
    faces = joined[sheet.faces]
    none = np.zeros(len(faces), dtype=np.int64)
    cloth = ClothMesh(places, faces, sheet.points[sheet.faces], none, ("tube",), ("trunk",), {})
    levels = (trunk_girth(cloth, share * height_mm) for share in (0.2, 0.5, 0.8))
    skin = Skin(np.asarray(body.vertices), np.asarray(body.faces), ())
    girths = tuple(girth.cloth_mm for girth in levels if girth)
    return Worn(round_mm, 2.0 * np.pi * radius_mm, girths, read_gap(cloth, skin, 0.0))
