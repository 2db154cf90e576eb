"""Is the arm in its sleeve? The winding number of the sleeve's cuts round the arm's middle."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from drafting.fit.worn import fewest_turns, turns_round

AXIS = np.array([0.0, 0.0, 1.0])


def _tube(radius, height):
    """A tube open at both ends, its right side outside."""
    tube = trimesh.creation.cylinder(radius=radius, height=height, sections=64)
    wall = np.abs(tube.face_normals[:, 2]) < 0.5
    return tube.vertices, tube.faces[wall]


@pytest.fixture
def arm():
    rng = np.random.default_rng(5)
    angle, z = rng.uniform(0.0, 2.0 * np.pi, 4000), rng.uniform(-60.0, 60.0, 4000)
    return np.column_stack([4.0 * np.cos(angle), 4.0 * np.sin(angle), z])


@pytest.mark.parametrize("centre", [(0.0, 0.0, 0.0), (6.0, -5.0, 11.0)])
def test_a_tube_winds_once_round_all_that_is_in_it(centre):
    vertices, faces = _tube(10.0, 60.0)
    assert turns_round(vertices, faces, np.array(centre), AXIS) == pytest.approx(1.0)
    assert turns_round(vertices, faces[:, ::-1], np.array(centre), AXIS) == pytest.approx(-1.0)


def test_and_not_at_all_round_what_is_beside_or_beyond_it():
    vertices, faces = _tube(10.0, 60.0)
    assert turns_round(vertices, faces, np.array([14.0, 3.0, 0.0]), AXIS) == pytest.approx(0.0, abs=1e-12)
    assert turns_round(vertices, faces, np.array([0.0, 0.0, 31.0]), AXIS) == 0.0


def test_an_open_wall_counts_by_the_angle_it_is_seen_under():
    """A half of a tube is seen under half a turn from its axis."""
    vertices, faces = _tube(10.0, 60.0)
    half = faces[vertices[faces][:, :, 0].mean(axis=1) > 0.0]
    assert turns_round(vertices, half, np.zeros(3), AXIS) == pytest.approx(0.5, abs=1.0 / 64)


def test_an_arm_in_its_sleeve(arm):
    vertices, faces = _tube(10.0, 60.0)
    assert fewest_turns(vertices, faces, arm, np.unique(faces)) == pytest.approx(1.0)


@pytest.mark.parametrize("pose", [[20.0, 0.0, 0.0], [0.0, 17.0, 20.0]])
def test_an_arm_beside_its_sleeve(arm, pose):
    vertices, faces = _tube(10.0, 60.0)
    assert fewest_turns(vertices + pose, faces, arm, np.unique(faces)) == pytest.approx(0.0, abs=1e-9)


def test_an_arm_that_comes_out_through_the_wall(arm):
    """The sleeve bends away half-way, and the arm goes straight on."""
    vertices, faces = trimesh.remesh.subdivide_to_size(*_tube(10.0, 60.0), max_edge=4.0)
    bent = vertices + np.column_stack([2.0 * np.maximum(vertices[:, 2], 0.0), *np.zeros((2, len(vertices)))])
    assert fewest_turns(bent, faces, arm, np.unique(faces)) == pytest.approx(0.0, abs=1e-9)


def test_an_arm_that_ends_in_its_sleeve_is_in_it(arm):
    vertices, faces = _tube(10.0, 60.0)
    assert fewest_turns(vertices, faces, arm[arm[:, 2] < -5.0], np.unique(faces)) == pytest.approx(1.0)


@pytest.mark.parametrize("aslant", [-0.8, 0.8])
def test_a_deep_sleeve_that_hangs_past_the_ends_of_its_fold(arm, aslant):
    """Sheared along the arm, the more the lower: it winds round the arm all along its fold."""
    vertices, faces = trimesh.remesh.subdivide_to_size(*_tube(10.0, 60.0), max_edge=4.0)
    below = np.maximum(-vertices[:, 1] - 5.0, 0.0)
    deep = vertices + np.column_stack([np.zeros_like(below), -20.0 * below, 20.0 * aslant * below])
    fold = np.flatnonzero(vertices[:, 1] > 9.0)
    assert fewest_turns(deep, faces, arm, fold) > 0.75
    assert fewest_turns(deep, faces, arm, np.unique(faces)) < 0.25
