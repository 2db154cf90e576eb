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

    It counts for no less than it was drafted, as the trunk does. Taken in the plane across the arm's centre line. Where
    that plane runs out of the sleeve, as below a lowered arm beside the armhole, it is taken square across the sleeve
    instead, as on the table.
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
    if _runs_out(at.flat[:, :, 0], float(flat[:, :, 0].max())):
        order = np.argsort(over)
        x = np.interp(station, over[order], fold.blend(flat)[:, :, 0].ravel()[order])
        section = cut_where(flat[:, :, 0] - x, cloth.vertices, faces)
        drafted = np.abs(np.diff(section.blend(flat)[:, :, 1], axis=1)).sum()
        return Girth(float(max(section.lengths.sum(), drafted)), _tape(section, normal), "sleeve")
    # As far as it goes round: a sleeve that hangs askew is cut aslant.
    down = np.diff(at.flat[:, :, 1], axis=1)[:, 0]
    drawn = down * np.linalg.norm(at.drawn[:, :, 1], axis=1)
    return Girth(float(max(abs(drawn.sum()), abs(down.sum()))), _tape(at.section, normal), "arm")


def _tape(section: Section, normal: FloatArray) -> float:
    return tape_round(_in_plane(section.points.reshape(-1, 3), normal))


def _runs_out(x: FloatArray, width: float) -> bool:
    """True if the cut runs out of the sleeve, or through a seam, at the armhole (flat x = 0) or at the wrist edge."""
    return bool(((x < AT_THE_END) | (x > width - AT_THE_END)).any())


def _in_plane(points: FloatArray, normal: FloatArray) -> FloatArray:
    """(n, 2) float: coordinates within the plane across a direction."""
    helper = np.eye(3)[np.abs(normal).argmin()]
    u = np.cross(normal, helper)
    u /= np.linalg.norm(u)
    return points @ np.stack([u, np.cross(normal, u)], axis=1)
