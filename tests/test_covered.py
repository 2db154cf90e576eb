"""Skin under cloth in pictures: where coarse cloth dips below it, no bare spot is seen, and nothing else moves."""

from __future__ import annotations

import bpy  # noqa: F401  mathutils comes with it
import numpy as np
import pytest
from mathutils import Vector
from mathutils.bvhtree import BVHTree

from addon.album import shown
from addon.studio.covered import drawn_in
from addon.studio.stage import Doll, Dress, View
from drafting.cloth.mesh import ClothMesh

RADIUS, TALL = 30.0, 300.0


def ring(radius: float, count: int, low: float, high: float, rows: int, turn: float = 0.0):
    """A tube's vertices and triangles, seen from outside."""
    angles = turn + 2 * np.pi * np.arange(count) / count
    z = np.linspace(low, high, rows + 1)
    points = np.array([[radius * np.cos(a), radius * np.sin(a), level] for level in z for a in angles])
    faces = []
    for row in range(rows):
        for k in range(count):
            a, b = row * count + k, row * count + (k + 1) % count
            faces += [[a, b, b + count], [a, b + count, a + count]]
    return points, np.array(faces)


def body() -> tuple[np.ndarray, np.ndarray]:
    """A round, closed post of fine triangles."""
    points, faces = ring(RADIUS, 96, 0.0, TALL, 100)
    ends = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, TALL]])
    last = len(points) - 96
    caps = [[len(points), (k + 1) % 96, k] for k in range(96)]
    caps += [[len(points) + 1, last + k, last + (k + 1) % 96] for k in range(96)]
    return np.concatenate([points, ends]), np.concatenate([faces, caps])


def cloth(radius: float, count: int = 10) -> ClothMesh:
    """A prism round the post, corners at that radius: between them it lies (1 - cos(pi / n)) r further in."""
    points, faces = ring(radius, count, 60.0, 240.0, 9, 0.1)
    return ClothMesh(points, faces, points[faces][:, :, :2], np.zeros(len(faces), int), ("front",), ("trunk",), {})


def bare(skin: np.ndarray, faces: np.ndarray, worn: ClothMesh) -> int:
    """How many of the rays that end in cloth go through skin first, and find the cloth inside the body."""
    trees = [BVHTree.FromPolygons(p.tolist(), f.tolist()) for p, f in ((skin, faces), (worn.vertices, worn.faces))]
    found = 0
    for turn in np.radians([0.0, 90.0, 180.0, 217.0]):
        way = Vector((-np.sin(turn), np.cos(turn), 0.0))
        for across in np.linspace(-28.0, 28.0, 57):
            for up in np.linspace(65.0, 235.0, 60):
                start = Vector((across * np.cos(turn), across * np.sin(turn), up)) - 200.0 * way
                first, second = (tree.ray_cast(start, way)[3] for tree in trees)
                found += first is not None and (second is None or first < second)
    return found


@pytest.mark.parametrize("radius", [30.0, 30.7, 31.2])
def test_no_ray_meets_skin_before_the_cloth_over_it(radius: float) -> None:
    skin, faces = body()
    worn = cloth(radius)
    deepest = RADIUS - radius * np.cos(np.pi / 10)
    moved = drawn_in(skin, faces, [worn])
    assert bare(skin, faces, worn) > 1000
    assert bare(moved, faces, worn) == 0
    off = np.linalg.norm(moved - skin, axis=1)
    assert deepest - 0.2 < off.max() < deepest + 1.0
    assert off[(skin[:, 2] < 50) | (skin[:, 2] > 250)].max() == 0.0, "skin that is seen stays where it is"


def test_cloth_that_stands_off_moves_nothing() -> None:
    skin, faces = body()
    assert (drawn_in(skin, faces, [cloth(33.0)]) == skin).all()


def test_a_thin_limb_is_not_drawn_in_through_its_own_middle() -> None:
    skin, faces = body()
    thin = skin * [0.05, 0.05, 1.0]
    worn = cloth(1.55)
    moved = drawn_in(thin, faces, [worn])
    side = slice(0, 96 * 101)
    assert (moved[side, :2] * thin[side, :2]).sum(axis=1).min() > 0.0


def test_no_bare_spot_is_rendered() -> None:
    """Skin is redder than blue and this cloth bluer than red: of the pixels well inside the cloth none is red."""
    skin, faces = body()
    worn = cloth(30.7)
    reds = []
    for vertices in (skin, drawn_in(skin, faces, [worn])):
        doll = Doll(vertices, faces, worn, Dress(colour=(0.2, 0.3, 0.8), seams=False))
        with shown(doll) as set_up:
            shot = set_up.shoot(View(0.0, np.array([0.0, 0.0, 150.0]), 320.0), 160, 160)
        inside = shot[50:110, 68:92, :3].astype(int)
        reds.append(int((inside[..., 0] > inside[..., 2]).sum()))
    assert reds[0] > 50
    assert reds[1] == 0
