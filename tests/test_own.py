"""Panels drawn by hand: read as they are, and refused with the panel's name and place."""

from __future__ import annotations

import json

import numpy as np
import pytest
from drawings import A4, pattern_drawing, svg, write
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from robes import draft
from shapely import Polygon

from drafting.errors import DraftError
from drafting.paper.layout import Spread
from drafting.paper.layout_pieces import cut_lines, lay_pattern
from drafting.paper.own import read_drawing
from drafting.paper.own_write import plan_toml
from drafting.paper.svg import pattern_svg
from drafting.paper.template import Size
from drafting.pattern.drawing import pattern_png
from drafting.pattern.record import pattern_record, read_record

# An A-line skirt half, drawn in three ways: 50 wide above, 80 below, 100 long; its lower left corner at (20, 150).
POINTS = "20,50 70,50 100,150 20,150"
SKIRTS = {
    "labelled path": '<path id="skirt" d="M 20 50 H 70 L 100 150 H 20 Z"/>',
    "relative path": '<path id="skirt" d="m20 50h50l30 100h-80z"/>',
    "polygon": f'<polygon id="skirt" points="{POINTS}"/>',
    "clockwise or not": '<polygon id="skirt" points="20,150 100,150 70,50 20,50"/>',
    "closed by its last point": '<polyline id="skirt" points="20,50 70,50 100,150 20,150 20,50"/>',
    "group": '<g id="skirt"><path d="M20 50H70L100 150H20Z"/><circle cx="40" cy="90" r="2"/></g>',
    "words inside": f'<g id="layer1"><polygon id="polygon12" points="{POINTS}"/><text x="30" y="90">skirt</text></g>',
    "label": f'<polygon id="path5" xmlns:p="urn:program" p:label="skirt" points="{POINTS}"/>',
    "data name": f'<polygon id="p" data-name="skirt" points="{POINTS}"/>',
    "escaped id": f'<polygon id="_x73_kirt" points="{POINTS}"/>',
    "title": f'<polygon points="{POINTS}"><title>skirt</title></polygon>',
    "moved": '<g transform="translate(20 50)"><path id="skirt" d="M0 0H50L80 100H0Z"/></g>',
    "turned and scaled": '<path id="skirt" transform="translate(20,50) rotate(90) scale(2)" d="M0 0V-25L50-40V0Z"/>',
    "matrix": '<path id="skirt" transform="matrix(2 0 0 2 20 50)" d="M0 0H25L40 50H0Z"/>',
    "used": '<defs><path id="a" d="M0 0H50L80 100H0Z"/></defs><use id="skirt" xlink:href="#a" x="20" y="50"/>',
    "four lines": '<g id="skirt"><path d="M20 50H70"/><path d="M100 150L70 50"/><path d="M100.02 150H20"/>'
    '<path d="M20 50V150"/></g>',
    "frame round it": f'<rect width="210" height="297"/><polygon id="skirt" points="{POINTS}"/>',
    "hidden notes": f'<polygon id="skirt" points="{POINTS}"/><g style="display:none"><path d="M0 0H5"/></g>',
}
# The sizes of the same drawing, 1 unit = 1 mm.
SIZES = {
    "mm": A4,
    "cm": 'width="21cm" height="29.7cm" viewBox="0 0 210 297"',
    "in": f'width="{210 / 25.4}in" height="{297 / 25.4}in" viewBox="0 0 210 297"',
    "points": f'width="{210 / 25.4 * 72}pt" height="{297 / 25.4 * 72}pt" viewBox="0 0 210 297"',
    "broad page": 'width="500mm" height="297mm" viewBox="0 0 210 297"',
    "shifted": 'width="210mm" height="297mm" viewBox="-5 -7 210 297"',
}
MORE = {"front": "10,10 60,10 60,110 10,110", "back": "80,10 130,10 130,110 80,110"}
TWO = "".join(f'<polygon id="{name}" points="{points}"/>' for name, points in MORE.items())


@pytest.mark.parametrize("way", SKIRTS)
def test_every_way_of_drawing_gives_the_same_panel(way, tmp_path):
    (panel,) = read_drawing(write(tmp_path, SKIRTS[way])).panels
    assert panel.name == "skirt"
    assert [edge.name for edge in panel.edges] == ["1", "2", "3", "4"]
    # Counter-clockwise from the lower left corner; the frame begins at the upper left one.
    assert np.array([edge.points[0] for edge in panel.edges]) == pytest.approx(
        np.array([[0, -100], [80, -100], [50, 0], [0, 0]]), abs=0.021
    )
    assert [edge.length for edge in panel.edges] == pytest.approx([80, np.hypot(30, 100), 50, 100], abs=0.05)
    assert panel.cut == 1
    assert panel.grain[1, 0] == pytest.approx(panel.grain[0, 0])
    assert panel.grain[1, 1] > panel.grain[0, 1]


