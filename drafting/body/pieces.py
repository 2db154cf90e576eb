"""Connected pieces of a scan: the doll is the largest one that is like a body."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..errors import ScanError
from .body import FloatArray, IntArray
from .graph import components
from .mend import volumes
from .weld import compact

NEAR = 0.01
"""Shells this near to each other, as a share of the whole, are one piece, such as the parts of a jointed doll."""
DUST = 0.03
"""A piece smaller than this share of the doll is a speck."""
SOLID, THIN = 0.5, 0.06
"""A body fills less than this share of its box, and is no thinner than this share of its length: a block, a board, a
ball or a pole is or does. Sample bodies: 0.12 to 0.4 and 0.14 to 0.2."""
WHOLE = 0.3
"""Another piece like a body with so much of the doll's area is a second doll, or she lies in parts."""
LOOSE, LONG = 0.04, 0.05
"""A piece left out so near to her and so long, as shares of her size, may be hers."""
ROUNDS = 3
"""Specks far away widen the whole; without them it is looked at again."""
FINEST = 64
"""A triangle is spread over so many points a side at most."""


@dataclass(frozen=True)
class Alone:
    """The doll's own triangles.

    Attributes
    ----------
    vertices : (n, 3) float
    faces : (m, 3) int
    specks : int
        Crumbs that were left out.
    others : tuple of float
        Lengths, in the scan's unit, of larger pieces that were left out.
    loose : float
        Length of the longest of them that may be hers, 0 where there is none.
    """

    vertices: FloatArray
    faces: IntArray
    specks: int = 0
    others: tuple[float, ...] = ()
    loose: float = 0.0


def the_doll(vertices: FloatArray, faces: IntArray, shell: IntArray) -> Alone:
    """The largest piece that is like a body.

    Parameters
    ----------
    shell : (m,) int
        Which connected shell each face belongs to.

    Raises
    ------
    ScanError
        A second piece is like a body, too.
    """
    specks, others, loose = 0, [], 0.0
    for _ in range(ROUNDS):
        piece = _pieces(vertices, faces, shell)
        count = int(piece.max()) + 1
        if count == 1:
            break
        boxes = [_Box.of(vertices, faces[piece == index]) for index in range(count)]
        mine = _chosen(boxes)
        doll = boxes[mine]
        for box in (box for box in boxes if box is not doll):
            if box.size < DUST * doll.size:
                specks += 1
                continue
            others.append(box.size)
            if box.bodily and box.gap(doll) < LOOSE * doll.size and box.size > LONG * doll.size:
                loose = max(loose, box.size)
        kept = piece == mine
        vertices, faces = compact(vertices, faces[kept])
        shell = np.unique(shell[kept], return_inverse=True)[1]
    return Alone(vertices, faces, specks, tuple(sorted(others)), loose)


@dataclass(frozen=True)
class _Box:
    """One piece: its extents along its own axes, longest first, the share of that box it fills, its area and bounds."""

    extents: FloatArray
    fills: float
    area: float
    low: FloatArray
    high: FloatArray

    @classmethod
    def of(cls, vertices: FloatArray, faces: IntArray) -> _Box:
        vertices, faces = compact(vertices, faces)
        off = vertices - vertices.mean(axis=0)
        extents = np.sort(np.ptp(off @ np.linalg.eigh(off.T @ off)[1], axis=0))[::-1]
        corner = vertices[faces]
        area = np.linalg.norm(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=1).sum() / 2
        volume = abs(float(volumes(vertices, faces, np.zeros(len(faces), np.int64))[0]))
        fills = volume / max(float(extents.prod()), 1e-300)
        return cls(extents, fills, float(area), vertices.min(axis=0), vertices.max(axis=0))

    @property
    def size(self) -> float:
        """Its greatest extent."""
        return float(self.extents[0])

    @property
    def bodily(self) -> bool:
        """Whether it may be a body: neither a block nor a sheet nor a rod."""
        return self.fills < SOLID and bool(self.extents[2] > THIN * self.extents[0])

    def gap(self, other: _Box) -> float:
        """How far apart the bounds of two are."""
        return float(np.linalg.norm(np.maximum(np.maximum(self.low - other.high, other.low - self.high), 0)))


def _chosen(boxes: list[_Box]) -> int:
    """The largest piece like a body; the largest of all where none is."""
    bodies = [index for index, box in enumerate(boxes) if box.bodily] or list(range(len(boxes)))
    best = max(bodies, key=lambda index: boxes[index].size)
    rivals = [index for index in bodies if index != best and boxes[index].area > WHOLE * boxes[best].area]
    if rivals and boxes[best].bodily:
        raise ScanError(
            "the scan holds two dolls or more, or one in large parts that do not touch; export one alone, or join them"
        )
    return best


def _pieces(vertices: FloatArray, faces: IntArray, shell: IntArray) -> IntArray:
    """(m,) which piece each face belongs to: shells that come near each other are one.

    Space is divided into cubes; shells in one cube or in neighbouring cubes touch.
    """
    count = int(shell.max()) + 1
    if count == 1:
        return shell
    cell = NEAR * float(np.linalg.norm(np.ptp(vertices[faces].reshape(-1, 3), axis=0)))
    points, owner = _spread(vertices, faces, shell, cell)
    place = np.floor((points - points.min(axis=0)) / cell).astype(np.int64) + 1
    wide = place.max(axis=0) + 2
    key = (place[:, 0] * wide[1] + place[:, 1]) * wide[2] + place[:, 2]
    both = np.unique(key * count + owner)
    key, owner = both // count, both % count
    cubes, cube = np.unique(key, return_inverse=True)
    links = [np.stack([owner, count + cube], axis=1)]
    for x, y, z in ((x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) > (0, 0, 0)):
        there = cubes + (x * wide[1] + y) * wide[2] + z
        found = np.minimum(np.searchsorted(cubes, there), len(cubes) - 1)
        near = np.flatnonzero(cubes[found] == there)
        links.append(count + np.stack([near, found[near]], axis=1))
    label = components(count + len(cubes), np.concatenate(links))[:count]
    return np.unique(label, return_inverse=True)[1][shell]


def _spread(vertices: FloatArray, faces: IntArray, shell: IntArray, cell: float) -> tuple[FloatArray, IntArray]:
    """Points over all faces, no farther apart than a cell, and the shell of each."""
    corner = vertices[faces]
    longest = np.linalg.norm(corner - np.roll(corner, 1, axis=1), axis=2).max(axis=1)
    points, owner = [corner[:, 0], corner[:, 1], corner[:, 2]], [shell, shell, shell]
    steps = np.minimum(np.ceil(longest / cell).astype(np.int64), FINEST)
    for step in np.unique(steps[steps > 1]):
        mine = np.flatnonzero(steps == step)
        a, b = np.divmod(np.arange((step + 1) ** 2), step + 1)
        share = np.stack([a, b, step - a - b], axis=1)[a + b <= step] / step
        points.append((share @ corner[mine]).reshape(-1, 3))
        owner.append(np.repeat(shell[mine], len(share)))
    return np.concatenate(points), np.concatenate(owner)
