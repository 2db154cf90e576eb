"""The tape against closed forms and against independent libraries."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from bodies import anny_upright, cylinder
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull
from scipy.special import ellipe
from shapely.geometry import MultiPoint

from drafting.body.sections import cut, cut_each
from drafting.body.tape import hull, lay, length, over, taut, walk

UP = np.array([0.0, 0.0, 1.0])
points_2d = st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=4, max_size=120)


@given(points_2d)
@settings(max_examples=150, deadline=None)
def test_hull_is_the_convex_hull(points):
    points = np.array(points, float)
    ours, theirs = hull(points), MultiPoint(points).convex_hull
    closed = np.vstack([ours, ours[:1]])
    around = np.linalg.norm(np.diff(closed, axis=0), axis=1).sum()
    # Shapely measures a segment once, a tape goes there and back.
    assert around == pytest.approx(theirs.length * (2 if theirs.geom_type == "LineString" else 1), abs=1e-9)


def test_hull_of_many_points_is_scipys():
    points = np.random.default_rng(3).standard_normal((5000, 2)) * [3.0, 1.0]
    closed = np.vstack([hull(points), hull(points)[:1]])
    # In two dimensions scipy's "area" is the perimeter.
    assert np.linalg.norm(np.diff(closed, axis=0), axis=1).sum() == pytest.approx(ConvexHull(points).area, rel=1e-12)


@pytest.mark.parametrize(("wide", "deep"), [(50.0, 30.0), (30.0, 50.0), (40.0, 40.0)])
def test_taut_round_an_ellipse(wide, deep):
    vertices, faces = cylinder(1.0, 60.0, 720)
    ring = cut(vertices * [wide, deep, 1], faces, UP, np.array([20.0]))
    long, short = max(wide, deep), min(wide, deep)
    assert taut(ring.start, UP)[0] == pytest.approx(4 * long * ellipe(1 - (short / long) ** 2), rel=2e-5)
    assert ring.girth[0] == pytest.approx(4 * long * ellipe(1 - (short / long) ** 2), rel=2e-5)


def test_taut_bridges_a_hollow():
    """Steiner: a hull grown by r has the old perimeter and 2 pi r more."""
    two = np.vstack([cylinder(5.0)[0] - [12, 0, 0], cylinder(5.0)[0] + [12, 0, 0]])
    faces = np.vstack([cylinder(5.0)[1], cylinder(5.0)[1] + len(two) // 2])
    ring = cut(two, faces, UP, np.array([20.0]))
    assert taut(ring.start, UP)[0] == pytest.approx(2 * 24 + 2 * np.pi * 5.0, rel=1e-4)


def test_cuts_of_a_body_are_trimeshs():
    vertices, faces = anny_upright()
    mesh = trimesh.Trimesh(vertices, faces, process=False)
    levels = np.linspace(5.0, 270.0, 40) + 0.0123
    ours = cut(vertices, faces, UP, levels)
    lengths = np.bincount(ours.plane, np.linalg.norm(ours.end - ours.start, axis=1), len(levels))
    for level, found, plane in zip(levels, lengths, range(len(levels)), strict=True):
        theirs = mesh.section(plane_origin=[0, 0, level], plane_normal=[0, 0, 1])
        assert found == pytest.approx(theirs.length, rel=1e-9)
        assert len(ours.on(plane)) == len(theirs.discrete)
        areas = [abs(trimesh.path.polygons.Polygon(loop[:, :2]).area) for loop in theirs.discrete]
        assert np.sort(np.abs(ours.area[ours.on(plane)])) == pytest.approx(np.sort(areas), rel=1e-6)


def test_every_loop_of_a_closed_skin_is_closed_even_through_its_vertices():
    vertices, faces = anny_upright()
    levels = np.unique(vertices[::97, 2])[1:-1]
    ours = cut(vertices, faces, UP, levels)
    assert all(ours.closed(loop) for loop in range(len(ours.loop_plane)))


def test_planes_with_their_own_normals_cut_like_single_ones():
    vertices, faces = anny_upright()
    normals = np.random.default_rng(1).standard_normal((7, 3))
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    through = np.tile([0.0, 0.0, 150.0], (7, 1))
    together = cut_each(vertices, faces, normals, through)
    for plane, normal in enumerate(normals):
        alone = cut(vertices, faces, normal, np.array([through[plane] @ normal]))
        assert np.sort(together.girth[together.on(plane)]) == pytest.approx(np.sort(alone.girth), rel=1e-9)


def test_chain_walks_a_loop_in_order():
    vertices, faces = cylinder(10.0)
    chain = cut(vertices, faces, UP, np.array([20.0])).chain(0)
    assert np.allclose(chain[0], chain[-1])
    assert length(chain) == pytest.approx(2 * np.pi * 10, rel=1e-3)
    turns = np.cross(chain[1:, :2], chain[:-1, :2])
    assert (turns < 0).all(), "counter-clockwise from above"


def test_tape_over_a_ball_is_a_great_circle():
    ball = trimesh.creation.icosphere(5, 30.0)
    a, b = np.array([30.0, 0, 0]), 30 * np.array([np.cos(1.2), np.sin(1.2), 0.0])
    path = over(ball.vertices, ball.faces, a, b, a + b)
    assert length(path) == pytest.approx(30 * 1.2, rel=1e-3)
    assert np.allclose(path[[0, -1]], [a, b])


def test_tape_takes_the_outward_way_round():
    vertices, faces = cylinder(10.0)
    chain = cut(vertices, faces, UP, np.array([20.0])).chain(0)
    a, b = np.array([10.0, 0, 20.0]), np.array([0.0, 10.0, 20.0])
    assert length(lay(chain, a, b, np.array([1.0, 1.0, 0]))) == pytest.approx(np.pi / 2 * 10, rel=1e-3)
    assert length(lay(chain, a, b, np.array([-1.0, -1.0, 0]))) == pytest.approx(3 * np.pi / 2 * 10, rel=1e-3)


def test_walk_is_even():
    path = np.array([[0.0, 0, 0], [3.0, 0, 0], [3.0, 4.0, 0]])
    assert np.allclose(walk(path, np.array([0.0, 3.0, 5.0, 7.0])), [[0, 0, 0], [3, 0, 0], [3, 2, 0], [3, 4, 0]])
