"""Halving the edges of a cloth: the same cloth, in four times as many triangles."""

from __future__ import annotations

from pathlib import Path

import bpy  # noqa: F401  brings mathutils
import numpy as np
import pytest

from addon.finer import finer
from addon.mesher import smallest_angles
from addon.road import body_of, pattern_of
from addon.sewing import assemble, draped_edges
from drafting.garments import GARMENTS

ROBE = GARMENTS["robe"]


@pytest.fixture(scope="module")
def cloths():
    """A pattern, the robe in coarse cloth, the same with its edges halved, and the parents of its vertices."""
    body = body_of(Path(__file__).parent.parent / "sample_meshes" / "quarter_curvy.glb")
    pattern = pattern_of(body, ROBE, {"sleeve_corner": "12mm"})
    coarse = assemble(pattern, ROBE, 10.5)
    return pattern, coarse, *finer(pattern, coarse)


def _areas(points, faces):
    a, b = points[faces[:, 1]] - points[faces[:, 0]], points[faces[:, 2]] - points[faces[:, 0]]
    return 0.5 * (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def test_every_triangle_becomes_four_of_a_quarter_of_its_area(cloths):
    _, coarse, fine, parents = cloths
    nested = _areas(coarse.flat[parents].mean(axis=1), fine.faces)
    assert nested.reshape(-1, 4).sum(axis=1) == pytest.approx(_areas(coarse.flat, coarse.faces), rel=1e-12)
    assert nested.reshape(-1, 4) == pytest.approx(np.repeat(nested.reshape(-1, 4)[:, :1], 4, axis=1), rel=1e-9)


def test_every_square_becomes_four_squares(cloths):
    """Two triangles that share a diagonal whose ends, with the two other corners, make a rectangle."""
    _, coarse, fine, _ = cloths
    assert len(fine.squares) == 4 * len(coarse.squares)
    assert len(np.unique(fine.squares)) == fine.squares.size
    for first, second in zip(fine.faces[fine.squares[:, 0]], fine.faces[fine.squares[:, 1]], strict=True):
        shared = np.intersect1d(first, second)
        own, other = np.setdiff1d(first, second), np.setdiff1d(second, first)
        assert len(shared) == 2
        assert fine.flat[shared].mean(axis=0) == pytest.approx(fine.flat[[own[0], other[0]]].mean(axis=0), abs=2.0)


def test_new_points_on_an_outline_lie_on_the_drafted_curve(cloths):
    """The halved edge is longer than its chords, and no longer than the curve."""
    _, coarse, fine, _ = cloths
    curved = 0
    for piece in fine.pieces:
        for edge in draped_edges(piece.panel):
            walked = [
                np.linalg.norm(np.diff(cloth.flat[cloth.edges[piece.name, edge.name]], axis=0), axis=1).sum()
                for cloth in (coarse, fine)
            ]
            assert walked[0] - 1e-9 <= walked[1] <= edge.length + 1e-9
            curved += walked[1] > walked[0] + 1e-6
    assert curved > 4


def test_seams_are_paired_one_to_one_again(cloths):
    _, coarse, fine, parents = cloths
    assert fine.seams == coarse.seams
    pairs = {tuple(pair) for pair in fine.sewn.tolist()}
    assert {tuple(pair) for pair in coarse.sewn.tolist()} <= pairs
    new = np.array([pair for pair in pairs if max(pair) >= len(coarse.flat)])
    partners = {frozenset(pair) for pair in coarse.sewn.tolist()}
    for a, b in new:
        ends = [(parents[a][i], parents[b][j]) for i in (0, 1) for j in (0, 1)]
        assert sum(p == q or frozenset((int(p), int(q))) in partners for p, q in ends) >= 2


def test_angles_stay_as_good(cloths):
    _, coarse, fine, _ = cloths
    worst = [np.percentile(smallest_angles(cloth.flat, cloth.faces), 1) for cloth in (coarse, fine)]
    assert worst[1] > worst[0] - 2.0


def test_twice_halved_is_halved_again(cloths):
    pattern, coarse, fine, _ = cloths
    finest, parents = finer(pattern, fine)
    assert len(finest.faces) == 16 * len(coarse.faces)
    assert parents.max() < len(fine.flat)
    assert np.abs(finest.flat[: len(coarse.flat)] - coarse.flat).max() == 0.0
