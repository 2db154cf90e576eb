"""The skin as a net: its edges, its connected pieces, and how far the tips lie along it."""

from __future__ import annotations

import heapq
from dataclasses import dataclass

import numpy as np

from .body import FloatArray, IntArray


def edges_of(faces: IntArray, count: int, closed: bool = False) -> IntArray:
    """(e, 2) every edge once, lower vertex first; of a closed skin, where each runs both ways, without a search."""
    a, b = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    if closed:
        return np.stack([a[a < b], b[a < b]], axis=1)
    key = np.unique(np.minimum(a, b) * count + np.maximum(a, b))
    return np.stack([key // count, key % count], axis=1)


def components(count: int, pairs: IntArray) -> IntArray:
    """(count,) the lowest vertex that each vertex is joined to by `pairs` (e, 2)."""
    label = np.arange(count)
    a, b = pairs[:, 0], pairs[:, 1]
    while len(a):
        low, high = np.minimum(a, b), np.maximum(a, b)
        np.minimum.at(label, high, low)
        while not np.array_equal(label, label[label]):
            label = label[label]
        a, b = label[low], label[high]
        apart = a != b
        a, b = a[apart], b[apart]
    return label


@dataclass(frozen=True)
class Net:
    """A coarse net over a skin: vertices of one small cell that are joined by edges become one node.

    Attributes
    ----------
    points : (n, 3) float
        Nodes, mm.
    node : (v,) int
        Node of each skin vertex.
    pairs : (e, 2) int
    """

    points: FloatArray
    node: IntArray
    pairs: IntArray

    def neighbours(self) -> list[list[tuple[int, float]]]:
        """For each node its neighbours and how far they are."""
        near: list[list[tuple[int, float]]] = [[] for _ in self.points]
        length = np.linalg.norm(self.points[self.pairs[:, 0]] - self.points[self.pairs[:, 1]], axis=1)
        for (a, b), far in zip(self.pairs.tolist(), length.tolist(), strict=True):
            near[a].append((b, far))
            near[b].append((a, far))
        return near


def net_of(vertices: FloatArray, edges: IntArray, cell: float) -> Net:
    """Gather vertices into cells of `cell` mm, never across a gap in the skin."""
    place = np.floor((vertices - vertices.min(axis=0)) / cell).astype(np.int64)
    size = place.max(axis=0) + 1
    key = (place[:, 0] * size[1] + place[:, 1]) * size[2] + place[:, 2]
    within = edges[key[edges[:, 0]] == key[edges[:, 1]]]
    _, node = np.unique(components(len(vertices), within), return_inverse=True)
    weight = np.bincount(node)
    points = np.stack([np.bincount(node, vertices[:, i]) / weight for i in range(3)], axis=1)
    pairs = np.sort(node[edges], axis=1)
    pairs = pairs[pairs[:, 0] != pairs[:, 1]]
    key = np.unique(pairs[:, 0] * len(points) + pairs[:, 1])
    return Net(points, node, np.stack([key // len(points), key % len(points)], axis=1))


def strung(vertices: FloatArray, edges: IntArray, longest: float, apart: float) -> tuple[FloatArray, IntArray]:
    """Vertices and edges with further vertices strung `apart` on edges beyond `longest` mm; the first are the same.

    A coarse skin has long edges, along which a net would otherwise have gaps.
    """
    span = np.linalg.norm(vertices[edges[:, 0]] - vertices[edges[:, 1]], axis=1)
    long = np.flatnonzero(span > longest)
    many = np.ceil(span[long] / apart).astype(np.int64) - 1
    owner = np.repeat(long, many)
    rank = np.arange(many.sum()) - np.repeat(np.cumsum(many) - many, many)
    a, b = edges[owner].T
    share = (rank + 1) / (np.repeat(many, many) + 1)
    bead = len(vertices) + np.arange(len(owner))
    last = rank + 1 == np.repeat(many, many)
    links = [np.delete(edges, long, axis=0), np.stack([np.where(rank == 0, a, bead - 1), bead], axis=1)]
    links.append(np.stack([bead, b], axis=1)[last])
    return np.vstack([vertices, vertices[a] + share[:, None] * (vertices[b] - vertices[a])]), np.vstack(links)


def distances(near: list[list[tuple[int, float]]], source: int) -> FloatArray:
    """Shortest way along the net from one node to all; infinite where there is none (Dijkstra 1959)."""
    far = [np.inf] * len(near)
    far[source] = 0.0
    queue = [(0.0, source)]
    while queue:
        here, node = heapq.heappop(queue)
        if here > far[node]:
            continue
        for other, step in near[node]:
            if here + step < far[other]:
                far[other] = here + step
                heapq.heappush(queue, (here + step, other))
    return np.array(far)


def tips(near: list[list[tuple[int, float]]], far: FloatArray, least: float) -> list[tuple[int, int]]:
    """Ends of the limbs: nodes farthest out, with the node where their limb joins a longer one.

    A tip counts if its limb is at least `least` mm long. The longest comes first; it joins itself.
    """
    leader: dict[int, int] = {}
    found: list[tuple[int, int]] = []

    def root(node: int) -> int:
        while leader[node] != node:
            leader[node] = leader[leader[node]]
            node = leader[node]
        return node

    order = [int(node) for node in np.argsort(-far, kind="stable") if np.isfinite(far[node])]
    for node in order:
        leader[node] = node
        for top in {root(other) for other, _ in near[node] if other in leader} - {node}:
            mine = root(node)
            long, short = (mine, top) if far[mine] >= far[top] else (top, mine)
            if far[short] - far[node] >= least:
                found.append((short, node))
            leader[short] = long
    return [(order[0], order[0]), *found] if order else []
