"""Cutting a skin with planes: many parallel planes at once, and the loops they leave."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from .body import FloatArray, IntArray
from .weld import compact

BoolArray = NDArray[np.bool_]

Number = TypeVar("Number", bound=np.number)


@dataclass(frozen=True)
class Cuts:
    """What planes leave of a skin.

    Attributes
    ----------
    start, end : (k, 3) float
        Directed segments, mm. Outer loops run counter-clockwise seen from the tip of the planes' normal.
    plane, loop, after : (k,) int
        Index of the plane and of the loop a segment belongs to; the segment that follows it, itself at an open end.
    loop_plane : (l,) int
        Plane of each loop.
    area, around, girth : (l,) float
        Signed area in mm2, the loop's own length in mm and that of its convex hull (by Cauchy's formula in 64
        directions).
    middle, low, high : (l, 3) float
        Mean of the loop along its length, and its bounding box.
    """

    start: FloatArray
    end: FloatArray
    plane: IntArray
    loop: IntArray
    after: IntArray
    loop_plane: IntArray
    area: FloatArray
    around: FloatArray
    girth: FloatArray
    middle: FloatArray
    low: FloatArray
    high: FloatArray

    def points(self, *loops: int) -> FloatArray:
        """(k, 3) points of these loops, in no order."""
        return np.concatenate([self.start[self._members(loop)] for loop in loops])

    def _members(self, loop: int) -> slice:
        """Segments of one loop, which lie side by side."""
        first, last = np.searchsorted(self.loop, (loop, loop + 1))
        return slice(int(first), int(last))

    def on(self, plane: int) -> IntArray:
        """Loops on one plane, the largest first."""
        found = np.flatnonzero(self.loop_plane == plane)
        return found[np.argsort(-np.abs(self.area[found]))]

    def closed(self, loop: int) -> bool:
        """Whether a loop meets itself again."""
        members = self._members(loop)
        return bool((self.after[members] != np.arange(members.start, members.stop)).all())

    def chain(self, loop: int) -> FloatArray:
        """(k, 3) points of one loop in order; the first is repeated at the end where the loop is closed."""
        members = self._members(loop)
        start, end = self.start[members], self.end[members]
        after = self.after[members] - members.start
        heads = np.setdiff1d(np.arange(len(after)), after[after != np.arange(len(after))])
        follows = after.tolist()
        first = here = int(heads[0]) if len(heads) else 0
        order = [here]
        for _ in follows:
            there = follows[here]
            if there in (here, first):
                break
            order.append(there)
            here = there
        return np.vstack([start[order], end[order[-1:]]])


def frame(normal: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Two unit vectors that span the plane of `normal`, right-handed with it; x and y for a level plane."""
    aside = np.array([0.0, 1.0, 0.0]) if abs(normal[1]) < 0.9 else np.array([0.0, 0.0, 1.0])
    u = _crossed(aside, normal)
    u = u / np.sqrt(u @ u)
    return u, _crossed(normal, u)


def _crossed(one: FloatArray, other: FloatArray) -> FloatArray:
    """Cross product of two vectors: for so few numbers numpy's own takes ten times as long."""
    (a, b, c), (x, y, z) = one.tolist(), other.tolist()
    return np.array([b * z - c * y, c * x - a * z, a * y - b * x])


def cut(vertices: FloatArray, faces: IntArray, normal: FloatArray, offsets: FloatArray) -> Cuts:
    """Cut a skin with a stack of parallel planes `normal . p = offset`.

    A vertex on a plane counts as above it, so that a closed skin gives closed loops only.

    Parameters
    ----------
    normal : (3,) float
        Unit vector.
    offsets : (p,) float
        Ascending, mm.
    """
    normal, offsets = np.asarray(normal, float), np.atleast_1d(np.asarray(offsets, float))
    few = 3 * len(faces) < len(vertices)
    level = vertices.take(faces, axis=0) @ normal if few else vertices @ normal
    low, high = extent(_under(level, offsets) if few else _under(level, offsets).take(faces))
    hit = np.flatnonzero(low != high)
    first = low[hit].astype(np.int64)
    count = high[hit] - first
    ramp = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    plane = np.repeat(first, count) + ramp
    hit = np.repeat(hit, count)
    index = faces.take(hit, axis=0)
    above = (level.take(hit, axis=0) if few else level.take(index)) - offsets[plane][:, None]
    return _cuts(vertices, index, above, plane, np.broadcast_to(normal, (len(offsets), 3)))


