"""The printed pages: true to scale in an independent program's pixels, complete when glued, and readable."""

from __future__ import annotations

import io

import numpy as np
import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from papers import PX, SCALES, pixels, printed
from pypdf._codecs import core_font_metrics
from pypdf.generic import ArrayObject, NameObject
from scipy.ndimage import maximum_filter
from shapely import LineString, Polygon, box, contains_xy

from drafting.errors import LengthError, OptionError
from drafting.garments import ROBE
from drafting.paper.arrange import GAP_MM, arrange, sheet_size, tiles_touched
from drafting.paper.block import SQUARES
from drafting.paper.font import text_width
from drafting.paper.ink import LAYERS, Line, Words, overlap
from drafting.paper.issue import issue
from drafting.paper.page import MARGIN_MM, read_page

# ISO 216 in mm (https://mainthebest.com/sizes/table-of-a-series-paper-sizes/), Letter 8 1/2 x 11 in
# (https://unitplanet.com/writing/paper-size); 1 pt = 25.4 / 72 mm.
BOXES = {"A4": (595.276, 841.890), "Letter": (612.0, 792.0), "A3": (841.890, 1190.551), "A0": (2383.937, 3370.394)}
CASES = [("sixth", "A4"), ("third", "Letter"), ("quarter", "180x240mm")]
ALL = " ".join(SCALES)
cases = pytest.mark.parametrize(("scale", "page"), CASES)


def read(pdf: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf))


def centre_of_line(dark: np.ndarray, near: float) -> float:
    """Where a line crosses a row of pixels, mm, looked for within 1 mm."""
    low = max(0, round((near - 1) * PX))
    part = dark[low : low + 2 * PX]
    assert part.max() > 0.5, f"no line near {near:.2f} mm"
    return float((low + (part * (np.arange(len(part)) + 0.5)).sum() / part.sum()) / PX)


@pytest.mark.parametrize("page", BOXES)
def test_page_boxes_are_the_papers_to_the_point(page):
    for sheet in read(printed("sixth", page).pdf).pages:
        assert [float(v) for v in sheet.mediabox] == pytest.approx([0, 0, *BOXES[page]], abs=0.001)


@cases
def test_the_test_squares_measure_50_mm_and_2_in(scale, page):
    """On the first page always."""
    pages = printed(scale, page)
    dark = pages.rasters[0]
    for side, text in SQUARES:
        label = next(ink for ink in pages.leaves[0].patches[0].inks if isinstance(ink, Words) and ink.text == text)
        low = label.at - side / 2
        for axis in (0, 1):
            beside = round((label.at[1 - axis] + 0.35 * side) * PX)  # the lettering
            row = dark[beside] if axis == 0 else dark[:, beside]
            begin, end = (centre_of_line(row, low[axis] + far) for far in (0.0, side))
            assert end - begin == pytest.approx(side, abs=0.2)


@cases
def test_every_panel_has_its_size_on_paper(scale, page):
    """Every panel's width and height, allowances included, in the pixels of the glued pages."""
    pages = printed(scale, page)
    sheets = [pages.glued(number) for number in range(len(pages.imposed.sheets))]
    measured = set()
    for one in pages.imposed.placed:
        shape = Polygon(one.on_sheet(one.template.outlines[0]))
        x0, y0, x1, y1 = shape.bounds
        for axis, level in ((0, y0 + 0.31 * (y1 - y0)), (1, x0 + 0.43 * (x1 - x0))):
            if one.template.fold is not None and (one.template.fold.axis + one.quarters) % 2 == axis:
                continue  # from the fold, which is no cut line
            across = LineString([(-9, level), (9999, level)] if axis == 0 else [(level, -9), (level, 9999)])
            begin, end = np.array(shape.intersection(across).bounds)[[axis, 2 + axis]]
            sheet = sheets[one.sheet]
            row = sheet[round(level * PX)] if axis == 0 else sheet[:, round(level * PX)]
            found = centre_of_line(row, end) - centre_of_line(row, begin)
            assert found == pytest.approx(end - begin, abs=0.2), one.template.name
            measured.add(one.template.name)
    assert measured == {panel.name for panel in pages.sizes[0].pattern.panels}


@cases
def test_pages_glued_together_give_every_outline_back(scale, page):
    """Every cut line is there, and no other line, within 0.3 mm: nothing is lost in a margin or at a join."""
    pages = printed(scale, page)
    for number in range(len(pages.imposed.sheets)):
        ink = pages.glued(number) > 0.5
        around = maximum_filter(ink, 5)  # 2 pixels each way, 0.28 mm at most
        drawn = np.zeros_like(ink)
        for one in (one for one in pages.imposed.placed if one.sheet == number):
            outline, fold = every_tenth(one.template.outlines[0]), one.template.fold
            cells = np.floor(one.on_sheet(outline) * PX).astype(int)
            drawn[cells[:, 1], cells[:, 0]] = True
            if fold is not None:  # on the fold there is no cut line
                cells = cells[np.abs(outline[:, fold.axis] - fold.level) > 0.3]
            assert around[cells[:, 1], cells[:, 0]].all(), one.template.name
        if number == 0:  # the block shows samples of the lines
            (x0, y0), (x1, y1) = (pages.imposed.block * PX).astype(int)
            ink[y0:y1, x0:x1] = False
        # Ink lies within half a line and 0.3 mm of an outline.
        assert maximum_filter(drawn, 11)[ink].all()


