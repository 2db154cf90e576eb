"""Mending triangles shell by shell: doubled faces, turned normals, holes and specks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .body import FloatArray, IntArray
from .graph import components, edges_of
from .sections import loops_of, successors
from .weld import weld

TWO_SIDED = 0.45
"""Share of triangles that are another one's back in a two-sided export: half of them, but for a few."""


@dataclass(frozen=True)
class Mesh:
    """Triangles, with a mask of those that a mend has put in."""

    vertices: FloatArray
    faces: IntArray
    patched: IntArray

    @classmethod
    def of(cls, vertices: FloatArray, faces: IntArray) -> Mesh:
        """A mesh without patches."""
        return cls(vertices, faces, np.zeros(len(faces), bool))


def undoubled(faces: IntArray) -> IntArray:
    """Faces without those that have the same three corners as an earlier one."""
    low, middle, high = np.sort(faces, axis=1).T
    _, pair = np.unique(low * (faces.max() + 1) + middle, return_inverse=True)
    _, first = np.unique(pair * (faces.max() + 1) + high, return_index=True)
    return faces[np.sort(first)]


def one_sided(faces: IntArray) -> IntArray:
    """Faces without the reversed copy of each, where a scan was exported with two sides: nearly half of them are
    another one's back. Fewer are folds, which `unfolded` takes away.
    """
    single = undoubled(faces)
    return single if len(faces) - len(single) > TWO_SIDED * len(faces) else faces


def shells(vertices: FloatArray, faces: IntArray, closed: bool = False) -> IntArray:
    """(m,) which connected shell each face belongs to, numbered from 0."""
    label = components(len(vertices), edges_of(faces, len(vertices), closed))
    label = label.take(faces[:, 0])
    used = np.zeros(len(vertices), bool)
    used[label] = True
    return (np.cumsum(used) - 1).take(label)


def is_closed(faces: IntArray, count: int) -> bool:
    """Whether every edge lies between exactly two faces that run along it in opposite ways."""
    if len(faces) % 2:
        return False
    forth, back = [], []
    x, y, z = np.ascontiguousarray(faces.T)
    for a, b in ((x, y), (y, z), (z, x)):
        up = a < b
        forth.append((a * count + b)[up])
        back.append((b * count + a)[~up])
    if sum(map(len, forth)) != sum(map(len, back)):
        return False
    # Faces as `weld` leaves them are nearly in order by their first edge, which this kind of sort makes use of.
    one, other = (np.sort(np.concatenate(each), kind="stable") for each in (forth, back))
    return bool(np.array_equal(one, other) and (one[1:] != one[:-1]).all())


def unfolded(faces: IntArray) -> IntArray:
    """Faces without pairs that lie back to back on the same three corners, as where a mesh that was made coarser folded
    onto itself: they enclose nothing, and at their edges four faces would meet.
    """
    a, b, c = faces.T
    low, high = np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)
    middle, count = a + b + c - low - high, int(faces.max()) + 1
    pair = low * count + middle
    # Where the numbers are too large for this product it is still the same for the same corners.
    mark = pair * count + high
    order = np.sort(mark)
    twice = order[1:][order[1:] == order[:-1]]
    if not len(twice):
        return faces
    some = np.flatnonzero(twice[np.minimum(np.searchsorted(twice, mark), len(twice) - 1)] == mark)
    order = some[np.lexsort((high[some], pair[some]))]
    same = (np.diff(pair[order]) == 0) & (np.diff(high[order]) == 0)
    first = np.flatnonzero(same & ~np.append(False, same[:-1]) & ~np.append(same[1:], False))
    one, two = order[first], order[first + 1]
    turn = faces[one] - np.roll(faces[one], -1, axis=1), faces[two] - np.roll(faces[two], -1, axis=1)
    back = np.sign(turn[0]).sum(axis=1) != np.sign(turn[1]).sum(axis=1)
    kept = np.ones(len(faces), bool)
    kept[one[back]] = kept[two[back]] = False
    return faces[kept]


def volumes(vertices: FloatArray, faces: IntArray, shell: IntArray) -> FloatArray:
    """Signed volume of each shell, mm3; negative where it is inside out."""
    x, y, z = (column.take(faces).T for column in (vertices - vertices.mean(axis=0)).T)
    six = x[0] * (y[1] * z[2] - z[1] * y[2]) + y[0] * (z[1] * x[2] - x[1] * z[2]) + z[0] * (x[1] * y[2] - y[1] * x[2])
    return np.asarray(np.bincount(shell, six / 6), dtype=np.float64)