def _under(level: FloatArray, offsets: FloatArray) -> NDArray[np.integer]:
    """How many of the ascending offsets are not above each level, in numbers as small as will do: they are quicker to
    gather.
    """
    if len(offsets) == 1:
        return (level >= offsets[0]).view(np.int8)
    return np.searchsorted(offsets, level, side="right").astype(np.int16 if len(offsets) < 2**15 else np.int64)


def cut_each(vertices: FloatArray, faces: IntArray, normals: FloatArray, through: FloatArray) -> Cuts:
    """Cut a skin with planes that each have their own (p, 3) normal and pass through their own (p, 3) point."""
    vertices, faces = compact(vertices, faces)
    x, y, z = np.ascontiguousarray(vertices.T)
    planes = list(zip(normals.tolist(), through.tolist(), strict=True))
    above = np.stack([(x - p) * a + (y - q) * b + (z - r) * c for (a, b, c), (p, q, r) in planes])
    up = np.ascontiguousarray((above >= 0).T)
    a, b, c = (up.take(corner, axis=0) for corner in faces.T)
    face, plane = divmod(np.flatnonzero((a | b | c) & ~(a & b & c)), len(planes))
    index = faces.take(face, axis=0)
    return _cuts(vertices, index, above.take(index + plane[:, None] * len(vertices)), plane, normals)


def extent(corner: NDArray[Number]) -> tuple[NDArray[Number], NDArray[Number]]:
    """Least and greatest of the three columns of (m, 3) values, row by row."""
    a, b, c = corner.T
    return np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)


@dataclass(frozen=True)
class Layers:
    """Faces sorted by their lowest corner, so that those between two levels are found at once."""

    vertices: FloatArray
    faces: IntArray
    low: FloatArray
    tallest: float

    @classmethod
    def of(cls, vertices: FloatArray, faces: IntArray) -> Layers:
        """Sort faces."""
        low, high = extent(vertices[:, 2].take(faces))
        order = np.argsort(low, kind="stable")
        return cls(vertices, faces.take(order, axis=0), low[order], float((high - low).max(initial=0.0)))

    def only(self, kept: BoolArray) -> Layers:
        """Some of the faces, by a mask."""
        some = np.flatnonzero(kept)
        return Layers(self.vertices, self.faces.take(some, axis=0), self.low[some], self.tallest)

    def below(self, level: float) -> Layers:
        """The faces that reach below a level."""
        last = int(np.searchsorted(self.low, level, side="right"))
        return Layers(self.vertices, self.faces[:last], self.low[:last], self.tallest)

    def between(self, low: float, high: float) -> IntArray:
        """Faces that may reach between two levels, and few others."""
        first, last = np.searchsorted(self.low, (low - self.tallest, high), side="right")
        return self.faces[first:last]


def _cuts(vertices: FloatArray, index: IntArray, above: FloatArray, plane: IntArray, normals: FloatArray) -> Cuts:
    """Cuts from the (k, 3) corners of crossing faces, their heights above their plane and which plane it is."""
    up = above >= 0
    after = up[:, [1, 2, 0]]
    start, start_key = _crossing(vertices, index, above, up & ~after, plane, len(normals))
    end, end_key = _crossing(vertices, index, above, ~up & after, plane, len(normals))
    follow = successors(start_key, end_key)
    label = loops_of(follow)
    used = np.zeros(2 * len(label), bool)
    used[label] = True
    number = np.cumsum(used) - 1
    return _describe(start, end, plane, number[label], follow, int(used.sum()), normals)


