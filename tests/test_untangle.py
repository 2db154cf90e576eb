"""Cloth that has slipped through cloth comes apart again."""

from __future__ import annotations

import ipctk
import numpy as np
import pytest
from test_crossing import sheet

from drafting.cloth.crossing import crossing_pairs
from drafting.cloth.draped import Parting
from drafting.cloth.mesh import ClothMesh
from drafting.cloth.untangle import pulled_apart, untangled


def _crosses(vertices, faces):
    """By an independent library (ipctk), whether any side of a triangle pierces another."""
    sides = np.unique(np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1), axis=0)
    return bool(ipctk.has_intersections(ipctk.CollisionMesh(vertices, sides, faces), vertices))


def _two_sheets(lower, upper):
    vertices, faces = sheet()
    both = np.concatenate([vertices + lower, vertices + upper(vertices)])
    return both, np.concatenate([faces, faces + len(vertices)])


def _dented(depth):
    """A sheet 0.4 mm above another whose corner is pressed through it."""
    return lambda at: np.column_stack(
        [
            np.full(len(at), -1.53),
            np.full(len(at), -1.37),
            0.4 - depth * np.exp(-((at[:, :2] - 10.0) ** 2).sum(axis=1) / 8),
        ]
    )


@pytest.mark.parametrize("depth", [0.5, 0.6, 0.7])
def test_a_corner_that_went_through_a_sheet_comes_back(depth):
    vertices, faces = _two_sheets(np.zeros(3), _dented(depth))
    assert len(crossing_pairs(vertices, faces)) > 0
    free = untangled(vertices, faces)
    assert len(crossing_pairs(free, faces)) == 0
    assert not _crosses(free, faces)
    moved = np.linalg.norm(free - vertices, axis=1)
    assert moved.max() < 2.0 * depth
    # Only the cloth about the corner is touched, and the upper sheet is above again.
    assert (moved[(vertices[:, 0] < 5.0) | (vertices[:, 1] < 5.0)] == 0.0).all()


def test_cloth_that_crosses_nothing_stays_as_it_is():
    vertices, faces = _two_sheets(np.zeros(3), lambda at: np.array([0.3, 0.2, 0.01]))
    assert np.array_equal(untangled(vertices, faces), vertices)


def test_what_is_untangled_turns_with_its_frame():
    """No axis is preferred: the same in any frame, but for rounding."""
    vertices, faces = _two_sheets(np.zeros(3), _dented(0.6))
    turn = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))[0]
    shift = np.array([100.0, -40.0, 7.0])
    there = untangled(vertices @ turn.T + shift, faces)
    assert np.abs(there - (untangled(vertices, faces) @ turn.T + shift)).max() < 1e-6


def test_a_knot_that_cannot_come_loose_ends_all_the_same():
    """A sheet stuck right through another has no way that shortens the line of crossing inside it."""
    vertices, faces = sheet()
    upright = vertices[:, [0, 2, 1]] * 0.5 + np.array([2.6, 5.13, -2.57])
    both = np.concatenate([vertices, upright])
    assert np.isfinite(untangled(both, np.concatenate([faces, faces + len(vertices)]))).all()


def _cloth(vertices, faces):
    piece, flat = np.zeros(len(faces), int), vertices[faces][:, :, :2]
    return ClothMesh(vertices, faces, flat, piece, ("sheet",), ("trunk",), {}, np.zeros((0, 2), int))


def test_cloth_at_rest_is_pulled_apart_and_tells_so():
    """No side pierces a triangle any more (ipctk); the pairs and the longest way are those that were."""
    vertices, faces = _two_sheets(np.zeros(3), _dented(0.6))
    cloth, parting = pulled_apart(_cloth(vertices, faces), 2.0)
    assert not _crosses(cloth.vertices, faces)
    assert parting.pairs == len(crossing_pairs(vertices, faces))
    assert parting.farthest_mm == np.linalg.norm(cloth.vertices - vertices, axis=1).max() > 0.0


@pytest.mark.parametrize("most", [0.0, 0.1])
def test_cloth_that_would_have_to_move_far_stays(most):
    vertices, faces = _two_sheets(np.zeros(3), _dented(0.6))
    cloth, parting = pulled_apart(_cloth(vertices, faces), most)
    assert np.array_equal(cloth.vertices, vertices)
    assert parting == Parting()


def test_a_knot_stays_and_is_there_to_be_counted():
    vertices, faces = sheet()
    both = np.concatenate([vertices, vertices[:, [0, 2, 1]] * 0.5 + np.array([2.6, 5.13, -2.57])])
    faces = np.concatenate([faces, faces + len(vertices)])
    cloth, parting = pulled_apart(_cloth(both, faces), 100.0)
    assert parting == Parting()
    assert len(crossing_pairs(cloth.vertices, faces)) == len(crossing_pairs(both, faces)) > 0
