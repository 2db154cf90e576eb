"""Panel -> cloth mesh: squares along the grain inside, triangles along the boundary.

Woven cloth hardly stretches along its threads but shears easily. Squares let the solver tell the two apart: their
sides are threads, their diagonals are bias.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from mathutils import Vector
from mathutils.geometry import delaunay_2d_cdt
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# An inner point nearer to the boundary than this share of the edge length makes a flat triangle there.
CLEARANCE = 0.62
# A boundary point this near to a lattice node, in edge lengths, can be the corner of a square.
ON_LATTICE = 0.3
SHARP = 25.0  # degrees: no triangle is made sharper by choice
INSIDE = 1  # delaunay_2d_cdt's output type: triangles inside the boundary only


@dataclass(frozen=True)
class Sheet:
    """A triangulated panel.

    Attributes
    ----------
    points : (n, 2) float
        The boundary first, in the given order, then fixed points, then inner ones.
    faces : (m, 3) int
        Triangles, counter-clockwise.
    squares : (q, 2) int
        Pairs of triangles that make one square along the grain.
    """

    points: FloatArray
    faces: IntArray
    squares: IntArray


def resample(points: FloatArray, count: int) -> FloatArray:
    """(count + 1, 2) float: points at equal distances along a polyline, both ends kept."""
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    walked = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.linspace(0.0, walked[-1], count + 1)
    return np.column_stack([np.interp(at, walked, points[:, axis]) for axis in (0, 1)])


def inside(points: FloatArray, outline: FloatArray) -> NDArray[np.bool_]:
    """(n,) bool: which points lie inside a closed outline (even-odd rule)."""
    x, y = points[:, :1], points[:, 1:]
    x0, y0 = outline.T
    x1, y1 = np.roll(outline, -1, axis=0).T
    crosses = (y0 > y) != (y1 > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        left = x < x0 + (y - y0) * (x1 - x0) / (y1 - y0)
    return (crosses & left).sum(axis=1) % 2 == 1


def distance_to_outline(points: FloatArray, outline: FloatArray) -> FloatArray:
    """(n,) float: distance from each point to a closed outline, mm."""
    start = outline
    along = np.roll(outline, -1, axis=0) - outline
    best = np.full(len(points), np.inf)
    for origin, run in zip(start, along, strict=True):
        offset = points - origin
        share = np.clip(offset @ run / max(run @ run, 1e-12), 0.0, 1.0)
        best = np.minimum(best, np.linalg.norm(offset - share[:, None] * run, axis=1))
    return best


def triangulate(
    outline: FloatArray, edge_mm: float, fixed: FloatArray | None = None, *, sewn_corners: bool = False
) -> Sheet:
    """Fill a closed outline with squares along the grain (the y axis) and triangles along the boundary.

    Parameters
    ----------
    outline : (n, 2) float
        Counter-clockwise boundary, kept point by point.
    edge_mm : float
        Wished edge length inside.
    fixed : (k, 2) float, optional
        Inner points that must be vertices.
    sewn_corners : bool
        Both sides of a corner may be sewn: then no triangle has two sides on the outline, where there is room.
    """
    fixed = np.empty((0, 2)) if fixed is None else fixed
    if not sewn_corners:
        return _filled(outline, edge_mm, fixed)
    sheet = _with_inner_neighbours(_filled(outline, edge_mm, fixed), len(outline))
    kept = _ears(sheet.faces, len(outline))[:, 2]
    if not len(kept):
        return sheet
    beside = np.concatenate([fixed, _beside_corners(outline, kept)])
    return _with_inner_neighbours(_filled(outline, edge_mm, beside), len(outline))


def _filled(outline: FloatArray, edge_mm: float, fixed: FloatArray) -> Sheet:
    origin, pitch = _pitch(outline, edge_mm)
    lattice = _lattice(outline, origin, pitch)
    if len(fixed):
        apart = np.linalg.norm(lattice[:, None] - fixed[None], axis=2).min(axis=1)
        lattice = lattice[apart > CLEARANCE * edge_mm]
    points = np.concatenate([outline, fixed, lattice])
    faces = _delaunay(points, len(outline))
    return Sheet(points, faces, _squares(points, faces, origin, pitch))


def smallest_angles(points: FloatArray, faces: IntArray) -> FloatArray:
    """(m,) float: the smallest angle of each triangle, degrees."""
    corner = points[faces]
    angles = []
    for i in range(3):
        a, b = corner[:, (i + 1) % 3] - corner[:, i], corner[:, (i + 2) % 3] - corner[:, i]
        cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
        angles.append(np.degrees(np.arctan2(np.abs(cross), (a * b).sum(axis=1))))
    return np.min(angles, axis=0)


def _pitch(outline: FloatArray, edge_mm: float) -> tuple[FloatArray, FloatArray]:
    """Lower left corner and spacing of a lattice that ends evenly on the outline's extent."""
    low, high = outline.min(axis=0), outline.max(axis=0)
    return low, (high - low) / np.maximum(1.0, np.round((high - low) / edge_mm))


