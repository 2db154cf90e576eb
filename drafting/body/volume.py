"""Solids as grids of small cubes: filling shells, closing joints, and the wall of faces between inside and outside."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce
from itertools import combinations, product
from operator import and_, or_

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

    def within(self, box: tuple[slice, slice, slice]) -> Grid:
        """A part of the grid, as a grid."""
        start = np.array([part.start for part in box])
        size = [min(part.stop, full) - part.start for part, full in zip(box, self.shape, strict=True)]
        return Grid(self.origin + start * self.cell, self.cell, (size[0], size[1], size[2]))


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
    kind = np.uint8 if reach <= 10 else np.uint16
    beyond = kind(np.iinfo(kind).max // 2)  # with a step's gain on top it still fits
    far = np.where(solid, kind(0), beyond)
    for axis in range(3):
        best = far.copy()
        for step in range(1, reach + 1):
            gain = kind(step * step)
            ahead: list[slice] = [slice(None)] * 3
            behind: list[slice] = [slice(None)] * 3
            ahead[axis], behind[axis] = slice(step, None), slice(None, -step)
            np.minimum(best[tuple(ahead)], far[tuple(behind)] + gain, out=best[tuple(ahead)])
            np.minimum(best[tuple(behind)], far[tuple(ahead)] + gain, out=best[tuple(behind)])
        far = best
    return far <= kind(cells * cells)


def closed(solid: Solid, cells: float) -> Solid:
    """A solid with all hollows filled that a ball of this radius, in cubes, cannot enter."""
    return ~grown(~grown(solid, cells), cells)


def plain(solid: Solid) -> Solid:
    """A solid without places where cubes touch at an edge or a corner only; such places are filled.

    Its wall is then a surface without seams (well-composed sets: Latecki, Eckhardt and Rosenfeld 1995).
    """
    solid = solid.copy()
    cubes = solid.reshape(-1)
    for _ in range(12):
        before = np.count_nonzero(cubes)
        mixed = _mixed(solid)
        for one, two, joining in _touching(solid):
            here, there = cubes.take(mixed + one), cubes.take(mixed + two)
            rest = [cubes.take(mixed + each) for each in joining]
            cubes[mixed[here & there & ~reduce(or_, rest)] + joining[0]] = True
            if len(joining) > 2:
                cubes[mixed[~here & ~there & reduce(and_, rest)] + one] = True
        if np.count_nonzero(cubes) == before:
            break
    return solid


def _mixed(solid: Solid) -> IntArray:
    """Flat indices of the first cube of each block of two by two by two in which some are full and some are empty."""
    some, every = solid, solid
    for axis in range(3):
        ahead, behind = ([slice(None)] * axis + [half] for half in (slice(1, None), slice(None, -1)))
        some, every = some[tuple(ahead)] | some[tuple(behind)], every[tuple(ahead)] & every[tuple(behind)]
    return np.ravel_multi_index(np.nonzero(some & ~every), solid.shape)


def _touching(solid: Solid) -> Iterator[tuple[int, int, list[int]]]:
    """Pairs of cubes of a block that share an edge or a corner only, and all those that could join the two; each as a
    step from the block's first cube. Of opposite faces of a block only one: the other is its neighbour's.
    """
    step = np.array(solid.strides) // solid.itemsize
    corners = np.array(list(product((0, 1), repeat=3)))
    for one, two in combinations(corners, 2):
        same = one == two
        if same.sum() > 1 or one[same].any():
            continue
        box = corners[(corners[:, same] == one[same]).all(axis=1)]
        joining = [int(each @ step) for each in box if (each != one).any() and (each != two).any()]
        yield int(one @ step), int(two @ step), joining


def wall(solid: Solid, grid: Grid) -> tuple[FloatArray, IntArray]:
    """The faces between full and empty cubes, as triangles seen from outside; their vertices are the cubes' corners."""
    quads = []
    shape = np.array(solid.shape) + 1
    for axis in range(3):
        low, high = (solid[(slice(None),) * axis + (half,)] for half in (slice(None, -1), slice(1, None)))
        for full, empty, out in ((low, high, True), (high, low, False)):
            faced = full & ~empty
            place = np.stack(np.unravel_index(np.flatnonzero(faced), faced.shape), axis=1)
            square = [(0, 0), (1, 0), (1, 1), (0, 1)] if out else [(0, 0), (0, 1), (1, 1), (1, 0)]
            corner = place[:, None] + np.insert(square[:: -1 if axis == 1 else 1], axis, 1, axis=1)
            quads.append((corner[..., 0] * shape[1] + corner[..., 1]) * shape[2] + corner[..., 2])
    used = np.zeros(int(shape.prod()), bool)
    for each in quads:
        used[each] = True
    key = np.flatnonzero(used)
    number = np.zeros(len(used), np.int32)
    number[key] = np.arange(len(key))
    quad = number.take(np.concatenate(quads)).astype(np.int64)
    at = np.stack([key // (shape[1] * shape[2]), key // shape[2] % shape[1], key % shape[2]], axis=1)
    return grid.origin + (at - 0.5) * grid.cell, np.concatenate([quad[:, [0, 1, 2]], quad[:, [0, 2, 3]]])
