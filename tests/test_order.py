"""Orders, welds and ways along a net, against numpy's own sorts and scipy's shortest paths."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import ConvexHull

from drafting.body.graph import Ways, distances
from drafting.body.order import grouped, stable_order
from drafting.body.tape import lower_side
from drafting.body.weld import ODD, weld


@pytest.mark.parametrize("most", [1, 7, 10**6, 2**62])
def test_whole_numbers_in_order_equal_ones_as_they_stood(most):
    key = np.random.default_rng(1).integers(0, most, 5000)
    assert np.array_equal(stable_order(key), np.argsort(key, kind="stable"))


def test_no_numbers_have_no_order():
    assert len(stable_order(np.zeros(0, dtype=np.int64))) == 0


def test_marks_are_grouped_where_they_first_stand():
    """Marks a whole power of two apart differ above their lowest bits."""
    mark = np.random.default_rng(2).integers(0, 300, 4000).astype(np.uint64) << np.uint64(40)
    first, which = grouped(mark)
    _, place, belongs = np.unique(mark, return_index=True, return_inverse=True)
    assert np.array_equal(first, place)
    assert np.array_equal(which, belongs)


def _soup(precision):
    """Triangles that each bring their own corners, on a lattice so that many agree."""
    corners = np.random.default_rng(3).integers(-6, 7, (900, 3)).astype(precision) / 3
    return corners, np.arange(900).reshape(-1, 3)


@pytest.mark.parametrize("precision", [np.float32, np.float64])
def test_equal_points_become_one(precision):
    points, faces = _soup(precision)
    welded, turned = weld(points, faces)
    assert len(np.unique(welded, axis=0)) == len(welded)
    before = {tuple(map(tuple, np.roll(t, -k, axis=0).tolist())) for t in points[faces].astype(float) for k in range(3)}
    assert all(tuple(map(tuple, t.tolist())) in before for t in welded[turned])
    a, b, c = turned.T
    assert ((a != b) & (b != c) & (c != a)).all()
    whole = [len({tuple(p) for p in t.tolist()}) == 3 for t in points[faces]]
    assert len(turned) == sum(whole)


def test_points_whose_marks_agree_by_chance_stay_apart(monkeypatch):
    """With no stirring every mark is the same: then each point is looked at."""
    points, faces = _soup(float)
    usual = weld(points, faces)[0]
    monkeypatch.setattr("drafting.body.weld.ODD", (ODD[0] * np.uint64(0),) * 4)
    assert len(weld(points, faces)[0]) == len(usual)


def test_a_weld_does_not_depend_on_the_order_in_the_file():
    points, faces = _soup(float)
    mixed = np.random.default_rng(4).permutation(len(points))
    place = np.argsort(mixed)
    (usual, turned), (other, again) = weld(points, faces), weld(points[mixed], place[faces[::-1]])
    assert np.array_equal(usual, other)
    assert sorted(turned.tolist()) == sorted(again.tolist())


def test_ways_along_a_net_are_the_shortest():
    rng = np.random.default_rng(5)
    points = rng.uniform(0.0, 100.0, (300, 3))
    pairs = np.unique(np.sort(rng.integers(0, 280, (700, 2)), axis=1), axis=0)  # the last nodes stand alone
    pairs = pairs[pairs[:, 0] != pairs[:, 1]]
    size = np.linalg.norm(points[pairs[:, 0]] - points[pairs[:, 1]], axis=1)
    net = coo_array((size, pairs.T), shape=(300, 300)).tocsr()
    for source in (0, 17, 299):
        expected = dijkstra(net, directed=False, indices=source)
        assert distances(Ways.of(points, pairs), source) == pytest.approx(expected, rel=1e-12)


def test_what_is_thinned_keeps_every_corner_of_its_side():
    """Sorted points, and the lower side of their hull (scipy's Qhull)."""
    points = np.random.default_rng(6).normal(size=(2000, 2))
    points = points[np.lexsort(points.T[::-1])]
    kept = {tuple(point) for point in lower_side(points).tolist()}
    hull = points[ConvexHull(points).vertices]
    first, last = (int(np.argmin(hull[:, 0])), int(np.argmax(hull[:, 0])))
    lower = np.roll(hull, -first, axis=0)[: (last - first) % len(hull) + 1]
    assert {tuple(point) for point in lower.tolist()} <= kept
    assert len(kept) < 500
