"""Flat geometry: curves keep to their circles, outlines are traced, faults are named, records read back."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon

from drafting.errors import DraftError
from drafting.pattern.check import check, crossings
from drafting.pattern.curve import arc, signed_area, stations, walk
from drafting.pattern.panel import Edge, Panel, trace
from drafting.pattern.pattern import Pattern
from drafting.pattern.record import pattern_record, read_record
from drafting.pattern.seam import Seam
from drafting.pattern.shape import draped_outline
from drafting.pattern.tolerance import TOLERANCE

GRAIN = np.array([[5.0, 2.0], [5.0, 8.0]])
SQUARE = trace(("low", [0, 0]), ("right", [10, 0]), ("high", [10, 10]), ("left", [0, 10]))


def pattern(*panels: Panel, seams: tuple[Seam, ...] = ()) -> Pattern:
    return Pattern("bag", panels, seams, (), (), {}, {})


def square(cut: int = 1, edges: tuple[Edge, ...] = SQUARE) -> Panel:
    return Panel("square", edges, cut, "trunk", GRAIN)


@given(st.floats(0.5, 500), st.floats(-360, 360), st.floats(-180, 180))
def test_an_arc_keeps_to_its_circle(radius, start, turn):
    points = arc((3.0, -2.0), radius, start, start + turn)
    assert np.linalg.norm(points - [3, -2], axis=1) == pytest.approx(np.full(len(points), radius))
    middles = (points[1:] + points[:-1]) / 2
    assert (radius - np.linalg.norm(middles - [3, -2], axis=1) <= TOLERANCE.chord_mm + 1e-9).all()
    assert stations(points)[-1] == pytest.approx(math.radians(abs(turn)) * radius, rel=0.03, abs=1e-9)


@given(st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=2, max_size=9, unique=True))
def test_walking_agrees_with_shapely(corners):
    line = LineString(corners)
    along = np.linspace(0, line.length, 23)
    expected = [line.interpolate(d).coords[0] for d in along]
    places, directions = walk(corners, along)
    assert places == pytest.approx(np.array(expected), abs=1e-9)
    assert np.linalg.norm(directions, axis=1) == pytest.approx(np.ones(23))


def test_walking_past_the_ends_goes_on_straight():
    places, _ = walk([[0, 0], [1, 0], [1, 1]], [-2.0, 5.0])
    assert places.tolist() == [[-2, 0], [1, 4]]


@given(st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=4, max_size=8, unique=True))
def test_crossings_agree_with_shapely(corners):
    polygon = Polygon(corners)
    # Where neighbours fold back onto each other shapely calls the ring invalid too, but nothing crosses.
    folded = any(_folds_back(*corners[i - 2 : i + 1]) for i in range(2, len(corners)))
    folded |= _folds_back(corners[-2], corners[-1], corners[0]) or _folds_back(corners[-1], *corners[:2])
    if not folded:
        assert (crossings(corners) == []) == polygon.is_valid


def _folds_back(a=(0, 0), b=(0, 0), c=(0, 0)):
    u, v = np.subtract(b, a), np.subtract(c, b)
    return u[0] * v[1] == u[1] * v[0] and u @ v < 0


def test_a_traced_outline_is_closed_and_drops_runs_without_length():
    edges = trace(("low", [0, 0]), ("none", [10, 0]), ("right", [10, 0]), ("back", [[10, 10], [0, 10]]))
    assert [edge.name for edge in edges] == ["low", "right", "back"]
    assert [edge.length for edge in edges] == [10, 10, 20]
    assert signed_area(square(edges=edges).outline) == 100
    assert edges[-1].points[-1].tolist() == edges[0].points[0].tolist()


def test_what_is_draped_is_the_worn_part():
    worn = trace(("a", [0, 0]), ("b", [10, 0]), ("c", [10, 5]), ("d", [0, 5]))
    assert signed_area(draped_outline(square())) == 100
    assert signed_area(draped_outline(replace(square(), worn=worn))) == 50


FAULTS = {
    "clockwise": square(edges=trace(*((e.name, e.points[-1]) for e in SQUARE[::-1]))),
    "crosses itself": square(edges=trace(("a", [0, 0]), ("b", [10, 10]), ("c", [12, 0]), ("d", [0, 9]))),
    "too short": square(edges=trace(("a", [0, 0]), ("b", [10, 0]), ("c", [10, 0.1]), ("d", [0, 9]))),
    "not a number": square(edges=trace(("a", [0, 0]), ("b", [math.nan, 0]), ("c", [10, 9]))),
    "open between": square(edges=(*SQUARE[:3], Edge("left", np.array([[0.0, 9], [0, 0]])))),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_panel_that_cannot_be_cut_is_named(fault):
    with pytest.raises(DraftError, match=rf"square.*{fault}"):
        check(pattern(FAULTS[fault]))


def test_seams_are_walked():
    wide = trace(("low", [0, 0]), ("right", [10.2, 0]), ("high", [10.2, 10]), ("left", [0, 10]))
    panels = square(), replace(square(edges=wide), name="wide")
    seam = Seam(("wide", "low"), ("square", "low"), (("one", "one"),))
    with pytest.raises(DraftError, match=r"wide's low edge is 0\.20 mm longer"):
        check(pattern(*panels, seams=(seam,)))
    assert check(pattern(*panels, seams=(replace(seam, ease_mm=0.2),)))


def test_seams_need_edges_and_pieces_that_exist():
    with pytest.raises(DraftError, match="collar edge, which does not exist"):
        check(pattern(square(), seams=(Seam(("square", "collar"), ("square", "low"), (("one", "one"),)),)))
    with pytest.raises(DraftError, match="left square, which is not cut"):
        check(pattern(square(), seams=(Seam(("square", "low"), ("square", "low"), (("left", "one"),)),)))


@pytest.mark.parametrize("damage", [{}, {"panels": 3}, {"seams": [{"a": 1}]}, {"panels": [{"name": "x"}]}])
def test_a_damaged_record_is_refused(damage):
    record = pattern_record(pattern(square())) | damage if damage else {}
    with pytest.raises(DraftError, match="not a pattern"):
        read_record(record)


def test_a_record_is_json_and_reads_back():
    seams = (Seam(("square", "low"), ("square", "high"), (("left", "right"),), ease_mm=0.0),)
    original = pattern(square(cut=2), seams=seams)
    record = json.loads(json.dumps(pattern_record(original)))
    back = read_record(record)
    assert back.seams == seams
    assert back.panel("square").outline.tolist() == original.panel("square").outline.tolist()
    assert pattern_record(back) == pattern_record(original)