def _crossing(
    vertices: FloatArray, index: IntArray, above: FloatArray, which: BoolArray, plane: IntArray, planes: int
) -> tuple[FloatArray, IntArray]:
    """Where one edge of each face crosses its plane, and a key that both faces at the edge share."""
    row, side = 3 * np.arange(len(index)), which[:, 1] + 2 * which[:, 2]
    one, other = row + side, row + NEXT[side]
    a, b, low, high = index.take(one), index.take(other), above.take(one), above.take(other)
    swap = a > b
    a, b, low, high = np.where(swap, b, a), np.where(swap, a, b), np.where(swap, high, low), np.where(swap, low, high)
    point = vertices.take(a, axis=0)
    point += (low / (low - high))[:, None] * (vertices.take(b, axis=0) - point)
    return point, (a * len(vertices) + b) * planes + plane


NEXT = np.array([1, 2, 0])
"""The corner that follows each of a triangle's three."""


def successors(start_key: IntArray, end_key: IntArray) -> IntArray:
    """The segment that begins where each one ends, or itself."""
    order = np.argsort(start_key)
    place = np.minimum(np.searchsorted(start_key[order], end_key), max(len(order) - 1, 0))
    there = order[place] if len(order) else place
    return np.where(start_key[there] == end_key, there, np.arange(len(there)))


def loops_of(after: IntArray) -> IntArray:
    """One label for all segments of a loop, by doubling the stride of the walk."""
    alone = after == np.arange(len(after))
    label, leap = np.arange(len(after)), after
    for _ in range(max(len(after), 2).bit_length()):
        label = np.minimum(label, label[leap])
        leap = leap[leap]
        if np.array_equal(label, label[leap]):
            break
    ends = alone[leap]
    return np.where(ends, leap + len(after), label)


DIRECTIONS = 64


def _describe(
    start: FloatArray,
    end: FloatArray,
    plane: IntArray,
    loop: IntArray,
    after: IntArray,
    count: int,
    normals: FloatArray,
) -> Cuts:
    """Sort the segments by loop and take each loop's area, girth, middle and box."""
    order = np.argsort(loop, kind="stable")
    start, end, plane, loop = start.take(order, axis=0), end.take(order, axis=0), plane[order], loop[order]
    rank = np.zeros(len(order), dtype=np.int64)
    rank[order] = np.arange(len(order))
    after = rank[after[order]]
    at = np.searchsorted(loop, np.arange(count))
    if not count:
        none, nothing = np.zeros((0, 3)), np.zeros(0)
        return Cuts(start, end, plane, loop, after, loop, nothing, nothing, nothing, none, none, none)
    x, y, x2, y2 = _flat(start, end, plane, normals)
    area = np.add.reduceat((x * y2 - x2 * y) / 2, at)
    way = end - start
    length = np.sqrt((way * way).sum(axis=1)) + 1e-12
    around = np.add.reduceat(length, at)
    middle = np.add.reduceat(length[:, None] * (start + end) / 2, at) / around[:, None]
    angle = 2 * np.pi * np.arange(DIRECTIONS // 2) / DIRECTIONS
    girth = np.zeros(count)
    for c, s in zip(np.cos(angle), np.sin(angle), strict=True):
        reach = c * x + s * y
        girth += np.maximum.reduceat(reach, at) - np.minimum.reduceat(reach, at)
    low, high = np.minimum.reduceat(start, at), np.maximum.reduceat(start, at)
    girth *= 2 * np.pi / DIRECTIONS
    return Cuts(start, end, plane, loop, after, plane[at], area, around, girth, middle, low, high)


def _flat(
    start: FloatArray, end: FloatArray, plane: IntArray, normals: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Both ends of the segments in the frames of their planes."""
    if (normals == normals[0]).all():
        u, w = frame(normals[0])
        return start @ u, start @ w, end @ u, end @ w
    pairs = np.array([frame(normal) for normal in normals])
    u, w = pairs[:, 0].take(plane, axis=0), pairs[:, 1].take(plane, axis=0)
    return (start * u).sum(axis=1), (start * w).sum(axis=1), (end * u).sum(axis=1), (end * w).sum(axis=1)