def every_tenth(outline: np.ndarray) -> np.ndarray:
    """Points on a closed outline, a tenth of a millimetre apart."""
    ring = np.concatenate([outline, outline[:1]])
    at = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(ring, axis=0), axis=1))])
    along = np.arange(0, at[-1], 0.1)
    return np.column_stack([np.interp(along, at, ring[:, axis]) for axis in (0, 1)])


@cases
def test_nothing_is_printed_in_the_margin_of_home_printers(scale, page):
    rim = int(MARGIN_MM * PX) - 1
    for dark in printed(scale, page).rasters:
        edge = dark.copy()
        edge[rim:-rim, rim:-rim] = 0
        assert edge.max() < 0.1


@cases
def test_test_squares_lie_clear_of_all_panels(scale, page):
    pages = printed(scale, page)
    for tile, leaf in zip(pages.imposed.tiles, pages.leaves, strict=True):
        patch = leaf.patches[0]
        area = box(*patch.window.ravel())
        shift = pages.imposed.page.corner - tile.at
        taken = [
            Polygon(one.on_sheet(one.template.outlines[0]) + shift)
            for one in pages.imposed.placed
            if one.sheet == tile.sheet
        ]
        squares = [Polygon(ink.points) for ink in patch.inks if isinstance(ink, Line) and ink.pen == "square"]
        squares = [square for square in squares if area.intersects(square)]
        assert all(area.contains(square) for square in squares)
        assert not any(square.intersects(other) for square in squares for other in taken)
        if tile.number == 1:
            assert [square.area**0.5 for square in squares] == pytest.approx([50.0, 50.8])
        elif not any(area.intersects(other) for other in taken):
            assert len(squares) == 2


def test_layers_can_be_switched_off_one_by_one():
    """Optional content (ISO 32000-1, 8.11): every group is used, and in a set each size is one of them."""
    pages = printed(ALL, "A4")
    reader = read(pages.pdf)
    groups = [group.get_object()["/Name"] for group in reader.root_object["/OCProperties"]["/OCGs"]]
    assert groups == [*LAYERS, *(f"Size {size.label}" for size in pages.sizes)]
    content = b"".join(page.get_contents().get_data() for page in reader.pages).replace(b"\n", b" ")
    assert all(f"/OC /L{k} BDC".encode() in content for k in range(len(groups)))
    assert content.count(b"BDC") == content.count(b"EMC")


@pytest.mark.parametrize("alone", range(3))
def test_a_size_can_be_shown_alone(alone):
    """Its layer on and those of the other sizes off, an independent program draws its cut lines, and no other's."""
    pages = printed(ALL, "A3")
    writer = pypdf.PdfWriter(clone_from=read(pages.pdf))
    shown = writer.root_object["/OCProperties"]["/D"]
    others = [size.label for size in pages.sizes if size.place != alone]
    off = [g for g in shown["/ON"] if g.get_object()["/Name"] in (f"Size {label}" for label in others)]
    assert len(off) == len(others)
    shown[NameObject("/OFF")] = ArrayObject(off)
    shown[NameObject("/ON")] = ArrayObject([group for group in shown["/ON"] if group not in off])
    held = io.BytesIO()
    writer.write(held)
    inked = [maximum_filter(dark > 0.3, 5) for dark in pixels(held.getvalue())]
    found: dict[int, list[bool]] = {size.place: [] for size in pages.sizes}
    for tile, ink in zip(pages.imposed.tiles, inked, strict=True):
        window = box(*pages.imposed.page.corner, *(pages.imposed.page.corner + pages.imposed.page.window))
        for one in (one for one in pages.imposed.placed if one.sheet == tile.sheet and one.template.fold is None):
            for place, outline in enumerate(one.template.outlines):
                points = every_tenth(one.on_sheet(outline)) + pages.imposed.page.corner - tile.at
                points = points[contains_xy(window, points)]
                cells = np.floor(points * PX).astype(int)
                found[place] += ink[cells[:, 1], cells[:, 0]].tolist()
    shares = {place: np.mean(there) for place, there in found.items()}
    assert shares[alone] > (0.99 if alone == 0 else 0.5)  # the others' lines are broken ones
    assert all(share < 0.3 for place, share in shares.items() if place != alone)  # where sizes share a line


def test_the_file_says_what_it_is_and_can_be_searched():
    pages = printed(ALL, "A4")
    pdf = issue([(size.label, size.pattern) for size in pages.sizes], ROBE, read_page("A4")).files["pattern.pdf"]
    reader = read(pdf)
    about = reader.metadata
    assert about.title == "Robe for dolls of 270 mm to 600 mm"
    assert "sewing pattern" in about["/Keywords"]
    assert all(size.label in about["/Keywords"] for size in pages.sizes)
    assert reader.root_object["/ViewerPreferences"]["/PrintScaling"] == "/None"
    said = " ".join(page.extract_text() for page in reader.pages)
    for panel in pages.sizes[0].pattern.panels:
        assert f"{panel.order}  {panel.name}" in said


