"""The scale drawing: true to size, nothing on top of anything, and the same in SVG and PNG."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from itertools import combinations

import numpy as np
import pytest
from PIL import Image
from robes import DOLL, draft
from shapely import Polygon, box

from drafting.garments import ROBE
from drafting.pattern.alphabet import GLYPHS, strokes
from drafting.pattern.drawing import pattern_png, pattern_sheet, pattern_svg
from drafting.pattern.raster import sheet_png
from drafting.pattern.sheet import Group, Lettering, Sheet, Stroke, extent, overlap, sheet_svg
from drafting.words import edge as edge_word

SVG = "{http://www.w3.org/2000/svg}"
ROBES = {
    "quarters": draft(),
    "all apart": draft({"back": "fold", "overlap_joined": False, "sleeve_corner": 15}),
    "proportions": draft({"method": "proportions"}),
    "small": ROBE.draft({name: mm * 0.65 for name, mm in DOLL.items()}, {"overlap_joined": False}),
    "large": ROBE.draft({name: mm * 1.5 for name, mm in DOLL.items()}, {}),
}
robes = pytest.mark.parametrize("name", ROBES)


def sewn_outline(group) -> np.ndarray:
    """The widest closed line of a panel's group in the file."""
    polygons = [p for p in group.iter(f"{SVG}polygon") if p.get("fill") is None]
    return np.array([[float(v) for v in pair.split(",")] for pair in polygons[0].get("points").split()])


@robes
def test_panels_are_drawn_at_true_size(name):
    pattern = ROBES[name]
    root = ET.fromstring(pattern_svg(pattern))
    width, height = (float(root.get(side).removesuffix("mm")) for side in ("width", "height"))
    assert [float(v) for v in root.get("viewBox").split()] == [0, 0, width, height]  # one unit is 1 mm
    groups = {group.get("id"): group for group in root.iter(f"{SVG}g")}
    for panel in pattern.panels:
        drawn, true = Polygon(sewn_outline(groups[panel.name])), Polygon(panel.outline)
        assert drawn.area == pytest.approx(true.area, rel=1e-4)
        assert drawn.length == pytest.approx(true.length, rel=1e-4)
        assert box(0, 0, width, height).contains(drawn)


@robes
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_nothing_lies_on_top_of_anything(name, unit):
    sheet = pattern_sheet(ROBES[name], unit)
    assert (extent(m for g in sheet.groups for m in g.marks) >= 0).all()
    assert (extent(m for g in sheet.groups for m in g.marks)[1] <= [sheet.width, sheet.height]).all()
    boxes = [box(*extent(group.marks).ravel()) for group in sheet.groups]
    assert not any(a.intersects(b) for a, b in combinations(boxes, 2))
    words = [mark for group in sheet.groups for mark in group.marks if isinstance(mark, Lettering)]
    assert [(a.text, b.text) for a, b in combinations(words, 2) if overlap(a, b)] == []


@robes
def test_every_edge_is_named_with_its_length(name):
    pattern = ROBES[name]
    groups = {group.name: group for group in pattern_sheet(pattern).groups}
    for panel in pattern.panels:
        words = {mark.text for mark in groups[panel.name].marks if isinstance(mark, Lettering)}
        for edge in panel.edges:
            shown = next(word for word in words if word.rpartition(" ")[0] == edge_word(edge.name))
            assert float(shown.split()[-1]) == pytest.approx(edge.length, abs=0.05 + 1e-9)


def test_the_picture_is_as_large_as_it_says():
    """A panel measured in the PNG's pixels, by an independent reader, has its drafted size."""
    pattern = ROBES["quarters"]
    picture = Image.open(io.BytesIO(pattern_png(pattern, longest_px=2000)))
    assert max(picture.size) == 2000
    per_mm = picture.info["dpi"][0] / 25.4
    sheet = pattern_sheet(pattern)
    assert picture.size == pytest.approx((sheet.width * per_mm, sheet.height * per_mm), abs=2)
    ink = np.array(picture) < 128
    back = next(group for group in sheet.groups if group.name == "back").marks[0]
    (left, top), (right, bottom) = back.extent * per_mm
    row = ink[round((top + bottom) / 2)]
    lines = [middle - 3 + np.flatnonzero(row[middle - 3 : middle + 4]).mean() for middle in (round(left), round(right))]
    assert (lines[1] - lines[0]) / per_mm == pytest.approx(75.0, abs=0.2)


def test_a_stroke_and_a_letter_reach_where_their_extents_say():
    marks = (
        Lettering("HI", np.array([40.0, 20.0]), 10.0, 90.0, "start"),
        Stroke(np.array([[5.0, 5.0], [15.0, 5.0], [15.0, 10.0]]), closed=True, filled=True),
    )
    sheet = Sheet(60, 30, 1.0, "probe", (Group("probe", marks),))
    ink = np.array(Image.open(io.BytesIO(sheet_png(sheet, 1200)))) < 128
    y, x = np.nonzero(ink)
    filled = x < 20 * 20
    assert (x[filled].min() / 20, x[filled].max() / 20) == pytest.approx((5, 15), abs=0.2)
    assert filled.sum() / 400 == pytest.approx(25, rel=0.05)
    (left, top), (right, bottom) = marks[0].extent
    assert left <= x[~filled].min() / 20 <= x[~filled].max() / 20 <= right
    assert top <= y[~filled].min() / 20 <= y[~filled].max() / 20 <= bottom


def test_text_is_escaped():
    marks = (Lettering("<&>", np.zeros(2), 2.0),)
    root = ET.fromstring(sheet_svg(Sheet(10, 10, 1.0, "a & b", (Group('"q"', marks),))))
    assert next(root.iter(f"{SVG}text")).text == "<&>"


def test_every_letter_of_the_drawings_can_be_drawn():
    used = {
        c
        for p in ROBES.values()
        for u in ("mm", "in")
        for g in pattern_sheet(p, u).groups
        for m in g.marks
        if isinstance(m, Lettering)
        for c in m.text.upper()
    }
    assert used <= set(GLYPHS)
    for glyph in set(GLYPHS) - {" "}:
        points = np.concatenate(strokes(glyph, 0.56))
        assert (points[:, 0] >= 0).all()
        assert (points[:, 0] <= 0.56).all()
        assert (np.abs(points[:, 1]) <= 0.5).all()
    assert len({run for glyph, run in GLYPHS.items() if glyph != "O"}) == len(GLYPHS) - 1  # O and 0 are one
