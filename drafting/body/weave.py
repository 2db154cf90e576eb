"""One skin over many shells: a wall of cubes drawn tight onto the outermost surfaces, and fair across the joints."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..cores import spread
from ..errors import ScanError
from .body import FloatArray, IntArray
from .mend import Mesh, directed, eased, shells, vertex_normals, volumes
from .thin import thinned
from .volume import Grid, Solid, closed, fill, grown, plain, wall
from .weld import compact

CELLS_HIGH = 400
"""Cubes in the height of a doll."""
BALL = 0.010
"""Radius, as a share of the height, of the ball that may not enter a joint."""
RIM = 0.6
"""Share of the widest gap by which the rims of a joint are taken to be rounded off."""
APART = 0.3
"""A piece of so much of the largest one's volume is no speck: two dolls, or one in parts."""
BLOCK = 2048
"""Points looked up at a time: more would fill the memory."""
CLOSELY, ROUGHLY = 1e-9, 1e-6
"""How far a skin is made fair at last, within a thousandth of a millimetre; and before it is thinned."""
PULLS = 4
"""Rounds of smoothing the wall and pulling it onto the surfaces."""


@dataclass(frozen=True)
class Woven:
    """The new skin and what it cost.

    Attributes
    ----------
    bridged : float
        Share of the new skin that lies over joints and holes, where there is nothing to keep to.
    deviation : float
        Largest distance in mm of the rest of the skin from the scan.
    lost : int
        Floating pieces that were left out.
    """

    vertices: FloatArray
    faces: IntArray
    bridged: float
    deviation: float
    lost: int


def weave(mesh: Mesh, limit: float) -> Woven:
    """One closed outer skin over closed shells.

    Parameters
    ----------
    mesh : Mesh
        Shells that are each closed and seen from outside.
    limit : float
        Widest gap between two shells that is bridged, mm.
    """
    vertices = mesh.vertices
    height = float(np.ptp(vertices[:, 2]))
    ball = BALL * height
    grid = Grid.round(vertices, height / CELLS_HIGH, int(ball / height * CELLS_HIGH) + 4)
    solid, joints = _union(mesh, grid, limit, ball)
    box = grid.box(vertices, int(limit / grid.cell) + 2)
    skin, net = wall(plain(solid[box]), grid.within(box))
    skin, net, lost = _outermost(skin, net)
    cloud = _Cloud.over(mesh, 0.8 * grid.cell, grown(joints | solid, 2) & ~_shrunk(solid | joints, 3), grid)
    ends = directed(net, len(skin))
    rim = grown(joints, RIM * limit / grid.cell) if joints.any() else joints
    free = rim[tuple(grid.place(skin).T)]
    skin = eased(eased(skin, ends, 0.6), ends, 0.6)
    near, place, patch = cloud.nearest(skin)
    held = ~free & ~patch & (near < 1.5 * grid.cell)
    for _ in range(PULLS):
        skin = np.where(held[:, None], cloud.foot(skin, place), eased(skin, ends, 0.6))
        skin = eased(skin, ends, 0.5)
    skin = _fair(skin, ends, ~held, ROUGHLY)
    skin, net, held = thinned(skin, net, held)
    near, place, _ = cloud.nearest(skin)
    held &= near < 1.5 * grid.cell
    skin = np.where(held[:, None], cloud.foot(skin, place), skin)
    skin = _fair(skin, directed(net, len(skin)), ~held)
    sure = held[net].all(axis=1)
    away = cloud.nearest(skin[net[sure]].mean(axis=1))[0]
    return Woven(skin, net, float((~sure).mean()), float(away[np.isfinite(away)].max(initial=0.0)), lost)


def _shrunk(solid: Solid, cells: float) -> Solid:
    return ~grown(~solid, cells)


