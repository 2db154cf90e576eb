"""The tape: taut round a section, or laid along the skin."""

from __future__ import annotations

import numpy as np

from .body import FloatArray, IntArray
from .sections import cut, frame


def hull(points: FloatArray) -> FloatArray:
    """Corners of the convex hull of (n, 2) points, counter-clockwise (Andrew's monotone chain, 1979)."""
    points = _outermost(points)
    points = points[np.lexsort(points.T[::-1])]
    points = points[np.append(True, (points[1:] != points[:-1]).any(axis=1))[: len(points)]]
    if len(points) < 3:
        return points
    return np.array(_half(lower_side(points)) + _half(lower_side(points[::-1])))


def lower_side(points: FloatArray) -> FloatArray:
    """(n, 2) points in ascending order, or all in descending order, without most of those that lie on or to the left of
    the way from the one before to the one after: no such point is a corner of the hull's side to the right.
    """
    while len(points) > 2:
        a, b = points[1:-1] - points[:-2], points[2:] - points[:-2]
        within = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0] <= 0
        if within.sum() < 0.05 * len(points):
            return points
        points = points[np.concatenate([[True], ~within, [True]])]
    return points


def _outermost(points: FloatArray) -> FloatArray:
    """Drop points that lie inside the polygon of the extremes in 16 directions."""
    if len(points) < 64:
        return points
    angle = 2 * np.pi * np.arange(16) / 16
    corner = points[np.argmax(points @ np.stack([np.cos(angle), np.sin(angle)]), axis=0)]
    along = np.roll(corner, -1, axis=0) - corner
    corner, along = corner[(along**2).sum(axis=1) > 0], along[(along**2).sum(axis=1) > 0]
    inside, (x, y) = np.ones(len(points), bool), np.ascontiguousarray(points.T)
    for (px, py), (ax, ay) in zip(corner.tolist(), along.tolist(), strict=True):
        inside &= ax * (y - py) - ay * (x - px) > 0
    return points[~inside]


def _half(points: FloatArray) -> list[tuple[float, float]]:
    chain: list[tuple[float, float]] = []
    for x, y in points.tolist():
        while len(chain) > 1:
            (ax, ay), (bx, by) = chain[-2:]
            if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0:
                break
            chain.pop()
        chain.append((x, y))
    return chain[:-1]


def taut(points: FloatArray, normal: FloatArray) -> tuple[float, FloatArray]:
    """Length of a taut tape round the points of a section, mm, and the closed (k, 3) path it takes."""
    u, w = frame(np.asarray(normal, float))
    corner = hull(np.stack([points @ u, points @ w], axis=1))
    path = corner @ np.stack([u, w]) + (points @ normal).mean() * np.asarray(normal, float)
    path = np.vstack([path, path[:1]])
    return length(path), path


def support(points: FloatArray, normal: FloatArray) -> float:
    """Length of a taut tape round the points of a section, by Cauchy's formula in 64 directions: quick, to 0.1 %."""
    angle = np.pi * np.arange(32) / 32
    reach = points @ (np.stack([np.cos(angle), np.sin(angle)], axis=1) @ np.stack(frame(normal))).T
    return float(np.ptp(reach, axis=0).sum() * np.pi / 32)


def length(path: FloatArray) -> float:
    """Length of an open or closed path, mm."""
    return float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())


def lengths(path: FloatArray) -> FloatArray:
    """(k,) how far along a path each of its points is, mm."""
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])


def walk(path: FloatArray, at: FloatArray | float) -> FloatArray:
    """Points at distances `at` along a path."""
    along = lengths(path)
    return np.stack([np.interp(at, along, path[:, i]) for i in range(3)], axis=-1)


def nearest(points: FloatArray, point: FloatArray) -> IntArray:
    """Index of the nearest of (n, 3) points."""
    return np.asarray(((points - point) ** 2).sum(axis=1).argmin())


def foot(chain: FloatArray, point: FloatArray) -> float:
    """How far along a chain of points it comes nearest to `point`, mm; between its points, too."""
    step = np.diff(chain, axis=0)
    size = np.maximum((step**2).sum(axis=1), 1e-24)
    share = np.clip(((point - chain[:-1]) * step).sum(axis=1) / size, 0, 1)
    best = int(nearest(chain[:-1] + share[:, None] * step, point))
    return float(lengths(chain)[best] + share[best] * np.sqrt(size[best]))


def lay(chain: FloatArray, a: FloatArray, b: FloatArray, outward: FloatArray) -> FloatArray:
    """The part of a chain of skin points from near `a` to near `b` that lies farther `outward`.

    Parameters
    ----------
    chain : (k, 3) float
        Points in order; closed where the first is repeated at the end.

    Returns
    -------
    (j, 3) float
        From `a` to `b`, both included.
    """
    at, here, there = lengths(chain), foot(chain, a), foot(chain, b)
    if here > there:
        return lay(chain, b, a, outward)[::-1]
    ways = [np.vstack([a, chain[(at > here) & (at < there)], b])]
    if np.allclose(chain[0], chain[-1]):
        ways.append(np.vstack([a, chain[at < here][::-1], chain[at > there][::-1], b]))
    return max(ways, key=lambda way: float((walk(way, length(way) * np.linspace(0, 1, 21)) @ outward).mean()))


def over(vertices: FloatArray, faces: IntArray, a: FloatArray, b: FloatArray, outward: FloatArray) -> FloatArray:
    """Lay the tape flat over the skin from `a` to `b`, in the plane that also holds `outward`."""
    normal = np.cross(b - a, outward)
    normal = normal / np.linalg.norm(normal)
    cuts = cut(vertices, faces, normal, np.array([a @ normal]))
    chains = [cuts.chain(int(loop)) for loop in cuts.on(0)[:6]]
    if not chains:
        return np.vstack([a, b])

    def miss(chain: FloatArray) -> float:
        return float(sum(np.linalg.norm(chain[nearest(chain, end)] - end) for end in (a, b)))

    return lay(min(chains, key=miss), a, b, outward)
