"""The skin as a net: its edges, its connected pieces, and how far the tips lie along it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .body import FloatArray, IntArray


def edges_of(faces: IntArray, count: int, closed: bool = False) -> IntArray:
    """(e, 2) every edge once, lower vertex first; of a closed skin, where each runs both ways, without a search."""
    a, b = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    if closed:
        once = np.flatnonzero(a < b)
        return np.stack([a.take(once), b.take(once)], axis=1)
    key = np.unique(np.minimum(a, b) * count + np.maximum(a, b))
    return np.stack([key // count, key % count], axis=1)


def lengths_of(vertices: FloatArray, edges: IntArray) -> FloatArray:
    """(e,) how long edges are, mm."""
    a, b = edges.T
    x, y, z = (column.take(a) - column.take(b) for column in vertices.T)
    return np.sqrt(x * x + y * y + z * z)


def components(count: int, pairs: IntArray) -> IntArray:
    """(count,) the lowest vertex that each vertex is joined to by `pairs` (e, 2)."""
    label = np.arange(count)
    a, b = np.ascontiguousarray(pairs.T)
    while len(a):
        low, high = np.minimum(a, b), np.maximum(a, b)
        np.minimum.at(label, high, low)
        while not np.array_equal(label, deeper := label.take(label)):
            label = deeper
        a, b = label.take(low), label.take(high)
        apart = np.flatnonzero(a != b)
        a, b = a.take(apart), b.take(apart)
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

    def ways(self) -> Ways:
        """Its pairs, both ways round."""
        return Ways.of(self.points, self.pairs)


@dataclass(frozen=True)
class Ways:
    """The steps from each node of a net to its neighbours, node by node.

    Attributes
    ----------
    begin : (n + 1,) int
        Steps begin[i] to begin[i + 1] are those from node i.
    there : (2 e,) int
        Where each step leads.
    size : (2 e,) float
        How long it is, mm.
    """

    begin: IntArray
    there: IntArray
    size: FloatArray

    @classmethod
    def of(cls, points: FloatArray, pairs: IntArray) -> Ways:
        """Sort the steps of pairs (e, 2) by the node they start from."""
        size = np.linalg.norm(points[pairs[:, 0]] - points[pairs[:, 1]], axis=1)
        here = pairs.T.ravel()
        order = np.argsort(here, kind="stable")
        begin = np.searchsorted(here[order], np.arange(len(points) + 1))
        return cls(begin, pairs[:, ::-1].T.ravel()[order], np.tile(size, 2)[order])

    def onward(self, front: IntArray) -> tuple[IntArray, IntArray]:
        """All steps from some nodes: which of these each starts from, and which step it is."""
        many = self.begin[front + 1] - self.begin[front]
        first = self.begin[front] - np.cumsum(many) + many
        step = np.arange(many.sum()) + np.repeat(first, many)
        return np.repeat(np.arange(len(front)), many), step


def net_of(vertices: FloatArray, edges: IntArray, cell: float) -> Net:
    """Gather vertices into cells of `cell` mm, never across a gap in the skin."""
    place = np.floor((vertices - vertices.min(axis=0)) / cell).astype(np.int64)
    size = place.max(axis=0) + 1
    key = (place[:, 0] * size[1] + place[:, 1]) * size[2] + place[:, 2]
    a, b = edges.T
    label = components(len(vertices), edges.take(np.flatnonzero(key.take(a) == key.take(b)), axis=0))
    node = (np.cumsum(label == np.arange(len(label))) - 1).take(label)
    weight = np.bincount(node)
    points = np.stack([np.bincount(node, vertices[:, i]) / weight for i in range(3)], axis=1)
    a, b = node.take(a), node.take(b)
    across = np.flatnonzero(a != b)
    a, b = a.take(across), b.take(across)
    key = np.unique(np.minimum(a, b) * len(points) + np.maximum(a, b))
    return Net(points, node, np.stack([key // len(points), key % len(points)], axis=1))


def strung(vertices: FloatArray, edges: IntArray, longest: float, apart: float) -> tuple[FloatArray, IntArray]:
    """Vertices and edges with further vertices strung `apart` on edges beyond `longest` mm; the first are the same.

    A coarse skin has long edges, along which a net would otherwise have gaps.
    """
    span = lengths_of(vertices, edges)
    long = np.flatnonzero(span > longest)
    if not len(long):
        return vertices, edges
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


def distances(ways: Ways, source: int) -> FloatArray:
    """Shortest way along the net from one node to all; infinite where there is none (Moore 1959: all nodes that came
    nearer in one round are gone on from in the next).
    """
    far = np.full(len(ways.begin) - 1, np.inf)
    far[source], front = 0.0, np.array([source])
    while len(front):
        start, step = ways.onward(front)
        there, reach = ways.there[step], far[front][start] + ways.size[step]
        nearer = reach < far[there]
        np.minimum.at(far, there[nearer], reach[nearer])
        met = np.zeros(len(far), bool)
        met[there[nearer]] = True
        front = np.flatnonzero(met)
    return far


def tips(ways: Ways, far: FloatArray, least: float) -> list[tuple[int, int]]:
    """Ends of the limbs: nodes farthest out, with the node where their limb joins a longer one.

    A tip counts if its limb is at least `least` mm long. The longest comes first; it joins itself.
    """
    order = np.argsort(-far, kind="stable")
    order = order[np.isfinite(far[order])]
    if not len(order):
        return []
    rank = np.full(len(far), len(far))
    rank[order] = np.arange(len(order))
    peak, low, high = _slopes(ways, rank)
    leader = {int(node): int(node) for node in np.unique(peak[order])}

    def root(node: int) -> int:
        while leader[node] != node:
            leader[node] = leader[leader[node]]
            node = leader[node]
        return node

    found: list[tuple[int, int]] = []
    for node, one, other in zip(low.tolist(), peak[low].tolist(), peak[high].tolist(), strict=True):
        long, short = sorted((root(one), root(other)), key=lambda each: int(rank[each]))
        if long != short and far[short] - far[node] >= least:
            found.append((short, node))
        leader[short] = long
    return [(int(order[0]), int(order[0])), *found]


def _slopes(ways: Ways, rank: IntArray) -> tuple[IntArray, IntArray, IntArray]:
    """The peak that each node's steepest way leads to, by the nodes' `rank` from the farthest out; and the steps down
    from one peak's slope to another's: lower and higher node, those first whose lower node is the farther out.
    """
    here = np.repeat(np.arange(len(rank)), np.diff(ways.begin))
    best = rank.copy()
    np.minimum.at(best, here, rank[ways.there])
    node = np.argsort(rank, kind="stable")
    peak = np.where(best < rank, node[np.minimum(best, len(rank) - 1)], np.arange(len(rank)))
    while not np.array_equal(peak, peak[peak]):
        peak = peak[peak]
    down = np.flatnonzero((rank[ways.there] < rank[here]) & (peak[ways.there] != peak[here]))
    down = down[np.argsort(rank[here[down]], kind="stable")]
    return peak, here[down], ways.there[down]