def _union(mesh: Mesh, grid: Grid, limit: float, ball: float) -> tuple[Solid, Solid]:
    """All shells as one solid, its joints closed; and the cubes that closing added."""
    solid, near = np.zeros(grid.shape, bool), np.zeros(grid.shape, np.uint8)
    shell = shells(mesh.vertices, mesh.faces)
    reach = limit / 2 / grid.cell
    for index in range(shell.max() + 1):
        mine = mesh.faces[shell == index]
        box = grid.box(mesh.vertices[np.unique(mine)], int(reach) + 2)
        part = fill(mesh.vertices, mine, grid, box)
        solid[box] |= part
        near[box] += grown(part, reach)
    between = (near > 1) & ~solid
    if not between.any():
        return solid, between
    joints = between & closed(solid, ball / grid.cell)
    return solid | joints, joints


def _outermost(vertices: FloatArray, faces: IntArray) -> tuple[FloatArray, IntArray, int]:
    """The largest piece of the wall, without the walls of inner hollows; and how many pieces floated free."""
    shell = shells(vertices, faces)
    volume = volumes(vertices, faces, shell)
    kept = faces[shell == volume.argmax()]
    if (np.delete(volume, volume.argmax()) > APART * volume.max()).any():
        raise ScanError("the scan falls into large parts that do not touch; join them, or export one doll alone")
    return (*compact(vertices, kept), int((volume > 0).sum()) - 1)


