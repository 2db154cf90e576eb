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
        Length along the cloth, as far as it goes round: from centre front to centre front, up and down in folds not
        counted.
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
    lean : (k, 2) float
        How far the mesh edge on which each end lies leans in that frame, radians from its y axis towards its x axis.
    drawn : (k, 3, 2) float
        What a step of one millimetre along x or y of that frame is in space.
    piece, role : (k,) str
        Name and role of the piece of each segment.
    """

    section: Section
    flat: FloatArray
    lean: FloatArray
    drawn: FloatArray
    piece: NDArray[np.str_]
    role: NDArray[np.str_]


def slice_cloth(cloth: ClothMesh, keep: BoolArray, origin: FloatArray, normal: FloatArray) -> Slice:
    """Cut some of the faces, chosen by a (m,) mask, by a plane."""
    faces = cloth.faces[keep]
    section = cut(cloth.vertices, faces, origin, normal)
    piece, flat = cloth.piece[keep][section.face], cloth.flat[keep]
    names, roles = np.array(cloth.pieces)[piece], np.array(cloth.roles)[piece]
    lean = _lean(section, flat, faces, len(cloth.vertices))
    drawn = _drawn(cloth.vertices[faces[section.face]], flat[section.face])
    return Slice(section, section.blend(flat), lean, drawn, names, roles)


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

    What is counted is how far the cloth goes across its panel, square to the seams at both sides: a level plane runs up
    and down through the folds of a robe that is bloused over its sash, and would find a way round that is longer than
    the robe is wide. It is no room for the body, and falls anew in each drape. For the same reason a piece counts for
    no less than it was drafted: what is pushed together in folds finer than its mesh is there to be pulled.
    """
    at = trunk_slice(cloth, level_mm)
    trunk = at.role == "trunk"
    if not trunk.any():
        return None
    across = _across(at) * _share_before_centre(at)[:, None]
    pieces = [across[trunk & (at.piece == piece)].sum(axis=0) for piece in np.unique(at.piece[trunk])]
    counted = float(np.abs(pieces).max(axis=1).sum())
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


def _across(at: Slice) -> FloatArray:
    """(k, 2) float: how far each segment goes across its panel, mm, as drafted and as drawn out; below 0 where the cut
    runs back in a fold.

    Across is square to the seam at either side, and turns from one to the other: a flared gore's level is an arc.
    """
    step = at.flat[:, 1] - at.flat[:, 0]
    lean = np.zeros(len(step))
    sides = _side_seams(at)
    for piece in np.unique(at.piece):
        own = at.piece == piece
        x, leans = at.flat[:, :, 0][sides & own[:, None]], at.lean[sides & own[:, None]]
        if _paired(np.array([piece]))[0]:  # the centre line is upright, where no seam lies there
            x, leans = np.append(x, 0.0), np.append(leans, 0.0)
        if len(x):
            order = np.argsort(x)
            lean[own] = np.interp(at.flat[own, :, 0].mean(axis=1), x[order], leans[order])
    across = np.column_stack([np.cos(lean), -np.sin(lean)])
    stretched = np.linalg.norm(np.einsum("kij,kj->ki", at.drawn, across), axis=1)
    drafted = (step * across).sum(axis=1)
    return np.column_stack([drafted, stretched * drafted])


def _side_seams(at: Slice) -> BoolArray:
    """(k, 2) bool: the ends of segments at which another piece of the trunk goes on."""
    ids, where = np.unique(at.section.crossed, return_inverse=True)
    where = where.reshape(-1, 2)
    piece = np.unique(at.piece, return_inverse=True)[1]
    first, last = np.full(len(ids), len(piece)), np.full(len(ids), -1)
    trunk = at.role == "trunk"
    for end in (0, 1):
        np.minimum.at(first, where[trunk, end], piece[trunk])
        np.maximum.at(last, where[trunk, end], piece[trunk])
    return (first < last)[where] & trunk[:, None]


def _drawn(corners: FloatArray, flat: FloatArray) -> FloatArray:
    """(k, 3, 2) float: `Slice.drawn` of triangles in space and flat; nothing where a triangle was drawn as none."""
    u, v = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    area = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    back = np.stack([np.column_stack([v[:, 1], -v[:, 0]]), np.column_stack([-u[:, 1], u[:, 0]])], axis=1)
    back = np.divide(back, area[:, None, None], out=np.zeros_like(back), where=area[:, None, None] != 0.0)
    sides = np.stack([corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]], axis=2)
    return sides @ back


def _lean(section: Section, flat: FloatArray, faces: IntArray, count: int) -> FloatArray:
    """(k, 2) float: `Slice.lean`, from the two vertices between which each end lies."""
    ends = np.stack(np.divmod(section.crossed, count), axis=2)
    corner = (faces[section.face][:, None, None, :] == ends[:, :, :, None]).argmax(axis=3)
    places = flat[section.face[:, None, None], corner]
    side = places[:, :, 1] - places[:, :, 0]
    side = side * np.where(side[:, :, 1:] < 0.0, -1.0, 1.0)
    return np.arctan2(side[:, :, 0], side[:, :, 1])


def _paired(piece: NDArray[np.str_]) -> BoolArray:
    """Which pieces have a partner on the other side."""
    return np.char.endswith(piece, ".left") | np.char.endswith(piece, ".right")


def _share_before_centre(at: Slice) -> FloatArray:
    """(k,) float: how much of each segment lies at flat x >= 0; all of it in a piece without a partner."""
    x = at.flat[:, :, 0]
    low, high = x.min(axis=1), x.max(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(high > low, np.clip(high / (high - low), 0.0, 1.0), high >= 0)
    return np.where(_paired(at.piece), share, 1.0)
