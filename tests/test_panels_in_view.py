"""Panels in the 3D view: their grain and notches are paper's, lengths overlap nothing, and a click finds its edge."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import bpy
import numpy as np
import pytest
import shapely

import addon
from addon import bridge, edges, overlay, session, sheets, table, workshop
from addon.road import pattern_of
from addon.sheet_marks import beside, joined, shapes_of
from drafting.garments import GARMENTS
from drafting.paper.allowance import allowances_of
from drafting.paper.layout_pieces import cut_lines
from drafting.paper.notches import notches_of
from drafting.pattern.partners import partner_of
from drafting.units import parse_length

pytest_plugins = ("window_fixtures",)
ROBE = GARMENTS["robe"]


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()


@pytest.fixture(scope="module")
def pattern(body):
    return pattern_of(body, ROBE, {})


# Grain and notches


def test_notches_and_grain_lie_in_the_view_as_on_paper(scene, body, pattern) -> None:
    table.lay_doll(scene, body)
    sheets.lay_panels(scene, body, pattern)
    (marks,) = [thing for thing in table.ours(scene, "panel") if thing.name == "Grain and notches"]
    corners = bridge.read_vertices(marks.data)[:, [0, 2]] / table.METRES
    triangles = shapely.polygons(corners[bridge.read_triangles(marks.data)])
    by, count = sheets.places(body, pattern), 0
    for panel in pattern.panels:
        for notch in notches_of(pattern, panel, allowances_of(pattern, panel)):
            count += 1
            tip = shapely.Point(notch.at + 0.5 * notch.depth * notch.inwards + by[panel.name])
            assert shapely.distance(triangles, tip).min() < 1e-3
    assert count > 20
    assert len(triangles) == count + 4 * len(pattern.panels)  # a line of two triangles and two heads for each grain


@pytest.mark.parametrize("letters", [0.0, 8.0])
def test_the_grain_line_runs_along_the_grain_within_the_panel_and_off_its_name(pattern, letters: float) -> None:
    for panel in pattern.panels:
        line, *_ = shapes_of(panel, pattern, 10 * letters, letters, 1.0)
        way, grain = line[1] - line[0], panel.grain[1] - panel.grain[0]
        assert abs(way[0] * grain[1] - way[1] * grain[0]) < 1e-6 * np.linalg.norm(way) * np.linalg.norm(grain)
        assert shapely.Polygon(panel.outline).buffer(1.0).contains(shapely.Polygon(line))


def test_a_line_beside_a_box_is_the_longer_part_outside() -> None:
    """Against shapely's difference, for lines in all directions."""
    rng = np.random.default_rng(3)
    for line in rng.uniform(-3.0, 3.0, (300, 2, 2)):
        rest = shapely.difference(shapely.LineString(line), shapely.box(-1.0, -0.5, 1.0, 0.5))
        parts = [part for part in getattr(rest, "geoms", [rest]) if part.length > 1e-9]
        wanted = max((part.length for part in parts), default=np.linalg.norm(line[1] - line[0]))
        found = beside(line, np.array([[-1.0, -0.5], [1.0, 0.5]]))
        assert np.linalg.norm(found[1] - found[0]) == pytest.approx(wanted)
        assert shapely.LineString(line).buffer(1e-9).contains(shapely.LineString(found))


def test_convex_shapes_become_triangles_of_the_same_area() -> None:
    shapes = [np.array([[0.0, 0], [2, 0], [2, 1], [0, 1]]), np.array([[5.0, 5], [6, 5], [5, 7]])]
    points, faces = joined(shapes)
    assert shapely.area(shapely.polygons(points[faces])).sum() == pytest.approx(2.0 + 1.0)


