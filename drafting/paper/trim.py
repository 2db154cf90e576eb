"""The outer boundary of a line that may cross itself."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ..pattern.curve import signed_area
from ..pattern.panel import FloatArray

SAME = 1e-7  # mm: nodes closer than this are one; far below any drawing, far above rounding
BESIDE = 1e-5  # mm to the left and right of a line, where it is asked what lies there


def outer_boundary(line: FloatArray) -> FloatArray:
    """What is left of a closed line when all that lies inside it is taken away.

    Parameters
    ----------
    line : (n, 2) float
        Closed, mm, running counter-clockwise round what counts: where its winding number is 1 or more.

    Returns
    -------
    (m, 2) float
        The largest simple loop round that area, counter-clockwise, without a repeated last point.
    """
    line = _distinct(line)
    legs = _split(line)
    if len(legs) == len(line):
        return line
    middle, way = legs.mean(axis=1), legs[:, 1] - legs[:, 0]
    left = np.column_stack([-way[:, 1], way[:, 0]]) / np.linalg.norm(way, axis=1)[:, None] * BESIDE
    rim = (winding(line, middle + left) > 0) & (winding(line, middle - left) <= 0)
    return _distinct(max(_loops(legs[rim]), key=signed_area))


def winding(line: FloatArray, points: FloatArray) -> NDArray[np.int64]:
    """(k,) int: how often a closed line runs counter-clockwise round each of (k, 2) points."""
    a, b = line, np.roll(line, -1, axis=0)
    x, y = points[:, 0, None], points[:, 1, None]
    left: FloatArray = (b[:, 0] - a[:, 0]) * (y - a[:, 1]) - (x - a[:, 0]) * (b[:, 1] - a[:, 1])
    up = (a[:, 1] <= y) & (b[:, 1] > y) & (left > 0)
    down = (a[:, 1] > y) & (b[:, 1] <= y) & (left < 0)
    return (up.astype(int) - down.astype(int)).sum(axis=1)


def _distinct(line: FloatArray) -> FloatArray:
    steps = np.linalg.norm(line - np.roll(line, 1, axis=0), axis=1)
    return line[steps > SAME]


def _split(line: FloatArray) -> FloatArray:
    """(m, 2, 2) float: the line's legs, cut wherever another one touches or crosses them."""
    a, b = line, np.roll(line, -1, axis=0)
    way = b - a
    first, second = np.triu_indices(len(line), k=1)
    low, high = np.minimum(a, b) - SAME, np.maximum(a, b) + SAME
    near = ((low[first] <= high[second]) & (low[second] <= high[first])).all(axis=1)
    first, second = first[near], second[near]
    across = way[first, 0] * way[second, 1] - way[first, 1] * way[second, 0]
    apart = a[second] - a[first]
    with np.errstate(divide="ignore", invalid="ignore"):
        on_first = (apart[:, 0] * way[second, 1] - apart[:, 1] * way[second, 0]) / across
        on_second = (apart[:, 0] * way[first, 1] - apart[:, 1] * way[first, 0]) / across
    length = np.linalg.norm(way, axis=1)
    slack_1, slack_2 = SAME / length[first], SAME / length[second]
    meet = (on_first > -slack_1) & (on_first < 1 + slack_1) & (on_second > -slack_2) & (on_second < 1 + slack_2)
    meet &= np.abs(across) > SAME * length[first] * length[second]
    cuts = [np.array([0.0, 1.0]) for _ in line]
    for leg, place in ((first[meet], on_first[meet]), (second[meet], on_second[meet])):
        for i, t in zip(leg.tolist(), place, strict=True):
            cuts[i] = np.append(cuts[i], t)
    for i, j in zip(*_lying_along(a, way, length), strict=True):  # ends that lie on another leg which runs alongside
        cuts[i] = np.append(cuts[i], j)
    return np.concatenate([_cut(a[i], way[i], length[i], places) for i, places in enumerate(cuts)])


def _lying_along(a: FloatArray, way: FloatArray, length: FloatArray) -> tuple[list[int], list[float]]:
    """Points of the line that lie on a leg, as (leg, place 0 to 1)."""
    along = ((a[None] - a[:, None]) * way[:, None]).sum(axis=2) / length[:, None] ** 2
    off = a[None] - a[:, None] - along[..., None] * way[:, None]
    on = (np.hypot(off[..., 0], off[..., 1]) < SAME) & (along > SAME) & (along < 1 - SAME)
    legs, points = np.nonzero(on)
    return legs.tolist(), along[legs, points].tolist()


def _cut(a: FloatArray, way: FloatArray, length: float, places: FloatArray) -> FloatArray:
    places = np.sort(np.clip(places, 0.0, 1.0))
    places = places[np.concatenate([[True], np.diff(places) * length > SAME])]
    places[-1] = 1.0
    ends = a + places[:, None] * way
    return np.stack([ends[:-1], ends[1:]], axis=1)


def _loops(legs: FloatArray) -> list[FloatArray]:
    """Directed legs chained into closed loops; where several go on, the one furthest to the right is taken."""
    begin, end = (_nodes(legs)[:, side].tolist() for side in (0, 1))
    angle = np.arctan2(legs[:, 1, 1] - legs[:, 0, 1], legs[:, 1, 0] - legs[:, 0, 0]).tolist()
    leaving: dict[int, list[int]] = {}
    for i, node in enumerate(begin):
        leaving.setdefault(node, []).append(i)
    loops, free = [], set(range(len(legs)))
    while free:
        i = min(free)
        chain = []
        while i in free:
            free.discard(i)
            chain.append(i)
            onward = [k for k in leaving.get(end[i], []) if k in free]
            if not onward:
                break
            i = min(onward, key=lambda k: (angle[k] - angle[chain[-1]] + math.pi) % (2 * math.pi))
        if end[chain[-1]] == begin[chain[0]]:
            loops.append(legs[chain, 0])
    return loops


def _nodes(legs: FloatArray) -> NDArray[np.int64]:
    """(m, 2) int: the number of each leg's two ends; ends in the same place have the same number."""
    grid = np.round(legs.reshape(-1, 2) / (10 * SAME)).astype(np.int64)
    return np.unique(grid, axis=0, return_inverse=True)[1].reshape(-1, 2)