@pytest.mark.parametrize("size", SIZES)
def test_units_of_the_page(size, tmp_path):
    (panel,) = read_drawing(write(tmp_path, SKIRTS["polygon"], size=SIZES[size])).panels
    assert Polygon(panel.outline).area == pytest.approx(6500, rel=1e-9)


@pytest.mark.parametrize(
    ("square", "mm_per_unit"),
    [
        ('<rect id="_x35_0mm" x="150" y="200" width="25" height="25"/>', 2.0),
        ('<g id="50mm"><path d="M150 200h25v25h-25z"/></g>', 2.0),
        ('<rect data-name="test square 2in" x="150" y="200" width="50.8" height="50.8"/>', 1.0),
    ],
)
@pytest.mark.parametrize(
    "size", ['width="800" height="1000"', 'width="800px" height="1000px" viewBox="0 0 400 500"', ""]
)
def test_a_drawn_test_square_gives_the_scale(square, mm_per_unit, size, tmp_path):
    (panel,) = read_drawing(write(tmp_path, SKIRTS["polygon"] + square, size=size)).panels
    assert Polygon(panel.outline).area == pytest.approx(6500 * mm_per_unit**2, rel=1e-9)


def test_curves_keep_their_area(tmp_path):
    shapes = (
        '<circle id="disc" cx="30" cy="30" r="25"/><ellipse id="egg" cx="100" cy="30" rx="30" ry="20"/>'
        '<rect id="bib" x="10" y="80" width="60" height="40" rx="10"/>'
        '<path id="moon" d="M 100 80 A 30 30 0 0 1 100 140 A 60 60 0 0 0 100 80 Z"/>'
    )
    panels = {panel.name: panel for panel in read_drawing(write(tmp_path, shapes)).panels}
    areas = {name: Polygon(panel.outline).area for name, panel in panels.items()}
    assert areas["disc"] == pytest.approx(np.pi * 625, rel=2e-3)
    assert areas["egg"] == pytest.approx(np.pi * 600, rel=2e-3)
    assert areas["bib"] == pytest.approx(2400 - (4 - np.pi) * 100, rel=2e-3)
    # Half a disc less the segment that the wider circle cuts off.
    segment = 3600 * (np.pi / 6 - np.sqrt(3) / 4)
    assert areas["moon"] == pytest.approx(np.pi * 450 - segment, rel=2e-3)
    assert len(panels["disc"].edges) == 1
    assert len(panels["moon"].edges) == 2


def test_words_in_the_drawing_tell_how_it_is_sewn(tmp_path):
    words = (
        '<text x="30" y="40">cut 2</text><text x="56" y="60">edge side</text><text x="126" y="60">edge side</text>'
        '<text><tspan x="90" y="40">cut 2 (1 mirrored)</tspan><tspan x="10" y="200">sew front.side to back.side</tspan>'
        "</text><text x='10' y='210'>sew back.4 to back.4</text><text x='10' y='220'>anything else</text>"
    )
    pattern = read_drawing(write(tmp_path, TWO + words))
    assert [panel.cut for panel in pattern.panels] == [2, 2]
    side, centre = pattern.seams
    assert (side.a, side.b) == (("front", "side"), ("back", "side"))
    assert side.pairs == (("left", "left"), ("right", "right"))
    assert side.turned is False  # both run upwards
    assert (centre.pairs, centre.turned) == ((("left", "right"),), False)
    assert pattern.panel("front").edge("side").points == pytest.approx(np.array([[50, -100], [50, 0]]))


