"""Solids as grids of small cubes: filling shells, closing joints, and the wall of faces between inside and outside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .body import FloatArray, IntArray

Solid = NDArray[np.bool_]
MOST_CELLS = 24_000_000
"""Cells that a grid may have; it grows coarser beyond."""
ASKEW = np.array([0.317, 0.421, 0.253])
"""Share of a cell by which the grid is set off, so that its lines miss the corners of tidy meshes."""


@dataclass(frozen=True)
class Grid:
    """A box of cubes.

    Attributes
    ----------
    origin : (3,) float
        Middle of the first cube, mm.
    cell : float
        Edge of a cube, mm.
    shape : tuple of int
    """

    origin: FloatArray
    cell: float
    shape: tuple[int, int, int]

    @classmethod
    def round(cls, points: FloatArray, cell: float, margin: int) -> Grid:
        """A grid round points, with some empty cubes about them."""
        low, span = points.min(axis=0), np.ptp(points, axis=0)
        cell = max(cell, float(np.cbrt(np.prod(span + 2 * margin * cell) / MOST_CELLS)))
        shape = np.ceil(span / cell).astype(int) + 2 * margin + 1
        return cls(low - (margin + ASKEW) * cell, cell, (int(shape[0]), int(shape[1]), int(shape[2])))

    def place(self, points: FloatArray) -> IntArray:
        """(n, 3) the cubes that points lie in."""
        index = np.rint((points - self.origin) / self.cell).astype(np.int64)
        return np.clip(index, 0, np.array(self.shape) - 1)

    def box(self, points: FloatArray, margin: int) -> tuple[slice, slice, slice]:
        """The part of the grid round points."""
        low = np.maximum(self.place(points).min(axis=0) - margin, 0)
        high = self.place(points).max(axis=0) + margin + 1
        return slice(low[0], high[0]), slice(low[1], high[1]), slice(low[2], high[2])


@dataclass(frozen=True)
class Struck:
    """Where upright lines meet triangles.

    Attributes
    ----------
    face : (k,) int
    column : (k, 2) int
        The line's x and y.
    weight : (k, 3) float
        Share of each corner in the point that is met.
    level : (k,) float
        Its z.
    up : (k,) bool
        Whether the triangle is seen counter-clockwise from above.
    """

    face: IntArray
    column: IntArray
    weight: FloatArray
    level: FloatArray
    up: IntArray


def struck(corner: FloatArray, size: tuple[int, int]) -> Struck:
    """All points in which the upright lines through whole x and y, from 0 to `size`, meet (m, 3, 3) triangles."""
    low = np.clip(np.ceil(corner[:, :, :2].min(axis=1)).astype(int), 0, None)
    high = np.minimum(np.floor(corner[:, :, :2].max(axis=1)).astype(int), np.array(size) - 1)
    wide = np.clip(high - low + 1, 0, None)
    count = wide.prod(axis=1)
    owner = np.repeat(np.arange(len(corner)), count)
    ramp = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    column = low[owner] + np.stack([ramp // wide[owner, 1], ramp % wide[owner, 1]], axis=1)
    a, b, c = (corner[owner, i] - np.pad(column, ((0, 0), (0, 1))) for i in range(3))
    weight = np.stack([p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0] for p, q in ((b, c), (c, a), (a, b))], axis=1)
    twice = weight.sum(axis=1)
    inside = ((weight > 0).all(axis=1) | (weight <= 0).all(axis=1)) & (twice != 0)
    owner, column, twice = owner[inside], column[inside], twice[inside]
    weight = weight[inside] / twice[:, None]
    return Struck(owner, column, weight, (weight * corner[owner, :, 2]).sum(axis=1), twice > 0)


def fill(vertices: FloatArray, faces: IntArray, grid: Grid, box: tuple[slice, slice, slice]) -> Solid:
    """Cubes of a box of the grid whose middles lie inside a closed shell.

    Each upright line of cubes counts the faces it passes, in as +1 and out as -1.
    """
    start = np.array([part.start for part in box])
    size = [min(part.stop, full) - part.start for part, full in zip(box, grid.shape, strict=True)]
    corner = (vertices[faces] - grid.origin) / grid.cell - start
    strike = struck(corner, (size[0], size[1]))
    column = strike.column
    step = np.zeros((size[0], size[1], size[2] + 1), np.int16)
    first = np.clip(np.ceil(strike.level).astype(int), 0, size[2])
    np.add.at(step, (column[:, 0], column[:, 1], first), np.where(strike.up, -1, 1).astype(np.int16))
    return np.cumsum(step, axis=2)[:, :, :-1] > 0


def grown(solid: Solid, cells: float) -> Solid:
    """All cubes within a distance, in cubes, of a solid: a ball swept over it, one axis at a time."""
    reach = int(np.floor(cells))
    far = np.where(solid, 0, np.int16(30000)).astype(np.int16)
    for axis in range(3):
        best = far.copy()
        for step in range(1, reach + 1):
            gain = np.int16(step * step)
            ahead: list[slice] = [slice(None)] * 3
            behind: list[slice] = [slice(None)] * 3
            ahead[axis], behind[axis] = slice(step, None), slice(None, -step)
            np.minimum(best[tuple(ahead)], far[tuple(behind)] + gain, out=best[tuple(ahead)])
            np.minimum(best[tuple(behind)], far[tuple(ahead)] + gain, out=best[tuple(behind)])
        far = best
    return far <= cells * cells


def closed(solid: Solid, cells: float) -> Solid:
    """A solid with all hollows filled that a ball of this radius, in cubes, cannot enter."""
    return ~grown(~grown(solid, cells), cells)


def plain(solid: Solid) -> Solid:
    """A solid without places where cubes touch at an edge or a corner only; such places are filled.

    Its wall is then a surface without seams (well-composed sets: Latecki, Eckhardt and Rosenfeld 1995).
    """
    solid = solid.copy()
    for _ in range(12):
        before = int(solid.sum())
        for axis in range(3):
            turned = np.moveaxis(solid, axis, 0)
            a, b, c, d = turned[:, :-1, :-1], turned[:, 1:, 1:], turned[:, :-1, 1:], turned[:, 1:, :-1]
            c |= a & b & ~c & ~d
            a |= c & d & ~a & ~b
        halves = [slice(None, -1), slice(1, None)]
        for y in (0, 1):
            for z in (0, 1):
                near = solid[halves[0], halves[y], halves[z]]
                opposite = solid[halves[1], halves[1 - y], halves[1 - z]]
                others = [
                    solid[halves[i], halves[j], halves[k]]
                    for i in (0, 1)
                    for j in (0, 1)
                    for k in (0, 1)
                    if (i, j, k) not in ((0, y, z), (1, 1 - y, 1 - z))
                ]
                lone = near & opposite & ~np.logical_or.reduce(others)
                solid[halves[1], halves[y], halves[z]] |= lone
                hollow = ~near & ~opposite & np.logical_and.reduce(others)
                near |= hollow
        if int(solid.sum()) == before:
            return solid
    return solid


def wall(solid: Solid, grid: Grid) -> tuple[FloatArray, IntArray]:
    """The faces between full and empty cubes, as triangles seen from outside; their vertices are the cubes' corners."""
    quads = []
    shape = np.array(solid.shape) + 1
    for axis in range(3):
        turned = np.moveaxis(solid, axis, 0)
        for out in (False, True):
            full, empty = (turned[:-1], turned[1:]) if out else (turned[1:], turned[:-1])
            place = np.stack(np.nonzero(full & ~empty), axis=1)
            place[:, 0] += 1
            square = [(0, 0), (1, 0), (1, 1), (0, 1)] if out else [(0, 0), (0, 1), (1, 1), (1, 0)]
            corner = place[:, None, :] + np.array([(0, *each) for each in square])
            corner = np.roll(corner, axis, axis=2) if axis != 1 else corner[:, :, [1, 0, 2]]
            if axis == 1:
                corner = corner[:, ::-1]
            quads.append((corner[..., 0] * shape[1] + corner[..., 1]) * shape[2] + corner[..., 2])
    key, quad = np.unique(np.concatenate(quads), return_inverse=True)
    quad = quad.reshape(-1, 4)
    at = np.stack([key // (shape[1] * shape[2]), key // shape[2] % shape[1], key % shape[2]], axis=1)
    return grid.origin + (at - 0.5) * grid.cell, np.concatenate([quad[:, [0, 1, 2]], quad[:, [0, 2, 3]]])