# Lengths


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("texts", [{}, {"sleeve_drop": "60mm"}])
def test_every_edge_has_its_length_on_no_line_and_no_other(body, unit: str, texts: dict[str, str]) -> None:
    pattern = pattern_of(body, ROBE, texts)
    made = edges.labels(body, pattern, unit)
    assert [label.place for label in made] == [(p.name, e.name) for p in pattern.panels for e in p.edges]
    boxes = [shapely.box(*label.box.ravel()) for label in made]
    assert not [(a, b) for a, b in itertools.combinations(boxes, 2) if shapely.intersection(a, b).area > 1e-9]
    by = sheets.places(body, pattern)
    cloth = [shapely.LinearRing(outline + by[name]) for name, outline in cut_lines(pattern).items()]
    assert not [box for box in boxes for line in cloth if line.intersection(box).length > 1e-9]
    step = 0.06 if unit == "mm" else 25.4 / 32  # a tenth of a millimetre is written, or a sixteenth of an inch
    for label in made:
        panel, edge = label.place
        assert parse_length(label.text, unit) == pytest.approx(pattern.panel(panel).edge(edge).length, abs=step)
        outline = edges.lines(body, pattern)[label.place]
        near = shapely.distance(shapely.LineString(outline), shapely.box(*label.box.ravel()))
        assert near < 0.15 * body.height_mm
        assert shapely.LineString(outline).distance(shapely.Point(label.foot)) < 1e-9
        if near > 0.04 * body.height_mm:
            np.testing.assert_allclose(label.leader[0], label.foot)


def test_lengths_follow_an_option_at_once(opened) -> None:
    workshop.draft(opened)
    before = {label.place: label.text for label in overlay.panel_labels(opened)}
    opened.toile.options.sleeve_drop = "61mm"
    after = {label.place: label.text for label in overlay.panel_labels(opened)}
    pattern = session.get(opened, "pattern")
    assert before != after
    assert after == {label.place: label.text for label in edges.labels(session.get(opened, "body"), pattern, "mm")}


# What is sewn to what


def test_partners_are_the_seams_both_ways(pattern) -> None:
    for seam in pattern.seams:
        assert seam.b in partner_of(pattern, *seam.a)
        assert seam.a in partner_of(pattern, *seam.b)
    sewn = {side for seam in pattern.seams for side in (seam.a, seam.b)}
    for panel in pattern.panels:
        for edge in panel.edges:
            assert bool(partner_of(pattern, panel.name, edge.name)) == ((panel.name, edge.name) in sewn)
    with pytest.raises(KeyError):
        partner_of(pattern, pattern.panels[0].name, "no such edge")


def test_the_nearest_edge_is_shapelys(body, pattern) -> None:
    drawn = edges.lines(body, pattern)
    points = np.concatenate([*drawn.values()])
    rng = np.random.default_rng(5)
    for point in rng.uniform(points.min(axis=0) - 20.0, points.max(axis=0) + 20.0, (200, 2)):
        apart = {place: shapely.LineString(line).distance(shapely.Point(point)) for place, line in drawn.items()}
        found, least = edges.nearest_edge(drawn, point, 15.0), min(apart.values())
        assert (found is None) == (least > 15.0)
        assert found is None or apart[found] == pytest.approx(least)
    assert edges.nearest_edge({}, np.zeros(2), 9.0) is None


def test_the_card_names_both_edges_with_their_lengths(pattern) -> None:
    for seam in pattern.seams:
        first, *rest = edges.told(pattern, seam.a, "mm")
        assert first.endswith(" mm")
        assert "_" not in "".join((first, *rest))
        assert len(rest) == len(partner_of(pattern, *seam.a))
        assert ("mirrored copy" in rest[0]) == (seam.a == seam.b)


def test_what_is_lit_goes_with_its_edge_and_with_the_end(opened) -> None:
    workshop.draft(opened)
    place = session.get(opened, "pattern").seams[0].a
    edges.start()
    edges.show(place)
    drawn = overlay.panel_lines(opened)
    assert edges.shown(opened) == place
    assert len(edges.lit(session.get(opened, "pattern"), place, drawn)) >= 1
    edges.show(("no such panel", "edge"))
    assert edges.shown(opened) is None
    edges.stop()
    assert not edges.going()
    assert bpy.ops.toile.show_partner() == {"CANCELLED"}  # from a script there is no mouse


def test_the_lit_tape_goes_beneath_cloth_unless_its_step_is_open(worn) -> None:
    folds = bpy.context.window_manager.toile_folds
    folds.step = "fit"
    table.show_tapes(worn, True)
    assert overlay.tapes_matter(worn)
    table.show_tapes(worn, False)
    assert not overlay.tapes_matter(worn)
    folds.step = "tape"
    assert overlay.tapes_matter(worn)
