"""Girth of a sleeve round its arm."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..body.body import Body
from ..cloth.mesh import ClothMesh
from .arm import girth_station, place, stations
from .girth import Girth, of_roles, slice_cloth
from .section import Section, cut_where, tape_round

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# A section that ends this near to armhole or wrist edge, mm, has run out of the sleeve there.
AT_THE_END = 1e-3


def sleeve_girth(cloth: ClothMesh, body: Body, level: str, side: str) -> Girth | None:
    """Girth of one sleeve where the arm was measured; None where its fold does not lie over that place.

    Taken in the plane across the arm's centre line. Where that plane runs out of the sleeve, as below a lowered arm
    beside the armhole, it is taken square across the sleeve instead, as on the table.
    """
    station = girth_station(body, level, side)
    mine = of_roles(cloth, "sleeve") & np.char.endswith(np.array(cloth.pieces), f".{side}")[cloth.piece]
    if station is None or not mine.any():
        return None
    arm, flat, faces = body.arms[side], cloth.flat[mine], cloth.faces[mine]
    fold = cut_where(flat[:, :, 1], cloth.vertices, faces)
    over = stations(arm, fold.points.reshape(-1, 3))
    if not len(over) or not over.min() <= station <= over.max():
        return None
    origin, normal = place(arm, station)
    at = slice_cloth(cloth, mine, origin, normal)
    if _runs_out(at.section, at.flat[:, :, 0], float(flat[:, :, 0].max())):
        order = np.argsort(over)
        x = np.interp(station, over[order], fold.blend(flat)[:, :, 0].ravel()[order])
        section = cut_where(flat[:, :, 0] - x, cloth.vertices, faces)
        return _girth(section, normal, "sleeve")
    return _girth(at.section, normal, "arm")


def _girth(section: Section, normal: FloatArray, across: str) -> Girth:
    tape = tape_round(_in_plane(section.points.reshape(-1, 3), normal))
    return Girth(float(section.lengths.sum()), tape, across)


def _runs_out(section: Section, x: FloatArray, width: float) -> bool:
    """True if a run of cloth ends at the armhole (flat x = 0) or at the wrist edge."""
    _, where, count = np.unique(section.crossed, return_inverse=True, return_counts=True)
    loose = x.ravel()[count[where.reshape(-1)] == 1]
    return bool(((loose < AT_THE_END) | (loose > width - AT_THE_END)).any())


def _in_plane(points: FloatArray, normal: FloatArray) -> FloatArray:
    """(n, 2) float: coordinates within the plane across a direction."""
    helper = np.eye(3)[np.abs(normal).argmin()]
    u = np.cross(normal, helper)
    u /= np.linalg.norm(u)
    return points @ np.stack([u, np.cross(normal, u)], axis=1)