def _lattice(outline: FloatArray, origin: FloatArray, pitch: FloatArray) -> FloatArray:
    """Nodes of the lattice that lie clear inside the outline."""
    count = np.round((outline.max(axis=0) - origin) / pitch).astype(int)
    x, y = np.meshgrid(*(origin[k] + np.arange(count[k] + 1) * pitch[k] for k in (0, 1)))
    points = np.column_stack([x.ravel(), y.ravel()])
    points = points[inside(points, outline)]
    return points[distance_to_outline(points, outline) > CLEARANCE * pitch.min()]


def _squares(points: FloatArray, faces: IntArray, origin: FloatArray, pitch: FloatArray) -> IntArray:
    """(q, 2) int: triangles that fill one cell of the lattice in pairs."""
    place = (points - origin) / pitch
    node = np.round(place).astype(np.int64)
    on = np.abs(place - node).max(axis=1) < ON_LATTICE
    corner = node[faces]
    cell = corner.min(axis=1)
    whole = on[faces].all(axis=1) & (np.ptp(corner, axis=1) == 1).all(axis=1)
    width = node[:, 0].max() + 2
    key = np.where(whole, cell[:, 1] * width + cell[:, 0], -1)
    order = np.argsort(key, kind="stable")
    first, count = np.unique(key[order], return_index=True, return_counts=True)[1:]
    start = first[(count == 2) & (key[order][first] >= 0)]
    return np.column_stack([order[start], order[start + 1]])


def _ears(faces: IntArray, border: int) -> IntArray:
    """(e, 4) int: triangles with two sides on the outline: which, then its corner before, that between the two sides,
    and that after.
    """
    rows = [
        (ear, *np.roll(faces[ear], 1 - k))
        for ear in np.flatnonzero((faces < border).all(axis=1))
        for k in range(3)
        if (faces[ear, k - 1] + 1) % border == faces[ear, k] == (faces[ear, k - 2] - 1) % border
    ]
    return np.array(rows, dtype=np.int64).reshape(-1, 4)


def _with_inner_neighbours(sheet: Sheet, border: int) -> Sheet:
    """Turns the diagonal where a triangle has two sides on the outline, so that the corner has an inner neighbour.

    An ear that is sewn on both sides lies wholly on its partner: nothing keeps the two apart, and a pocket's tip slips
    through itself.
    """
    points, faces = sheet.points, sheet.faces.copy()
    for ear, before, tip, after in _ears(faces, border):
        beyond = np.flatnonzero((faces == before).any(axis=1) & (faces == after).any(axis=1))
        beyond = beyond[beyond != ear]
        if not len(beyond):
            continue
        inner = next(vertex for vertex in faces[beyond[0]] if vertex not in (before, after))
        turned = np.array([[before, tip, inner], [tip, after, inner]])
        if inner >= border and smallest_angles(points, turned).min() > SHARP:
            faces[[ear, beyond[0]]] = turned
    return replace(sheet, faces=faces)


def _beside_corners(outline: FloatArray, corners: IntArray) -> FloatArray:
    """(k, 2) float: the inner corner of the square between each corner and the nearer of its neighbours, where no other
    side is nearer.
    """
    sides = [np.roll(outline, turn, axis=0)[corners] - outline[corners] for turn in (1, -1)]
    length = [np.linalg.norm(side, axis=1, keepdims=True) for side in sides]
    short = np.minimum(*length)
    points = outline[corners] + sum(short * side / long for side, long in zip(sides, length, strict=True))
    return points[distance_to_outline(points, outline) > 0.99 * short[:, 0]]


def _delaunay(points: FloatArray, border: int) -> IntArray:
    """(m, 3) int: the constrained Delaunay triangles inside the boundary, which is the first `border` points."""
    ring = list(range(border))
    edges = list(zip(ring, ring[1:] + ring[:1], strict=True))
    _, _, faces, origin, _, _ = delaunay_2d_cdt([Vector(p) for p in points], edges, [ring], INSIDE, 1e-7)
    first = np.array([came_from[0] for came_from in origin])
    triangles = first[np.asarray(faces, dtype=np.int64)]
    a, b, c = (points[triangles[:, i]] for i in range(3))
    turn = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    triangles[turn < 0] = triangles[turn < 0][:, ::-1]
    return triangles
