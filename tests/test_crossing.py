"""Triangles that cut each other, against an independent library's exact test of an edge and a triangle."""

from __future__ import annotations

import ipctk
import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from drafting.cloth.crossing import crossing_pairs


def by_library(vertices, faces):
    """All pairs, each side of each triangle tried against each other triangle (ipctk)."""
    found = set()
    for i in range(len(faces)):
        for j in range(i + 1, len(faces)):
            if set(faces[i]) & set(faces[j]):
                continue
            for sides, triangle in ((faces[i], faces[j]), (faces[j], faces[i])):
                ends = [(vertices[sides[k]], vertices[sides[(k + 1) % 3]]) for k in range(3)]
                if any(ipctk.is_edge_intersecting_triangle(*end, *vertices[triangle]) for end in ends):
                    found.add((i, j))
    return found


@settings(max_examples=40)
@given(st.integers(0, 10**6), st.floats(0.2, 3.0))
def test_the_same_pairs_as_an_independent_library(seed, size):
    rng = np.random.default_rng(seed)
    middle = rng.uniform(0, 10, (40, 1, 3))
    vertices = (middle + size * rng.normal(size=(40, 3, 3))).reshape(-1, 3)
    faces = np.arange(120).reshape(-1, 3)
    assert set(map(tuple, crossing_pairs(vertices, faces).tolist())) == by_library(vertices, faces)


def sheet(side=12):
    """A square sheet of 10 mm in x and y; its triangles share vertices."""
    x, y = np.meshgrid(np.linspace(0, 10, side), np.linspace(0, 10, side))
    low = (np.arange(side - 1)[:, None] * side + np.arange(side - 1)).ravel()
    faces = np.concatenate(
        [np.stack([low, low + 1, low + side + 1], 1), np.stack([low, low + side + 1, low + side], 1)]
    )
    return np.column_stack([x.ravel(), y.ravel(), np.zeros(side * side)]), faces


def test_one_sheet_and_two_that_lie_apart_do_not_cross():
    vertices, faces = sheet()
    assert len(crossing_pairs(vertices, faces)) == 0
    two = np.concatenate([vertices, vertices + np.array([0.3, 0.2, 0.01])])
    assert len(crossing_pairs(two, np.concatenate([faces, faces + len(vertices)]))) == 0


def test_a_sheet_pushed_through_another_is_found_in_any_frame():
    vertices, faces = sheet()
    upright = vertices[:, [0, 2, 1]] + np.array([0.31, 5.13, -5.07])
    both = np.concatenate([vertices, upright])
    pairs = crossing_pairs(both, np.concatenate([faces, faces + len(vertices)]))
    assert len(pairs) > 0
    assert (pairs[:, 0] < len(faces)).all()
    assert (pairs[:, 1] >= len(faces)).all()
    turn = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))[0]
    moved = crossing_pairs(both @ turn.T + [100.0, -40.0, 7.0], np.concatenate([faces, faces + len(vertices)]))
    assert np.array_equal(pairs, moved)


def test_nothing_crosses_nothing():
    assert crossing_pairs(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)).shape == (0, 2)