def test_sizes_of_a_set_are_told_apart_without_colour():
    pages = printed(ALL, "A4")
    pens: dict[str, set[str]] = {size.label: set() for size in pages.sizes}
    for one in pages.imposed.placed:
        for ink in one.template.inks:
            if isinstance(ink, Line) and ink.pen.startswith("cut"):
                pens[ink.size].add(ink.pen)
    assert [len(used) for used in pens.values()] == [1, 1, 1]
    assert len(set.union(*pens.values())) == 3
    first = read(pages.pdf).pages[0].extract_text()
    for size in pages.sizes:  # the table by which a buyer finds her doll
        assert size.label in first
        assert f"{size.pattern.measures['hip_girth']:.1f}".removesuffix(".0") in first
    for page in read(pages.pdf).pages:  # greys only
        words = page.get_contents().get_data().split()
        assert all(len(set(words[i - 3 : i])) == 1 for i, word in enumerate(words) if word == b"rg")


@pytest.mark.parametrize(("scale", "page"), [*CASES, ("quarter", "A4"), ("sixth", "Letter"), ("third", "A0")])
def test_words_do_not_lie_on_one_another(scale, page):
    for one in printed(scale, page).imposed.placed:
        words = [ink for ink in one.template.inks if isinstance(ink, Words) and ink.angle % 90 == 0]
        assert [(a.text, b.text) for i, a in enumerate(words) for b in words[:i] if overlap(a, b)] == []


@pytest.mark.parametrize("bold", [False, True])
def test_letters_are_as_wide_as_the_fonts_metrics_say(bold):
    """Adobe's Core 14 metrics, as pypdf publishes them."""
    widths = core_font_metrics.CORE_FONT_METRICS["Helvetica-Bold" if bold else "Helvetica"].character_widths
    for letter in map(chr, range(32, 127)):
        assert text_width(letter, 1000, bold) == pytest.approx(widths[letter]), letter


def test_glue_marks_come_together():
    """The same letter lies at the same place of the sheet on both pages, and each letter on exactly two pages."""
    pages = printed("third", "Letter")
    found: dict[str, list[np.ndarray]] = {}
    for tile, leaf in zip(pages.imposed.tiles, pages.leaves, strict=True):
        for ink in leaf.patches[0].inks:
            if isinstance(ink, Words) and ink.bold and ink.layer == LAYERS[-1] and ink.text.isalpha():
                found.setdefault(ink.text, []).append(ink.at - pages.imposed.page.corner + tile.at)
    joins = sum((s.columns - 1) * s.rows + s.columns * (s.rows - 1) for s in pages.imposed.sheets)
    assert len(found) == 2 * joins > 0
    for places in found.values():
        assert len(places) == 2
        assert places[0] == pytest.approx(places[1])


def test_a_small_pattern_takes_few_pages():
    assert len(printed("sixth", "A4").leaves) <= 4
    assert len(printed("sixth", "Letter").leaves) <= 4
    assert len(printed("third", "A0").leaves) == 1


@given(st.lists(st.tuples(st.floats(15, 500), st.floats(15, 330)), min_size=1, max_size=6))
@settings(max_examples=20, deadline=None)
def test_boxes_never_overlap_nor_leave_their_sheet(sizes):
    window = read_page("A4").window
    boxes = [(108.0, 130.0), *sizes]
    sheets = arrange(boxes, window)
    assert sorted(spot.box for sheet in sheets for spot in sheet.spots) == list(range(len(boxes)))
    assert sheets[0].spots[0].box == 0
    for sheet in sheets:
        paper = box(0, 0, *sheet_size(sheet.columns, sheet.rows, window)).buffer(1e-6)
        laid = []
        for spot in sheet.spots:
            size = np.array(boxes[spot.box][::-1] if spot.turned else boxes[spot.box])
            laid.append(box(*spot.at, *(spot.at + size)))
            assert paper.contains(laid[-1])
            if spot.box == 0:
                assert tiles_touched(spot.at, size, window) == 1
        assert all(a.distance(b) >= GAP_MM - 1e-6 for i, a in enumerate(laid) for b in laid[:i])


@pytest.mark.parametrize("text", ["A9", "", "210", "0x0mm", "100x900mm", "9x9m", "axb", "210mmx", "1.2.3x5"])
def test_a_page_that_cannot_be_is_refused(text):
    with pytest.raises((OptionError, LengthError)):
        read_page(text)


def test_pages_are_read_in_any_unit():
    assert (read_page("11x17in").width, read_page("11x17in").height) == pytest.approx((279.4, 431.8))
    assert (read_page("a4").width, read_page("29.7 x 42cm").width) == pytest.approx((210, 297))
