"""Allowances: against shapely's buffer, against Steiner's formula, and at the corners that a maker turns up."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from robes import draft
from shapely import MultiPoint, Point, Polygon
from shapely.affinity import affine_transform
from shapely.geometry.polygon import orient

from drafting.errors import DraftError
from drafting.paper.allowance import Allowance, allowances_of, cut_line, even
from drafting.paper.outset import LONGEST_MITRE, outset
from drafting.paper.trim import outer_boundary
from drafting.pattern.curve import arc
from drafting.pattern.panel import Panel, trace

ROBES = {
    "quarters": draft(),
    "all apart": draft({"back": "fold", "overlap_joined": False, "sleeve_corner": 15}),
    "proportions": draft({"method": "proportions"}),
    "flared": draft({"underarm_opening": 0, "overlap": 10, "sleeve_corner": 20}),
}


def panel(*points, names=None) -> Panel:
    names = names or [f"e{i}" for i in range(len(points))]
    return Panel("probe", trace(*zip(names, points, strict=True)), 1, "trunk", np.array([[0.0, 0.0], [0.0, 1.0]]))


def star(seed: int, corners: int) -> np.ndarray:
    """A star-shaped outline with inner and outer corners."""
    rng = np.random.default_rng(seed)
    angles = (np.arange(corners) + rng.uniform(0.1, 0.9, corners)) * 2 * math.pi / corners
    return rng.uniform(15, 60, corners)[:, None] * np.column_stack([np.cos(angles), np.sin(angles)])


@given(st.integers(0, 10**6), st.integers(5, 12), st.floats(1.0, 12.0))
@settings(max_examples=60, deadline=None)
def test_an_even_allowance_is_shapelys_buffer(seed, corners, mm):
    """Reference: GEOS's mitred buffer, as far as no mitre is cut off."""
    outline = star(seed, corners)
    found = Polygon(outer_boundary(outset(outline, np.full(corners, mm))))
    assert found.is_valid
    hull = Polygon(outline).buffer(mm, join_style="mitre", mitre_limit=LONGEST_MITRE)
    expected = Polygon(hull.exterior)
    assert found.buffer(1e-6).contains(Polygon(outline).buffer(mm * 0.999, quad_segs=64))
    if not _blunted(outline):
        assert found.symmetric_difference(expected).area < 1e-4


def _blunted(outline) -> bool:
    """Whether a corner is too sharp for its mitre."""
    u = np.roll(outline, -1, axis=0) - outline
    w = np.roll(u, 1, axis=0)
    turn = np.arctan2(w[:, 0] * u[:, 1] - w[:, 1] * u[:, 0], (u * w).sum(axis=1))
    return bool((1 / np.cos(np.abs(turn[turn > 0]) / 2) > LONGEST_MITRE).any())


@given(st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=4, max_size=12), st.floats(0.5, 12))
@settings(max_examples=40, deadline=None)
def test_round_corners_on_a_convex_panel_obey_steiner(points, mm):
    """Area A + L d + pi d^2 and length L + 2 pi d (Steiner's formula for convex bodies)."""
    hull = MultiPoint(points).convex_hull
    assume(hull.geom_type == "Polygon" and hull.area > 10)
    outline = np.array(orient(hull).exterior.coords)[:-1]
    assume(np.linalg.norm(outline - np.roll(outline, 1, axis=0), axis=1).min() > 1e-3)
    probe = panel(*outline)
    found = Polygon(cut_line(probe, even(probe, mm), rounded=True))
    # The polyline of an arc may leave it by 0.02 mm: so much over at most the whole circle.
    assert found.area == pytest.approx(hull.area + hull.length * mm + math.pi * mm**2, abs=0.02 * 2 * math.pi * mm)
    assert found.length == pytest.approx(hull.length + 2 * math.pi * mm, rel=0.01)


