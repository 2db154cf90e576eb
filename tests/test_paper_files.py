"""What is handed out with a pattern: notches that meet, SVG and DXF of true size, a guide that leaves nothing out."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections import Counter
from pathlib import Path

import ezdxf
import numpy as np
import pypdf
import pytest
from drawings import write
from drawn_garments import GARMENTS, TUNIC, TUNIC_PLAN, draw
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from papers import SCALES, robe
from robes import DOLL, draft
from shapely import Point, Polygon

from drafting.errors import DraftError, OptionError
from drafting.garments import ROBE
from drafting.paper.allowance import allowances_of, cut_line
from drafting.paper.block import block_size
from drafting.paper.dxf import LAYERS, block_name, pattern_dxf
from drafting.paper.guide import cutting_list, guide_pdf
from drafting.paper.halves import clipped, fold_of
from drafting.paper.imposition import impose
from drafting.paper.ink import DASHES
from drafting.paper.issue import issue, sizes_of
from drafting.paper.notches import notches_of, seam_notches, sewn_edges
from drafting.paper.own import read_drawing
from drafting.paper.page import read_page
from drafting.paper.steps import steps_of
from drafting.paper.svg import pattern_svg
from drafting.pattern.curve import walk
from drafting.pattern.pattern import Pattern
from drafting.pattern.record import pattern_record

ROOT = Path(__file__).resolve().parent.parent
SVG = "{http://www.w3.org/2000/svg}"
ROBES = {
    "quarters": draft(),
    "all apart": draft({"back": "fold", "overlap_joined": False, "sleeve_corner": 15}),
    "proportions": draft({"method": "proportions"}),
}
robes = pytest.mark.parametrize("name", ROBES)
SET = [(name, robe(name)) for name in SCALES]


def walk_the_seams(pattern: Pattern) -> None:
    """Partners agree but for their ease, and each notch of one meets a notch of the other."""
    for seam in pattern.seams:
        ends = [(pattern.panel(panel), pattern.panel(panel).edge(edge)) for panel, edge in (seam.a, seam.b)]
        if not all(edge.name in sewn_edges(pattern, panel) for panel, edge in ends):
            continue  # the worn part of a sash, which is no edge that is cut
        (panel_a, a), (panel_b, b) = ends
        assert a.length - b.length == pytest.approx(seam.ease_mm, abs=0.1)
        on_a, on_b = seam_notches(pattern, seam)
        from_common = [b.length - along if seam.turned else along for along in on_b]
        assert on_a == pytest.approx(from_common, abs=0.1)
        for panel, edge, along in ((panel_a, a, on_a), (panel_b, b, on_b)):
            nicked = [
                one.along for one in notches_of(pattern, panel, allowances_of(pattern, panel)) if one.edge == edge.name
            ]
            for place in along:
                assert min(abs(place - each) for each in nicked) < 1e-5


@robes
def test_notches_of_seam_partners_meet(name):
    walk_the_seams(ROBES[name])


@robes
def test_notches_lie_on_the_cut_line_and_end_clear_of_the_sew_line(name):
    """A nick ends at least 3 mm from the stitches where the allowance is 6 mm (as the trade's notes ask)."""
    pattern = ROBES[name]
    for panel in pattern.panels:
        allowances = allowances_of(pattern, panel)
        cut = Polygon(cut_line(panel, allowances)).exterior
        sew = Polygon(panel.outline).exterior
        for notch in notches_of(pattern, panel, allowances):
            assert cut.distance(Point(notch.at)) < 1e-6
            assert sew.distance(Point(notch.at + notch.depth * notch.inwards)) >= allowances[notch.edge].mm / 2 - 1e-6
            sewn_at = walk(panel.edge(notch.edge).points, [notch.along])[0][0]
            assert np.linalg.norm(notch.at - sewn_at) == pytest.approx(allowances[notch.edge].mm, rel=0.02)


@pytest.mark.parametrize("name", GARMENTS)
def test_notches_of_a_drawn_garment_meet(name, tmp_path):
    walk_the_seams(read_drawing(draw(tmp_path, name)))


def test_declared_ease_is_spread_over_the_notches(tmp_path):
    """The front's side 6 mm longer than the back's: between all notches it has its share of it."""
    points = {"front": "10,10 60,10 60,192 10,192", "back": "80,10 130,10 130,186 80,186"}
    drawing = "".join(f'<polygon id="{name}" points="{at}"/>' for name, at in points.items())
    pattern = read_drawing(write(tmp_path, drawing, '[[seams]]\nsew = ["front.2", "back.2"]\nease = "6mm"'))
    on_a, on_b = (np.array([0.0, *along]) for along in seam_notches(pattern, pattern.seams[0]))
    assert len(on_a) == 3
    assert np.diff(on_a) == pytest.approx(np.diff(on_b) * 182 / 176)


def test_a_drawn_garment_is_printed(tmp_path):
    """What is the same on both sides may be drawn to a fold; what is not is whole."""
    pocket = '<path id="pocket" d="M380 20 H410 L400 60 H380 Z"/>'
    path = draw(tmp_path, "tunic", TUNIC + pocket, TUNIC_PLAN + "\n[panels.pocket]\ncut = 3\n")
    pattern = read_drawing(path)
    files = issue([("tunic", pattern)], ROBE, read_page("A4")).files
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(files["pattern.pdf"])).pages]
    said = " ".join(" ".join(pages).split())
    said = said.replace(",", "")
    assert "pocket cut 3 tunic" in said
    assert "back cut 2 (1 mirrored) tunic" in said
    for panel in pattern.panels:
        halved = f"{panel.name} cut {panel.cut} on the fold" in said
        assert not halved or fold_of(panel) is not None
    assert set(ezdxf.read(io.StringIO(files["pattern.dxf"])).layers.entries) >= set(LAYERS.values())