def test_the_plan_beside_the_drawing(tmp_path):
    plan = """
        garment = "vest"
        [panels.front]
        cut = 2
        grain = "across"
        order = 2
        edges = ["hem", "slit 20mm", "side", "shoulder 1in", "neck", "centre"]
        [panels.back]
        edges = ["hem", "side", "side", "top"]
        order = 1
        role = "sleeve"
        [[seams]]
        sew = ["front.left.side", "back.top"]
        ease = "30mm"
        swap = true
        """
    points = "80,10 130,10 130,110 80,110"
    notched = TWO.replace(points, "80,10 130,10 130,60 150,80 80,110").replace("150,80 80,110", "140,85 90,110 80,110")
    with pytest.raises(DraftError, match=r"The back's list of 4 edges does not go round it once: it has 6 sides"):
        read_drawing(write(tmp_path, notched, plan))
    pattern = read_drawing(write(tmp_path, TWO, plan.replace('"side", "side", "top"', '"side", "top", "turn"')))
    front, back = pattern.panel("front"), pattern.panel("back")
    assert pattern.garment == "vest"
    assert [panel.name for panel in pattern.panels] == ["back", "front"]
    assert {edge.name: round(edge.length, 4) for edge in front.edges} == {
        "hem": 50, "slit": 20, "side": 80, "shoulder": 25.4, "neck": 24.6, "centre": 100,
    }  # fmt: skip
    assert np.diff(front.grain, axis=0).ravel() == pytest.approx([25, 0])
    assert back.role == "sleeve"
    (seam,) = pattern.seams
    assert (seam.pairs, seam.ease_mm) == ((("left", "one"),), 30)


def test_a_name_twice_in_a_row_joins_two_sides(tmp_path):
    plan = '[panels.skirt]\nedges = ["hem", "side", "side", "centre"]'
    (panel,) = read_drawing(write(tmp_path, SKIRTS["polygon"], plan)).panels
    assert [edge.name for edge in panel.edges] == ["hem", "side", "centre"]
    assert panel.edge("side").length == pytest.approx(np.hypot(30, 100) + 50)


def test_lines_drawn_apart_are_named_sides_and_a_drawn_grain_counts(tmp_path):
    lines = (
        '<g id="skirt"><path id="waist" d="M20 50C30 60 60 60 70 50"/><path id="side" d="M70 50L90 90L100 150"/>'
        '<path id="hem" d="M20 150H100"/><path d="M20 50V150"/><path id="grain-1" d="M40 60L60 140"/></g>'
    )
    (panel,) = read_drawing(write(tmp_path, lines)).panels
    assert [edge.name for edge in panel.edges] == ["hem", "side", "waist", "4"]
    assert np.diff(panel.grain, axis=0).ravel() == pytest.approx([-20, 80])


