"""Dolls that lack something: the analytic doll cut off at planes, or its arms grown fast to its sides."""

from __future__ import annotations

import numpy as np
from analytic_doll import ARM_LEVELS, BUST, analytic_doll

from drafting.body.body import Skin
from drafting.body.mend import directed, eased
from drafting.body.skin import clean_skin
from drafting.body.volume import Grid, closed, fill, plain, wall
from drafting.body.weld import weld

ABOVE_ALL = np.array([0.0, 0.0, 1.0])


def clipped(vertices: np.ndarray, faces: np.ndarray, value: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """What of a mesh has a value above 0, given at its vertices; the openings stay open."""
    inside = value > 0
    count = inside[faces].sum(axis=1)
    points, kept, used = [vertices], [faces[count == 3]], len(vertices)
    for lone in (1, 2):
        some = faces[count == lone]
        odd = (inside[some] == (lone == 1)).argmax(axis=1)
        a, b, c = (np.take_along_axis(some, ((odd + i) % 3)[:, None], axis=1)[:, 0] for i in range(3))
        for other in (b, c):
            low, high = np.minimum(a, other), np.maximum(a, other)  # the same from both sides of an edge
            points.append(
                vertices[low] + (value[low] / (value[low] - value[high]))[:, None] * (vertices[high] - vertices[low])
            )
        i, j = used + np.arange(len(some)), used + len(some) + np.arange(len(some))
        used += 2 * len(some)
        kept += [np.stack([a, i, j], 1)] if lone == 1 else [np.stack([i, b, c], 1), np.stack([i, c, j], 1)]
    return weld(np.concatenate(points), np.concatenate(kept))


def between(low: float, high: float, mesh: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """The part of a mesh between two levels."""
    mesh = clipped(*mesh, mesh[0][:, 2] - low)
    return clipped(*mesh, high - mesh[0][:, 2])


def without_arms(
    along: float, mesh: tuple[np.ndarray, np.ndarray], sides: tuple[int, ...] = (1, -1)
) -> tuple[np.ndarray, np.ndarray]:
    """Arms (45 degrees below level) cut off square, so many mm along from the shoulder."""
    for side in sides:
        way = np.array([side, 0.0, -1.0]) / np.sqrt(2)
        root = np.array([side * BUST[0], 0.0, sum(ARM_LEVELS) / 2])
        out, level = side * mesh[0][:, 0], mesh[0][:, 2]
        arm = (out > 45) & (level > 205) & ((out > 56) | (level > 240))  # not the hips
        mesh = clipped(*mesh, np.where(arm, along - (mesh[0] - root) @ way, 1.0))
    return mesh


def grown_fast(angle: float) -> tuple[np.ndarray, np.ndarray]:
    """The doll with arms that hang so far down that they are one with its sides: cubes of 1.5 mm, smoothed."""
    vertices, faces, _ = analytic_doll(angle)
    grid = Grid.round(vertices, 1.5, 6)
    whole = fill(vertices, faces, grid, grid.box(vertices, 2))
    solid = np.zeros(grid.shape, bool)
    solid[grid.box(vertices, 2)] = whole
    points, skin = wall(plain(closed(solid, 1.2)), grid)
    for _ in range(4):
        points = eased(points, directed(skin, len(points)), 0.5)
    return points, skin


def part_doll(name: str) -> Skin:
    """One of `PARTS`, standing on z = 0 with its openings closed."""
    vertices, faces = PARTS[name]()
    return clean_skin(vertices - vertices[:, 2].min() * ABOVE_ALL, faces)


def whole() -> tuple[np.ndarray, np.ndarray]:
    """All of the doll."""
    return analytic_doll()[:2]


PARTS = {
    "whole": whole,
    "no head": lambda: between(0, 361, whole()),
    "no neck": lambda: between(0, 350, whole()),
    "no feet": lambda: between(40, 999, whole()),
    "no hands": lambda: without_arms(105, whole()),
    "half arms": lambda: without_arms(75, whole()),
    "stumps": lambda: without_arms(20, whole()),
    "no arms": lambda: without_arms(4, whole()),
    "one arm": lambda: without_arms(4, whole(), (1,)),
    "bust with arms": lambda: between(212, 999, whole()),
    "bust with cut arms": lambda: between(245, 999, whole()),
    "torso": lambda: between(215, 361, without_arms(4, whole())),
    "dress form": lambda: between(245, 361, without_arms(4, whole())),
    "arms at 82": lambda: analytic_doll(82.0)[:2],
    "arms at 89": lambda: analytic_doll(89.0)[:2],
    "level arms": lambda: analytic_doll(0.0)[:2],
    "grown fast at 82": lambda: grown_fast(82.0),
    "grown fast at 85": lambda: grown_fast(85.0),
    "grown fast at 89": lambda: grown_fast(89.0),
}