def test_dxf_names_are_ascii_and_no_two_are_the_same(tmp_path):
    """R12 knows neither umlauts nor long names."""
    names = ("ärmel", "ürmel", "the_left_half_of_the_upper_yoke_a", "the_left_half_of_the_upper_yoke_b")
    boxes = (f"{10 + 50 * k},10 {50 + 50 * k},10 {50 + 50 * k},90 {10 + 50 * k},90" for k in range(4))
    drawing = "".join(f'<polygon id="{name}" points="{at}"/>' for name, at in zip(names, boxes, strict=True))
    text = pattern_dxf(sizes_of([("set", read_drawing(write(tmp_path, drawing)))]))
    assert text.isascii()
    document = ezdxf.read(io.StringIO(text))
    assert not document.audit().errors
    placed = [insert.dxf.name for insert in document.modelspace().query("INSERT")]
    assert len(set(placed)) == 4
    assert all(len(name) <= 31 for name in placed)


def test_a_long_seam_has_notches_and_a_curve_has_more():
    pattern = ROBES["quarters"]
    by_edge = {seam.a: len(seam_notches(pattern, seam)[0]) for seam in pattern.seams}
    assert by_edge["back", "side"] >= 2
    neck = pattern.panel("back").edge("neck")
    assert by_edge["back", "neck"] == int(neck.length // 20)


@robes
def test_a_panel_drawn_to_its_fold_unfolds_to_the_whole(name):
    for panel in ROBES[name].panels:
        fold = fold_of(panel)
        if panel.name in ("sash", "neckband", "sleeve"):
            assert fold is not None
        if panel.name == "front":
            assert fold is None
        if fold is not None:
            half = clipped(panel.outline, fold)
            other = half.copy()
            other[:, fold.axis] = 2 * fold.level - other[:, fold.axis]
            whole = Polygon(half).buffer(1e-9).union(Polygon(other).buffer(1e-9))
            assert whole.symmetric_difference(Polygon(panel.outline)).area < 1e-3


@robes
def test_every_seam_and_every_free_edge_is_one_step(name):
    pattern = ROBES[name]
    steps = steps_of(pattern)
    sewn = Counter((seam.a, seam.b) for step in steps for seam in step.seams)
    real = [s for s in pattern.seams if all(e in sewn_edges(pattern, pattern.panel(p)) for p, e in (s.a, s.b))]
    assert sewn == Counter((seam.a, seam.b) for seam in real)
    turned = Counter(end for step in steps for end in step.turned)
    free = [
        (panel.name, edge.name)
        for panel in pattern.panels
        for edge in panel.edges
        if edge.name not in sewn_edges(pattern, panel) and panel.role != "band"
    ]
    assert turned == Counter(free)
    # The front's edge is turned before the neckband covers its end; the hem after the sides.
    titles = [step.title for step in steps]
    assert (
        titles.index("Turn the front edges") < titles.index("Sew on the neckband") < titles.index("Set in the sleeves")
    )
    assert titles.index("Sew the side seams") < titles.index("Turn up the hem")


@given(
    height=st.floats(0.6, 1.5),
    girth=st.floats(0.85, 1.2),
    chosen=st.fixed_dictionaries(
        {
            "seam_allowance": st.floats(0, 10),
            "hem_allowance": st.floats(0, 20),
            "overlap_joined": st.booleans(),
            "back": st.sampled_from(["seam", "fold"]),
            "method": st.sampled_from(["quarters", "proportions"]),
        }
    ),
    page=st.sampled_from(["A4", "Letter", "A3"]),
)
@settings(max_examples=8, deadline=None)
def test_any_robe_can_be_cut_and_fits_its_pages(height, girth, chosen, page):
    measures = {name: mm * height * (girth if "girth" in name else 1.0) for name, mm in DOLL.items()}
    try:
        pattern = ROBE.draft(measures, chosen)
    except DraftError:
        assume(False)
    walk_the_seams(pattern)
    sizes = sizes_of([("doll", pattern)])
    imposed = impose(sizes, read_page(page), block_size(sizes))
    assert {one.template.name for one in imposed.placed} == {panel.name for panel in pattern.panels}
    for panel in pattern.panels:
        allowances = allowances_of(pattern, panel)
        cut, sew = Polygon(cut_line(panel, allowances)), Polygon(panel.outline)
        assert cut.is_valid
        assert cut.buffer(1e-6).contains(sew)
        least = min(one.mm for one in allowances.values())
        assert cut.exterior.distance(sew.exterior) >= least - 1e-6
    for number in range(len(imposed.sheets)):
        wide, high = imposed.size(number)
        laid = [Polygon(one.on_sheet(one.template.outlines[0])) for one in imposed.placed if one.sheet == number]
        for k, shape in enumerate(laid):
            x0, y0, x1, y1 = shape.bounds
            assert min(x0, y0) >= 0
            assert x1 <= wide
            assert y1 <= high
            assert not any(shape.intersects(other) for other in laid[:k])
    rows = cutting_list(sizes)
    assert [row[0].split()[-1] for row in rows] == [panel.name for panel in pattern.panels]
    assert sum(int(row[1].split()[0]) for row in rows) == len(list(pattern.pieces()))


@robes
def test_svg_gives_the_outlines_back_in_millimetres(name):
    pattern = ROBES[name]
    root = ET.fromstring(pattern_svg(sizes_of([("doll", pattern)])))
    width, height = (float(root.get(side).removesuffix("mm")) for side in ("width", "height"))
    assert [float(v) for v in root.get("viewBox").split()] == [0, 0, width, height]
    groups = {group.get("id"): group for group in root.iter(f"{SVG}g")}
    for panel in pattern.panels:
        assert panel.name in groups
        for layer, true in (
            ("sew-lines", panel.outline),
            ("cut-lines", cut_line(panel, allowances_of(pattern, panel))),
        ):
            drawn = next(
                p for p in groups[f"{panel.name}.{layer}"].iter(f"{SVG}polygon") if p.get("class") == "outline"
            )
            points = np.array([[float(v) for v in pair.split(",")] for pair in drawn.get("points").split()]) * [1, -1]
            off = points - true
            assert np.abs(off - off[0]).max() < 0.01
            assert (points[:, 0] >= 0).all()
            assert (-points[:, 1] <= height).all()


def test_dxf_is_read_back_and_audited():
    """By ezdxf: layers as ASTM D6673-10 is listed, outlines within 0.01 mm."""
    sizes = sizes_of(SET)
    document = ezdxf.read(io.StringIO(pattern_dxf(sizes)))
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    assert document.dxfversion == "AC1009"
    placed = [insert.dxf.name for insert in document.modelspace().query("INSERT")]
    for size in sizes:
        for panel in size.pattern.panels:
            name = block_name(panel, size, many=True)
            assert placed.count(name) == 1
            block = document.blocks.get(name)
            allowances = allowances_of(size.pattern, panel)
            for layer, true in (("boundary", cut_line(panel, allowances)), ("sew lines", panel.outline)):
                (line,) = block.query(f'POLYLINE[layer=="{LAYERS[layer]}"]')
                assert line.is_closed
                found = np.array([vertex.dxf.location.vec2 for vertex in line.vertices])
                assert np.abs(found - true).max() < 0.01
            (grain,) = block.query(f'LINE[layer=="{LAYERS["grain line"]}"]')
            assert np.abs(np.array([grain.dxf.start.vec2, grain.dxf.end.vec2]) - panel.grain).max() < 0.01
            nicked = block.query(f'POINT[layer=="{LAYERS["notches"]}"]')
            assert len(nicked) == len(notches_of(size.pattern, panel, allowances))
            assert len(block.query(f'POINT[layer=="{LAYERS["turn points"]}"]')) == len(panel.edges)


def test_the_guide_holds_what_a_stranger_needs():
    pattern = ROBES["quarters"]
    data = guide_pdf(sizes_of([("doll", pattern)]), ROBE, read_page("Letter"))
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert {tuple(float(v) for v in page.mediabox[2:]) for page in reader.pages} == {(612.0, 792.0)}
    said = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    for words in ("What you need", "Cutting list", "Finished measures", "Pressing", "Dressing", "Cautions"):
        assert words in said
    for step in steps_of(pattern):
        assert step.title in said
    for word in ("Needles", "pins", "iron", "child", "small parts", "rules"):
        assert word in said
    # DOLL's hip of 286 mm is 11.26 in: 11 1/4 on a tape of sixteenths.
    assert "hip girth 286 11 1/4 in" in said


def test_the_guide_of_a_large_set_lists_every_size():
    dolls = [(f"doll {k}", ROBE.draft({name: mm * (0.6 + 0.1 * k) for name, mm in DOLL.items()}, {})) for k in range(6)]
    sizes = sizes_of(dolls)
    reader = pypdf.PdfReader(io.BytesIO(guide_pdf(sizes, ROBE, read_page("A3"))))
    said = " ".join(page.extract_text() for page in reader.pages)
    for size in sizes:
        assert said.count(size.label) >= 3  # both tables and the cutting list


def test_a_set_is_sorted_labelled_and_limited():
    sizes = sizes_of([SET[2], SET[0], SET[0]])
    assert [size.label for size in sizes] == ["270 mm sixth (1)", "270 mm sixth (2)", "600 mm"]
    assert len({size.place for size in sizes}) == 3
    with pytest.raises(OptionError, match="told apart"):
        sizes_of([SET[0]] * (len(DASHES) + 1))


def test_one_pattern_gives_one_set_of_files():
    """The same pattern, the same bytes; a page in inches says so."""
    first, again = (issue([SET[0]], ROBE, read_page("A4")).files for _ in range(2))
    assert first == again
    assert set(first) == {"pattern.pdf", "pattern.svg", "pattern.dxf", "pattern.toml", "guide.pdf"}
    inches = issue([SET[0]], ROBE, read_page("A4"), "in").files["pattern.pdf"]
    assert "10 5/8 in" in pypdf.PdfReader(io.BytesIO(inches)).pages[0].extract_text()


def call(*words: object) -> subprocess.CompletedProcess:
    pytest.importorskip("bpy")
    command = [sys.executable, "-m", "addon.commands", "paper", *map(str, words)]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


def test_the_verb_prints_a_sixth_scale_robe_on_at_most_4_pages(tmp_path):
    kept = tmp_path / "pattern.json"
    kept.write_text(json.dumps(pattern_record(robe("third"))))
    scan = ROOT / "sample_meshes" / "sixth_curvy.glb"
    said = call(scan, "--height", "270mm", "--out", tmp_path / "one")
    assert said.returncode == 0, said.stderr
    pages = len(pypdf.PdfReader(tmp_path / "one" / "pattern.pdf").pages)
    assert pages <= 4
    assert f"{pages} pages A4" in said.stdout
    assert {path.name for path in (tmp_path / "one").iterdir()} == {
        "pattern.pdf",
        "pattern.svg",
        "pattern.dxf",
        "pattern.toml",
        "guide.pdf",
        "layout.svg",
        "layout.png",
    }
    assert "of cloth 1100 mm wide" in said.stdout
    drawn = call("--from", tmp_path / "one" / "pattern.svg", "--cloth-width", "40cm", "--out", tmp_path / "drawn")
    assert drawn.returncode == 0, drawn.stderr
    assert "of cloth 400 mm wide" in drawn.stdout
    own = " ".join(page.extract_text() for page in pypdf.PdfReader(tmp_path / "drawn" / "guide.pdf").pages)
    for step in steps_of(robe("sixth")):
        assert step.title in own
    assert "Which doll it fits" not in own  # it was not drafted for one
    said = call(scan, "--height", "270mm", "--out", tmp_path / "set", "--page", "Letter", "--also", kept)
    assert said.returncode == 0, said.stderr
    first = pypdf.PdfReader(tmp_path / "set" / "pattern.pdf").pages[0].extract_text()
    assert "270 mm to 600 mm" in first
    for label in ("270-mm", "600-mm"):
        assert (tmp_path / "set" / f"layout-{label}.svg").is_file()
        assert (tmp_path / "set" / f"layout-{label}.png").read_bytes().startswith(b"\x89PNG")
    needs = [line for line in said.stdout.splitlines() if line.startswith("Cloth for ")]
    assert [line.split(":")[0] for line in needs] == ["Cloth for 270 mm", "Cloth for 600 mm"]
    assert needs[0].split(":")[1] != needs[1].split(":")[1]
    guide = " ".join(page.extract_text() for page in pypdf.PdfReader(tmp_path / "set" / "guide.pdf").pages)
    for line in needs:
        assert line.split(": ")[1].split(" of cloth")[0] in guide


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (["nowhere.json"], "nowhere.json"),
        (["README.md.json"], "toile.py draft"),
        (["--page", "A9"], "A4"),
        (["--also", "third.glb=tall"], "tall"),
        (["--from", "nowhere.svg"], "nowhere.svg"),
        (["--from", "drawing.dxf"], ".svg"),
        (["doll.stl", "--from", "drawing.svg"], "not both"),
        (["--cloth-width", "3cm"], "the cloth has room for 30 mm"),
        (["pattern.json", "--sleeve_drop", "90mm"], "drafted already"),
    ],
)
def test_what_the_verb_cannot_do_is_one_line(words, part, tmp_path):
    said = call(*words, "--out", tmp_path / "out")
    assert said.returncode == 2
    assert len(said.stderr.splitlines()) == 1
    assert part in said.stderr
    assert not (tmp_path / "out").exists()