REFUSED = {
    "open": (
        '<path id="front" d="M10 10H60V110H10V12"/>',
        r"The front is open: it begins at \(10.0, 10.0\) mm .* 2.00 mm",
    ),
    "open, named within": (
        '<path d="M10 10H60V110H10V12"/><text x="20" y="40">bodice</text>'
        + SKIRTS["moved"].replace("20 50", "100 100"),
        "The bodice is open",
    ),
    "crossing": ('<path id="front" d="M10 10L60 110H10L60 10Z"/>', r"The front's outline crosses itself near \("),
    "no scale": ("SIZE", "does not say how large it is. Set the page's width in mm"),
    "nameless": (f'<polygon points="{POINTS}"/>', r"The outline at \(60.0, 100.0\) mm .* has no name"),
    "twice": (TWO.replace("back", "front"), r"Two outlines are called front: at \(35.0, 60.0\)"),
    "nothing": ("<text x='3' y='3'>hello</text>", "holds no closed outline"),
    "uneven": (
        TWO.replace("130,110 80,110", "130,112 80,112") + "<text x='9' y='200'>sew front.2 to back.2</text>",
        r"front.2 at \(60.0, 60.0\) mm .* is 100.00 mm long, and back.2 at \(130.0, 61.0\) .* 102.00 mm: .*by -2.00",
    ),
    "no such edge": (TWO + "<text>sew front.hem to back.1</text>", "the front has the edges 1, 2, 3, 4"),
    "no such panel": (TWO + "<text>sew apron.1 to back.1</text>", "drawn are the panels front, back"),
    "vague": (
        TWO + "<text x='20' y='50'>cut 2</text><text>sew front.2 to back.2</text>",
        "write front.left.2 or front.right.2",
    ),
    "not understood": (TWO + "<text>sew front.2 and back.2</text>", "is not understood. Write it like"),
    "cut never": (TWO + "<text x='20' y='50'>cut 0</text>", r"The front at \(35.0, 60.0\) .* cut 0 times"),
    "spoilt path": ('<path id="front" d="M10 10 L 20 x"/>', 'In drawing.svg, front: a path cannot be read at " x"'),
    "spoilt number": ('<rect id="front" width="wide" height="5"/>', 'its width is "wide", which is no length'),
    "contradiction": (
        TWO + '<rect id="test 50mm" x="150" y="10" width="40" height="40"/>',
        "by its page the test square of 50 mm is 40.00 mm",
    ),
    "no square": (TWO + '<rect id="test 50mm" x="150" y="10" width="50" height="40"/>', "make it a square"),
    "boundless": ('<g transform="scale(1e999)"><path id="front" d="M1 1H9V9Z"/></g>', "a scale without bounds"),
    "boundless point": (
        '<polygon id="front" points="1,1 9,1e999 9,9"/>',
        "front: one of its points lies infinitely far",
    ),
    "boundless length": ('<rect id="front" width="1e999" height="5"/>', 'its width is "1e999", which is no length'),
    "flat": ('<path id="front" transform="scale(1 0)" d="M10 10H60V110Z"/>', "The front"),
    "a point": ('<path id="front" d="M10 10h1e-5v1e-5z"/>', "holds no closed outline"),
    "only a cut line": (
        f'<g id="cut line"><polygon id="front" points="{POINTS}"/></g>',
        "a cut line without a sew line",
    ),
    "two sizes": (
        f'<g id="front"><g id="sew line S"><polygon points="{POINTS}"/></g><g id="sew line M"><polygon '
        'points="19,49 71,49 101,151 19,151"/></g></g>',
        "The front has 2 sew lines. Keep those of one size",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_wrong_is_said_with_its_name_and_place(case, tmp_path):
    content, message = REFUSED[case]
    path = write(tmp_path, TWO if content == "SIZE" else content, size='width="600"' if content == "SIZE" else A4)
    with pytest.raises(DraftError, match=message):
        read_drawing(path)


@pytest.mark.parametrize(
    ("plan", "message"),
    [
        ("panels = 3", "panels is 3; it must be a table"),
        ("colour = 3", "says 'colour', which is not known"),
        ("[panels.cape]\ncut = 1", "speaks of a panel 'cape'; drawn are front, back"),
        ('[panels.front]\ncut = "two"', "cut is 'two'; it must be a whole number"),
        ('[panels.front]\ngrain = "bias"', "grain is 'bias'; it may be up, across, or degrees"),
        ('[panels.front]\nedges = ["hem 5 stone"]', "is neither a name nor a name and a length"),
        ('[[seams]]\nsew = ["front"]', "sew names two edges"),
        ('[[seams]]\nsew = ["front", "back.1"]', '"front" is no edge'),
        ('[[seams]]\nsew = ["front.left.1", "back.1"]', "the front is cut 1, it has no left and right"),
        ("[[seams", "Cannot read"),
    ],
)
def test_a_plan_that_is_not_understood(plan, message, tmp_path):
    with pytest.raises(DraftError, match=message):
        read_drawing(write(tmp_path, TWO, plan))


BOMB = (
    '<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "ha">'
    + "".join(f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip("abcdefgh", "bcdefghi", strict=True))
    + "]><svg><text>&i;</text></svg>"
)
HARMFUL = {
    "nested entities": (BOMB, "declares an entity 'b'"),
    "a file to fetch": (
        '<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]><svg>&a;</svg>',
        "'a'",
    ),
    "a long entity": (f'<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "{"x" * 999}">]><svg>&a;</svg>', "'a'"),
    "deep": ('<?xml version="1.0"?>' + "<svg>" * 5000 + "</svg>" * 5000, "groups within groups"),
    "endless use": (
        '<?xml version="1.0"?><svg width="9mm"><g id="a1"><use href="#a1"/></g></svg>',
        "no closed outline",
    ),
    "doubling use": (
        '<?xml version="1.0"?><svg width="9mm"><g id="u0"><path d="M0 0H1V1Z"/></g>'
        + "".join(f'<g id="u{i + 1}"><use href="#u{i}"/><use href="#u{i}"/></g>' for i in range(30))
        + "</svg>",
        "copies shapes more than",
    ),
    "torn": ('<?xml version="1.0"?><svg><g>', "not a readable drawing"),
    "no drawing": ('<?xml version="1.0"?><html/>', "holds <html>, not an SVG drawing"),
}


@pytest.mark.parametrize("case", HARMFUL)
def test_files_that_could_do_harm_are_refused(case, tmp_path):
    content, message = HARMFUL[case]
    with pytest.raises(DraftError, match=message):
        read_drawing(write(tmp_path, content))


def test_short_entities_for_namespaces_are_read(tmp_path):
    head = '<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY ns_svg "http://www.w3.org/2000/svg">]>'
    drawing = head + svg(SKIRTS["polygon"]).replace('"http://www.w3.org/2000/svg"', '"&ns_svg;"')
    assert [panel.name for panel in read_drawing(write(tmp_path, drawing)).panels] == ["skirt"]


def test_no_file_and_too_large_a_file(tmp_path, monkeypatch):
    with pytest.raises(DraftError, match="Cannot read"):
        read_drawing(tmp_path / "none.svg")
    monkeypatch.setattr("drafting.paper.own_xml.MOST_BYTES", 100)
    with pytest.raises(DraftError, match="larger than"):
        read_drawing(write(tmp_path, TWO))


ROBES = {
    "quarters": {},
    "apart": {"overlap_joined": False, "back": "fold", "sleeve_corner": 15},
    "proportions": {"method": "proportions"},
}


@pytest.mark.parametrize(
    "draw", [pattern_drawing, lambda pattern: pattern_svg([Size("420 mm", pattern)])], ids=["plain", "ours"]
)
@pytest.mark.parametrize("name", ROBES)
def test_a_pattern_drawn_and_read_is_the_same_pattern(name, draw, tmp_path):
    pattern = draft(ROBES[name])
    pattern = read_record(json.loads(json.dumps(pattern_record(pattern))))
    path = tmp_path / "robe.svg"
    path.write_text(draw(pattern))
    path.with_suffix(".toml").write_text(plan_toml(pattern))
    read = read_drawing(path)
    assert read.garment == "robe"
    assert [panel.name for panel in read.panels] == [panel.name for panel in pattern.panels]
    for was, now in zip(pattern.panels, read.panels, strict=True):
        corner = [was.outline[:, 0].min(), was.outline[:, 1].max()]
        assert [edge.name for edge in now.edges] == [edge.name for edge in was.edges]
        for a, b in zip(was.edges, now.edges, strict=True):
            assert b.points + corner == pytest.approx(a.points, abs=0.01)
        ways = [np.diff(panel.grain, axis=0)[0] / np.linalg.norm(np.diff(panel.grain, axis=0)) for panel in (was, now)]
        assert ways[1] == pytest.approx(ways[0], abs=1e-5)
        assert (now.cut, now.role, now.order) == (was.cut, was.role, was.order)
    drawn = {(panel.name, edge.name) for panel in pattern.panels for edge in panel.edges}
    assert read.seams == tuple(seam for seam in pattern.seams if seam.a in drawn and seam.b in drawn)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_panel_is_read_as_it_was_drawn(data, tmp_path):
    count = data.draw(st.integers(3, 10))
    radii = np.array(data.draw(st.lists(st.floats(10, 90), min_size=count, max_size=count)))
    angles = 2 * np.pi * np.arange(count) / count + data.draw(st.floats(0, 6))
    points = np.column_stack([np.cos(angles), np.sin(angles)]) * radii[:, None] + 120
    points = points[:: data.draw(st.sampled_from([1, -1]))]
    turn = data.draw(st.integers(-180, 180))
    text = " ".join(f"{x:.5f},{y:.5f}" for x, y in points)
    (panel,) = read_drawing(
        write(tmp_path, f'<polygon id="kite" transform="rotate({turn} 99 9)" points="{text}"/>')
    ).panels
    true, read = Polygon(points), Polygon(panel.outline)
    assert read.area == pytest.approx(true.area, rel=1e-4)
    assert read.length == pytest.approx(true.length, rel=1e-4)
    assert read.exterior.is_ccw
    assert panel.outline[:, 0].min() == pytest.approx(0)
    assert panel.outline[:, 1].max() == pytest.approx(0)
    assert sum(edge.length for edge in panel.edges) == pytest.approx(true.length, rel=1e-4)


def test_a_set_of_sizes_is_refused(tmp_path):
    sizes = [Size("420 mm", draft()), Size("450 mm", draft(hip_girth=320.0), 1)]
    path = tmp_path / "set.svg"
    path.write_text(pattern_svg(sizes))
    with pytest.raises(DraftError, match=r"The back has 2 sew lines. Keep those of one size"):
        read_drawing(path)


def test_a_drawn_pattern_goes_all_the_way_to_the_cloth(tmp_path):
    words = "<text x='20' y='50'>cut 2</text><text x='90' y='50'>cut 2</text><text>sew front.2 to back.2</text>"
    pattern = read_drawing(write(tmp_path, TWO + words))
    assert json.loads(json.dumps(pattern_record(pattern)))["unit"] == "mm"
    layout = lay_pattern(pattern, cut_lines(pattern), Spread(200.0, gap=0))
    # Cut with a seam's 6 mm at the sewn sides and a hem's 10 mm at the others, as drafted panels are.
    assert [tuple(np.round(np.ptp(p.outline, axis=0), 3)) for p in layout.placements] == [(66.0, 120.0)] * 4
    assert layout.length == pytest.approx(240)
    assert pattern_png(pattern)[:4] == b"\x89PNG"