@pytest.mark.parametrize("name", ROBES)
def test_every_panel_keeps_its_sew_line_at_the_asked_distance(name):
    pattern = ROBES[name]
    for one in pattern.panels:
        allowances = allowances_of(pattern, one)
        cut = Polygon(cut_line(one, allowances))
        assert cut.is_valid
        assert cut.exterior.is_ccw
        assert cut.contains(Polygon(one.outline))
        least = min(each.mm for each in allowances.values())
        for edge in one.edges:
            middle = (edge.points[:-1] + edge.points[1:]) / 2
            apart = [cut.exterior.distance(Point(p)) for p in middle]
            assert min(apart) >= least - 1e-6
            assert min(apart) <= allowances[edge.name].mm + 1e-6
            if edge.length > 4 * allowances[edge.name].mm:
                place = edge.points[len(edge.points) // 2 - 1] * 0.5 + edge.points[len(edge.points) // 2] * 0.5
                assert cut.exterior.distance(Point(place)) == pytest.approx(allowances[edge.name].mm, abs=1e-6)


@given(st.floats(55, 125), st.floats(55, 125), st.floats(4, 12), st.floats(3, 8))
@settings(max_examples=40, deadline=None)
def test_a_hem_turned_up_lies_flush_with_what_is_above(left_deg, right_deg, hem, seam):
    """Fold the hem's allowance along the hem: it covers exactly the cut cloth above, nothing more and nothing less."""
    tall = 80.0
    lean = [tall / math.tan(math.radians(deg)) for deg in (left_deg, right_deg)]
    probe = panel((0, 0), (140, 0), (140 - lean[1], tall), (lean[0], tall), names=("hem", "side", "top", "back"))
    allowances = even(probe, seam) | {"hem": Allowance(hem, turned=True)}
    cut = Polygon(cut_line(probe, allowances))
    strip = Polygon([(-200, 0), (400, 0), (400, -50), (-200, -50)])
    turned_up = affine_transform(cut.intersection(strip), [1, 0, 0, -1, 0, 0])
    above = cut.intersection(Polygon([(-200, 0), (400, 0), (400, hem), (-200, hem)]))
    assert turned_up.symmetric_difference(above).area == pytest.approx(0, abs=1e-6)


def test_allowances_that_overlap_in_a_sharp_notch_are_trimmed():
    """A slot narrower than two allowances disappears from the cut line; a wide one stays."""
    for wide, stays in ((8.0, False), (30.0, True)):
        a = 50 - wide / 2
        probe = panel((0, 0), (100, 0), (100, 60), (100 - a, 60), (100 - a, 20), (a, 20), (a, 60), (0, 60))
        cut = Polygon(cut_line(probe, even(probe, 6.0)))
        assert cut.is_valid
        assert cut.contains(Point(50, 60)) is not stays
        expected = Polygon(Polygon(probe.outline).buffer(6, join_style="mitre").exterior)
        assert cut.symmetric_difference(expected).area < 1e-6


def test_a_tight_curve_does_not_cross_itself():
    """A neck scooped tighter than its allowance."""
    scoop = arc((50.0, 60.0), 4.0, 0, -180)
    probe = panel((0, 0), (100, 0), (100, 60), scoop, (0, 60), names=("hem", "side", "top", "neck", "left"))
    cut = Polygon(cut_line(probe, even(probe, 6.0)))
    assert cut.is_valid
    expected = Polygon(Polygon(probe.outline).buffer(6, join_style="mitre").exterior)
    assert cut.symmetric_difference(expected).area < 0.01


def test_a_slit_keeps_the_allowance_of_the_seam_it_runs_on_from():
    pattern = draft({"hem_allowance": 15, "seam_allowance": 5})
    back = allowances_of(pattern, pattern.panel("back"))
    assert {back[name].mm for name in ("armhole", "underarm", "side", "shoulder", "neck", "centre")} == {5.0}
    assert back["hem"] == Allowance(15.0, turned=True)
    front = allowances_of(pattern, pattern.panel("front"))
    assert front["overlap"] == Allowance(15.0, turned=True)
    sleeve = allowances_of(pattern, pattern.panel("sleeve"))
    assert sleeve["wrist_front"] == Allowance(5.0, turned=True)
    trimmed = draft({"trimming_allowance": 4})
    assert allowances_of(trimmed, trimmed.panel("sleeve"))["bottom_front"].mm == 10.0


def test_the_neckband_is_cut_twice_as_wide_plus_two_allowances():
    """As the option's own tip says."""
    pattern = draft({"band_width": 12, "seam_allowance": 5, "band_hem": 7})
    band = pattern.panel("neckband")
    cut = cut_line(band, allowances_of(pattern, band))
    assert np.ptp(cut, axis=0) == pytest.approx(np.ptp(band.outline, axis=0) + np.array([14, 10]))
    assert np.ptp(cut[:, 1]) == pytest.approx(2 * 12 + 2 * 5)


@pytest.mark.parametrize("wrong", [-1.0, math.nan, math.inf])
def test_an_allowance_that_is_no_length_is_refused_by_name(wrong):
    probe = panel((0, 0), (50, 0), (50, 50))
    with pytest.raises(DraftError, match="e1"):
        cut_line(probe, even(probe, 6.0) | {"e1": Allowance(wrong)})
    with pytest.raises(DraftError, match="e2"):
        cut_line(probe, {"e0": Allowance(1), "e1": Allowance(1)})


def test_without_allowance_the_cut_line_is_the_sew_line():
    probe = panel((0, 0), (50, 0), (50, 50), (20, 30))
    assert Polygon(cut_line(probe, even(probe, 0.0))).equals(Polygon(probe.outline))