@dataclass(frozen=True)
class _Cloud:
    """Points spread over triangles, sorted into boxes."""

    points: FloatArray
    normals: FloatArray
    patched: IntArray
    key: IntArray
    low: FloatArray
    size: IntArray
    cell: float

    @classmethod
    def over(cls, mesh: Mesh, spacing: float, where: Solid, grid: Grid) -> _Cloud:
        """Points no farther apart than `spacing` mm, of those triangles whose middles lie `where` they matter."""
        faces = mesh.faces[where[tuple(grid.place(mesh.vertices[mesh.faces].mean(axis=1)).T)]]
        patched = mesh.patched[where[tuple(grid.place(mesh.vertices[mesh.faces].mean(axis=1)).T)]]
        corner, upright = mesh.vertices[faces], vertex_normals(mesh.vertices, mesh.faces)[faces]
        sides = np.linalg.norm(corner - np.roll(corner, -1, axis=1), axis=2).max(axis=1)
        parts = np.maximum(np.ceil(sides / spacing).astype(int), 1)
        points, normals, owner = [], [], []
        for count in np.unique(parts):
            some = np.flatnonzero(parts == count)
            i, j = (each.ravel() for each in np.meshgrid(np.arange(count), np.arange(count), indexing="ij"))
            u, v = (i + 1 / 3) / count, (j + 1 / 3) / count
            flip = u + v > 1
            u, v = np.where(flip, 1 - u, u), np.where(flip, 1 - v, v)
            point, normal = _bulged(corner[some], upright[some], np.stack([1 - u - v, u, v], axis=1))
            points.append(point.reshape(-1, 3))
            normals.append(normal.reshape(-1, 3))
            owner.append(np.repeat(some, len(u)))
        spread, owner_of = np.concatenate(points), np.concatenate(owner)
        cell = 1.25 * grid.cell
        low = spread.min(axis=0) - 2 * cell
        size = np.ceil((spread.max(axis=0) - low) / cell).astype(np.int64) + 3
        place = ((spread - low) / cell).astype(np.int64)
        key = (place[:, 0] * size[1] + place[:, 1]) * size[2] + place[:, 2]
        order = np.argsort(key, kind="stable")
        return cls(spread[order], np.concatenate(normals)[order], patched[owner_of[order]], key[order], low, size, cell)

    def foot(self, queries: FloatArray, place: IntArray) -> FloatArray:
        """Feet of the perpendiculars on the planes of the triangles that hold these points of the cloud."""
        normal = self.normals[place]
        return queries - ((queries - self.points[place]) * normal).sum(axis=1)[:, None] * normal

    def nearest(self, queries: FloatArray) -> tuple[FloatArray, IntArray, IntArray]:
        """Distance to the surface, the nearest point of the cloud, and whether a mend made it.

        The distance is infinite where nothing lies within a box's edge.
        """
        square = np.full(len(queries), np.inf)
        best = np.zeros(len(queries), np.int64)
        order = np.lexsort(((queries - self.low) / self.cell).astype(np.int64).T[::-1])
        blocks = np.array_split(order, max(len(order) // BLOCK, 1))
        for block, found in zip(blocks, spread(lambda block: self._block(queries[block]), blocks), strict=True):
            square[block], best[block] = found
        met = np.isfinite(square)
        away = np.abs(((queries - self.points[best]) * self.normals[best]).sum(axis=1))
        return np.where(met, away, np.inf), best, self.patched[best] & met

    def _block(self, queries: FloatArray) -> tuple[FloatArray, IntArray]:
        place = ((queries - self.low) / self.cell).astype(np.int64)
        aside = np.array([(dx, dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)])
        x, y = (np.clip(place[:, i, None] + aside[:, i], 0, self.size[i] - 1) for i in (0, 1))
        row = (x * self.size[1] + y) * self.size[2]
        z = np.clip(place[:, 2], 1, self.size[2] - 2)[:, None]
        first = np.searchsorted(self.key, (row + z - 1).ravel())
        many = np.searchsorted(self.key, (row + z + 1).ravel(), "right") - first
        start = np.cumsum(many) - many
        index = np.repeat(first - start, many) + np.arange(many.sum())
        each = many.reshape(-1, 9).sum(axis=1)
        owner = np.repeat(np.arange(len(queries)), each)
        away = self.points.take(index, axis=0) - queries.take(owner, axis=0)
        square = np.einsum("ij,ij->i", away, away)
        least, best = np.full(len(queries), np.inf), np.zeros(len(queries), np.int64)
        some = np.flatnonzero(each)
        if len(some):
            begin = (np.cumsum(each) - each)[some]
            least[some] = np.minimum.reduceat(square, begin)
            hit = np.flatnonzero(square == least.take(owner))
            best[some] = index[hit[np.searchsorted(hit, begin)]]
        return least, best


def _bulged(corner: FloatArray, normal: FloatArray, weight: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Points and normals of (m, 3, 3) triangles at (w, 3) weights of their corners, as round as their corners' normals.

    A flat triangle lies under the skin that its corners were taken from; the points are moved from it towards the
    corners' tangent planes (Boubekeur and Alexa, Phong tessellation, 2008, with their share of 3/4).
    """
    flat, across = weight @ corner, normal.transpose(0, 2, 1)
    off = flat @ across - np.einsum("mki,mki->mk", corner, normal)[:, None]
    bulge, turned = (weight * off) @ normal, weight @ normal
    return flat - 0.75 * bulge, turned / np.maximum(np.linalg.norm(turned, axis=2), 1e-12)[:, :, None]


def _fair(vertices: FloatArray, ends: tuple[IntArray, IntArray], free: IntArray, enough: float = CLOSELY) -> FloatArray:
    """Free vertices laid so that the skin runs on smoothly from its surroundings.

    Least squares of the second umbrella differences, by conjugate gradients on the free vertices until the square of
    what is left over is `enough` of what it was.
    """
    if not free.any():
        return vertices
    here, there = ends
    near = free.copy()
    for _ in range(2):
        near[here[near[there]]] = True
    local = near[here] & near[there]
    slot = np.cumsum(near) - 1
    here, there = slot[here[local]], slot[there[local]]
    there = there[np.argsort(here, kind="stable")]
    many = np.bincount(here)
    begin, degree, free = np.cumsum(many) - many, many.astype(float), free[near]

    def around(x: FloatArray) -> FloatArray:
        return np.stack([np.add.reduceat(each.take(there), begin) for each in x])

    def normal(x: FloatArray) -> FloatArray:
        umbrella = x - around(x) / degree
        return (umbrella - around(umbrella / degree)) * free

    x = np.ascontiguousarray(vertices[near].T)
    rest = -normal(x)
    way, size = rest.copy(), float((rest**2).sum())
    start = size
    for _ in range(400):
        if size <= enough * max(start, 1e-30):
            break
        pull = normal(way)
        step = size / float((way * pull).sum())
        x += step * way
        rest -= step * pull
        last, size = size, float((rest**2).sum())
        way = rest + size / last * way
    out = vertices.copy()
    out[near] = x.T
    return out
