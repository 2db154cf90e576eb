"""How a garment hangs: its hem above the floor, where the sleeves end and how deep they fall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..body.body import SIDES, Body
from ..cloth.mesh import ClothMesh
from .arm import stations
from .section import cut_where

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Where a sleeve's drop is read, as a share of the straight bottom: its wrist end, which hangs free of the trunk.
WRIST_END = (0.7, 0.98)
STRAIGHT_MM = 0.5  # the bottom is straight where it is within this of its lowest; a rounded corner is not read
TAPES = 21


@dataclass(frozen=True)
class Hem:
    """Height of the hem over the soles, mm."""

    lowest_mm: float
    mean_mm: float


@dataclass(frozen=True)
class Sleeve:
    """One sleeve, mm.

    Attributes
    ----------
    past_wrist_mm : float or None
        How far it ends beyond the wrist along the arm's centre line, negative if before; over the arm, where the
        wearer sees it. None if the doll has no such arm.
    drop_mm : float or None
        A tape laid on the cloth from the fold over the arm down to the bottom, at the wrist end, as a maker compares
        it with her draft; the mean of both layers. None if the sleeve has no bottom edge.
    hangs_mm : float or None
        The same straight through the air: the arm between the layers and the bend of a deep sleeve take their share.
    """

    side: str
    past_wrist_mm: float | None
    drop_mm: float | None
    hangs_mm: float | None = None


def read_hem(cloth: ClothMesh) -> Hem | None:
    """The hem of a garment: all edges of the name "hem"; None if it has none."""
    index = [vertices for (_, edge), vertices in cloth.edges.items() if edge == "hem"]
    if not index:
        return None
    height = cloth.vertices[np.unique(np.concatenate(index)), 2]
    return Hem(float(height.min()), float(height.mean()))


def read_sleeves(cloth: ClothMesh, body: Body) -> list[Sleeve]:
    """Both sleeves, left before right; those that the garment has."""
    sleeves = []
    for side in SIDES:
        pieces = [i for i, name in enumerate(cloth.pieces) if cloth.roles[i] == "sleeve" and name.endswith(f".{side}")]
        if pieces:
            tapes = np.concatenate([_drops(cloth, piece) for piece in pieces])
            drop, hangs = np.median(tapes, axis=0).tolist() if len(tapes) else (None, None)
            sleeves.append(Sleeve(side, _past_wrist(cloth, body, side, pieces), drop, hangs))
    return sleeves


def _past_wrist(cloth: ClothMesh, body: Body, side: str, pieces: list[int]) -> float | None:
    """Mean over the part of the wrist edge that lies on the arm: within a quarter of the wrist girth of the fold.

    The rest of a wide mouth hangs straight down, and along a lowered arm that would read as length.
    """
    arm, wrist = body.arms.get(side), body.measures.get("wrist_girth")
    found = [_edge(cloth, piece, "wrist") for piece in pieces]
    index = np.concatenate([vertices for vertices, _ in found])
    from_fold = np.abs(np.concatenate([flat[:, 1] for _, flat in found]))
    if arm is None or not len(index):
        return None
    near = max(wrist.mm / 4 if wrist else 0.0, float(from_fold.min()))
    return float(stations(arm, cloth.vertices[index[from_fold <= near + 1e-6]]).mean() - arm.wrist)


def _drops(cloth: ClothMesh, piece: int) -> FloatArray:
    """(k, 2) float: tapes at several distances from the shoulder, on the cloth and straight; none without a bottom."""
    index, flat = _edge(cloth, piece, "bottom_")
    faces, corners = cloth.faces[cloth.piece == piece], cloth.flat[cloth.piece == piece]
    fold = cut_where(corners[:, :, 1], cloth.vertices, faces)
    if not len(index) or not len(fold.face):
        return np.zeros((0, 2))
    depth = np.abs(flat[:, 1])
    straight = flat[depth > depth.max() - STRAIGHT_MM, 0].max()
    x = straight * np.linspace(*WRIST_END, TAPES)
    top = _along(fold.blend(corners)[:, :, 0].ravel(), fold.points.reshape(-1, 3), x)
    layers = [_edge(cloth, piece, name) for name in _edge_names(cloth, piece, "bottom_")]
    bottoms = [_along(flat[:, 0], cloth.vertices[index], x) for index, flat in layers]
    straight_down = np.mean([np.linalg.norm(top - bottom, axis=1) for bottom in bottoms], axis=0)
    round_both = [cut_where(corners[:, :, 0] - at, cloth.vertices, faces).lengths.sum() for at in x]
    return np.column_stack([0.5 * np.array(round_both), straight_down])


def _along(marks: FloatArray, points: FloatArray, x: FloatArray) -> FloatArray:
    """Points of a line at other marks along it."""
    order = np.argsort(marks, kind="stable")
    return np.stack([np.interp(x, marks[order], points[order, k]) for k in range(3)], axis=1)


def _edge_names(cloth: ClothMesh, piece: int, prefix: str) -> list[str]:
    """The edges of a piece whose names begin so."""
    return [edge for where, edge in cloth.edges if where == cloth.pieces[piece] and edge.startswith(prefix)]


def _edge(cloth: ClothMesh, piece: int, prefix: str) -> tuple[IntArray, FloatArray]:
    """Vertices of all edges of a piece whose names begin so, and a flat place of each, (k,) and (k, 2)."""
    parts = [cloth.edges[cloth.pieces[piece], name] for name in _edge_names(cloth, piece, prefix)]
    if not parts:
        return np.zeros(0, dtype=np.int64), np.zeros((0, 2))
    mine = cloth.piece == piece
    corner, flat = cloth.faces[mine].ravel(), cloth.flat[mine].reshape(-1, 2)
    index = np.unique(np.concatenate(parts))
    known, first = np.unique(corner, return_index=True)
    index = index[np.isin(index, known)]
    return index, flat[first[np.searchsorted(known, index)]]
