"""The drawn layout: true to size, every piece named within its outline, nothing beyond the sheet."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image
from robes import draft
from shapely import Polygon, box

from drafting.paper.layout import Layout, Spread
from drafting.paper.layout_drawing import layout_png, layout_sheet, layout_svg, rows_of
from drafting.paper.layout_pieces import cut_lines, lay_pattern
from drafting.pattern.alphabet import GLYPHS
from drafting.pattern.sheet import Lettering, extent

SVG = "{http://www.w3.org/2000/svg}"
PATTERN = draft()
CLOTHS = {
    "wide": Spread(1100.0),
    "folded": Spread(1100.0, folded=True, selvedge=10),
    "ribbon": Spread(180.0),
    "fat quarter": Spread(21 * 25.4, length=18 * 25.4),
}


@pytest.fixture(scope="module", params=CLOTHS)
def layout(request) -> Layout:
    return lay_pattern(PATTERN, cut_lines(PATTERN), CLOTHS[request.param])


def test_pieces_are_drawn_as_they_lie_and_at_true_size(layout):
    root = ET.fromstring(layout_svg(layout, "Robe"))
    width, height = (float(root.get(side).removesuffix("mm")) for side in ("width", "height"))
    assert [float(v) for v in root.get("viewBox").split()] == [0, 0, width, height]
    groups = {group.get("id"): group for group in root.iter(f"{SVG}g")}
    drawn = []
    for placement in layout.placements:
        polygon = next(groups[placement.piece.name].iter(f"{SVG}polygon"))
        points = np.array([[float(v) for v in pair.split(",")] for pair in polygon.get("points").split()])
        true = Polygon(placement.outline[:, ::-1] * [1, -1])  # turned a quarter, never mirrored, as seen (y upwards)
        seen = Polygon(points * [1, -1])
        moved = np.array(seen.bounds[:2]) - np.array(true.bounds[:2])
        assert np.abs(points * [1, -1] - moved - placement.outline[:, ::-1] * [1, -1]).max() < 2e-3
        assert box(0, 0, width, height).contains(Polygon(points))
        drawn.append(Polygon(points))
    assert all(a.intersection(b).area < 0.1 for i, a in enumerate(drawn) for b in drawn[:i])


def test_every_piece_is_named_inside_it(layout):
    for unit in ("mm", "in"):
        sheet = layout_sheet(layout, "Robe", unit)
        marks = [mark for group in sheet.groups for mark in group.marks]
        low, high = extent(marks)
        assert (low >= 0).all()
        assert (high <= [sheet.width, sheet.height]).all()
        for group in sheet.groups:
            words = [mark for mark in group.marks if isinstance(mark, Lettering)]
            assert {c for mark in words for c in mark.text.upper()} <= set(GLYPHS)
            if group.name not in [placement.piece.name for placement in layout.placements]:
                continue
            outline = Polygon(group.marks[0].points)
            assert words[0].text == group.name.replace(".", " ")
            assert all(outline.contains(box(*mark.extent.ravel())) for mark in words)


def test_rows_are_parted_where_no_piece_is_cut(layout):
    rows = rows_of(layout)
    spans = np.array([[p.outline[:, 1].min(), p.outline[:, 1].max()] for p in layout.placements])
    assert all(a[1] == b[0] for a, b in pairwise(rows))
    for _, end in rows[:-1]:
        assert not ((spans[:, 0] < end - 1e-6) & (spans[:, 1] > end + 1e-6)).any()
    drawn = [group.name for group in layout_sheet(layout, "Robe").groups]
    assert sorted(set(drawn) - {"title", "cloth", "cloth 1", "cloth 2", "cloth 3"}) == sorted(
        placement.piece.name for placement in layout.placements
    )


def test_the_picture_can_be_read_and_is_not_empty(layout):
    picture = Image.open(io.BytesIO(layout_png(layout, "Robe", longest_px=800)))
    assert max(picture.size) == 800
    assert 0.005 < (np.array(picture) < 128).mean() < 0.3
