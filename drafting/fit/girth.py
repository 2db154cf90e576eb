"""Girth of the garment round the trunk, and the edges of its fronts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..body.body import SIDES
from ..cloth.mesh import ClothMesh
from .section import Section, cut, tape_round

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Girth:
    """One way round a garment, mm.

    Attributes
    ----------
    cloth_mm : float
        Length along the cloth, folds and all, from centre front to centre front.
    tape_mm : float
        A taut tape round the outside of all of it.
    across : {"body", "arm", "sleeve"}
        Taken level round the body, square to the arm, or square to the sleeve.
    """

    cloth_mm: float
    tape_mm: float
    across: str = "body"


@dataclass(frozen=True)
class Slice:
    """The cloth of some roles at one level.

    Attributes
    ----------
    flat : (k, 2, 2) float
        Flat place of both ends of each segment, mm, in the frame of its panel.
    piece, role : (k,) str
        Name and role of the piece of each segment.
    """

    section: Section
    flat: FloatArray
    piece: NDArray[np.str_]
    role: NDArray[np.str_]


def slice_cloth(cloth: ClothMesh, keep: BoolArray, origin: FloatArray, normal: FloatArray) -> Slice:
    """Cut some of the faces, chosen by a (m,) mask, by a plane."""
    section = cut(cloth.vertices, cloth.faces[keep], origin, normal)
    piece = cloth.piece[keep][section.face]
    return Slice(section, section.blend(cloth.flat[keep]), np.array(cloth.pieces)[piece], np.array(cloth.roles)[piece])


def of_roles(cloth: ClothMesh, *roles: str) -> BoolArray:
    """(m,) bool: the faces of pieces with one of these roles."""
    return np.isin(np.array(cloth.roles)[cloth.piece], roles)


def trunk_slice(cloth: ClothMesh, level_mm: float) -> Slice:
    """Trunk and band at a height above the soles."""
    return slice_cloth(cloth, of_roles(cloth, "trunk", "band"), level_mm * UP, UP)


def trunk_girth(cloth: ClothMesh, level_mm: float) -> Girth | None:
    """Girth of the trunk at a level, counted from centre line to centre line; None where there is no cloth.

    Lap is not counted: cloth at flat x < 0 of a piece that has a partner. Where the front's edge has sloped away
    past the centre line, the band sewn to it makes up the rest of the round as far as it is wide.
    """
    at = trunk_slice(cloth, level_mm)
    trunk = at.role == "trunk"
    if not trunk.any():
        return None
    counted = (at.section.lengths * _share_before_centre(at))[trunk].sum()
    counted += sum(min(max(edge.short_of_centre, 0.0), edge.band) for edge in front_edges(at))
    return Girth(float(counted), tape_round(at.section.points[trunk].reshape(-1, 3)[:, :2]))


@dataclass(frozen=True)
class FrontEdge:
    """Where one front ends at a level.

    Attributes
    ----------
    line : (k, 3) float
        The cloth from that edge inwards, as far as it is of the same side.
    short_of_centre : float
        Flat x of the trunk's edge, mm: negative where it laps over the centre line.
    band : float
        Length of band that goes on from there, mm.
    """

    side: str
    line: FloatArray
    short_of_centre: float
    band: float


def front_edges(at: Slice) -> list[FrontEdge]:
    """The free front edges at a level, left before right; empty where the round is closed or has no two fronts.

    Seen from above the cloth runs counter-clockwise: it begins at the left front's edge and ends at the right one's.
    Of several loose ends, as beside an underarm opening, the front is the one nearest to the centre line.
    """
    edges: dict[str, FrontEdge] = {}
    for chain in at.section.chains():
        first, last = at.section.crossed[chain[0], 0], at.section.crossed[chain[-1], 1]
        if first == last:
            continue
        for side, order, end in (("left", chain, 0), ("right", chain[::-1], 1)):
            edge = _front_edge(at, order, side, end)
            if edge and (side not in edges or edge.short_of_centre < edges[side].short_of_centre):
                edges[side] = edge
    return [edges[side] for side in SIDES] if len(edges) == 2 else []


def _front_edge(at: Slice, order: IntArray, side: str, end: int) -> FrontEdge | None:
    """The edge at which a run of segments begins; None if the cloth there is not of that side's trunk."""
    trunk = np.flatnonzero(at.role[order] == "trunk")
    if not len(trunk) or not at.piece[order[trunk[0]]].endswith(f".{side}"):
        return None
    other = np.flatnonzero((at.role[order] == "trunk") & ~np.char.endswith(at.piece[order], f".{side}"))
    run = order[: other[0]] if len(other) else order
    line = np.concatenate([at.section.points[run[:1], end], at.section.points[run, 1 - end]])
    band = at.section.lengths[order[: trunk[0]]].sum()
    return FrontEdge(side, line, float(at.flat[order[trunk[0]], end, 0]), float(band))


def _share_before_centre(at: Slice) -> FloatArray:
    """(k,) float: how much of each segment lies at flat x >= 0; all of it in a piece without a partner."""
    x = at.flat[:, :, 0]
    low, high = x.min(axis=1), x.max(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(high > low, np.clip(high / (high - low), 0.0, 1.0), high >= 0)
    paired = np.char.endswith(at.piece, ".left") | np.char.endswith(at.piece, ".right")
    return np.where(paired, share, 1.0)