def oriented(vertices: FloatArray, faces: IntArray) -> tuple[IntArray, int]:
    """Faces all counter-clockwise seen from outside their own shell, and how many were turned.

    Every face stands in a graph twice, as it is and turned over; neighbours that agree join like with like, others
    join crosswise. Each shell falls into two mirrored pieces: one is consistent, and its volume says which way round.
    """
    count = len(faces)
    a, b = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    owner = np.repeat(np.arange(count), 3)
    order = np.argsort(np.minimum(a, b) * len(vertices) + np.maximum(a, b), kind="stable")
    a, b, owner = a[order], b[order], owner[order]
    same = (np.minimum(a, b)[1:] == np.minimum(a, b)[:-1]) & (np.maximum(a, b)[1:] == np.maximum(a, b)[:-1])
    # Where more than two faces meet at an edge, nothing says who follows whom.
    crowd = np.zeros(len(a), bool)
    crowd[1:-1] = same[1:] & same[:-1]
    pair = np.flatnonzero(same & ~crowd[1:] & ~crowd[:-1])
    agree = a[pair] != a[pair + 1]
    one, two = owner[pair], owner[pair + 1]
    cross = np.where(agree, 0, count)
    links = np.concatenate([np.stack([one, two + cross], 1), np.stack([one + count, two + count - cross], 1)])
    label = components(2 * count, links)
    turned = label[:count] > label[count:]
    faces = np.where(turned[:, None], faces[:, ::-1], faces)
    piece = np.unique(np.minimum(label[:count], label[count:]), return_inverse=True)[1]
    outside_in = volumes(vertices, faces, piece)[piece] < 0
    return np.where(outside_in[:, None], faces[:, ::-1], faces), int((turned ^ outside_in).sum())


def filled(mesh: Mesh) -> tuple[Mesh, list[float]]:
    """Close every hole by a fan about its middle; also gives how wide each one was, mm."""
    faces, count = mesh.faces, len(mesh.vertices)
    a, b = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    open_edge = ~np.isin(a * count + b, b * count + a)
    start, end = b[open_edge], a[open_edge]
    if not len(start):
        return mesh, []
    loop = np.unique(loops_of(successors(start, end)), return_inverse=True)[1]
    total = np.bincount(loop)
    middle = np.stack([np.bincount(loop, mesh.vertices[start, i]) / total for i in range(3)], axis=1)
    away = np.linalg.norm(mesh.vertices[start] - middle[loop], axis=1)
    wide = 2 * np.bincount(loop, away) / total
    fan = np.stack([start, end, count + loop], axis=1)
    patched = np.concatenate([mesh.patched, np.ones(len(fan), bool)])
    return Mesh(np.vstack([mesh.vertices, middle]), np.vstack([faces, fan]), patched), sorted(wide.tolist())


def directed(faces: IntArray, count: int) -> tuple[IntArray, IntArray]:
    """Both ends of every edge in both directions."""
    pairs = edges_of(faces, count)
    return np.concatenate([pairs[:, 0], pairs[:, 1]]), np.concatenate([pairs[:, 1], pairs[:, 0]])


def eased(vertices: FloatArray, ends: tuple[IntArray, IntArray], share: float) -> FloatArray:
    """Every vertex moved by a share of the way to the mean of its neighbours."""
    here, there = ends
    degree = np.maximum(np.bincount(here, minlength=len(vertices)), 1)
    mean = np.stack([np.bincount(here, vertices[there, i], len(vertices)) / degree for i in range(3)], axis=1)
    return vertices + share * (mean - vertices)


def vertex_normals(vertices: FloatArray, faces: IntArray) -> FloatArray:
    """(n, 3) unit normals, each the mean of its faces' by area."""
    corner = vertices[faces]
    face = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    return _unit(_gathered(face, faces, len(vertices)))


def _gathered(face: FloatArray, faces: IntArray, count: int) -> FloatArray:
    """Sum at each vertex of what its faces hold."""
    each = [sum(np.bincount(corner, face[:, axis], count) for corner in faces.T) for axis in range(3)]
    return np.stack(each, axis=1)


def _unit(way: FloatArray) -> FloatArray:
    return way / np.maximum(np.linalg.norm(way, axis=1), 1e-12)[:, None]


def above(vertices: FloatArray, faces: IntArray, level: float) -> tuple[FloatArray, IntArray]:
    """What of a mesh lies above a level; triangles across it are cut, and the opening stays open."""
    high = vertices[:, 2] >= level
    count = high[faces].sum(axis=1)
    kept = [faces[count == 3]]
    points, cut_at = [vertices], len(vertices)
    for lone in (1, 2):
        some = faces[count == lone]
        if not len(some):
            continue
        odd = (high[some] == (lone == 1)).argmax(axis=1)
        row = np.arange(len(some))
        a, b, c = some[row, odd], some[row, (odd + 1) % 3], some[row, (odd + 2) % 3]
        ab, ac = (_crossing(vertices, a, other, level) for other in (b, c))
        i, j = cut_at + row, cut_at + len(some) + row
        points += [ab, ac]
        cut_at += 2 * len(some)
        if lone == 1:
            kept.append(np.stack([a, i, j], axis=1))
        else:
            kept += [np.stack([i, b, c], axis=1), np.stack([i, c, j], axis=1)]
    return weld(np.concatenate(points), np.concatenate(kept))


def _crossing(vertices: FloatArray, a: IntArray, b: IntArray, level: float) -> FloatArray:
    """Where edges cross a level, the same from both sides."""
    a, b = np.minimum(a, b), np.maximum(a, b)
    share = (level - vertices[a, 2]) / (vertices[b, 2] - vertices[a, 2])
    return vertices[a] + share[:, None] * (vertices[b] - vertices[a])
