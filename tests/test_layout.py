"""The cutting layout: nothing overlaps, the grain is kept, and the published sum of a bolt comes out."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from robes import draft
from shapely import Polygon, affinity, box
from shapely.ops import unary_union
from test_traditional_robe import WOMAN

from drafting.errors import DraftError, OptionError
from drafting.garments import ROBE
from drafting.paper.layout import CutPiece, Layout, Placement, Spread
from drafting.paper.layout_pieces import cut_lines, half_on_fold, lay_pattern, single_pieces
from drafting.paper.layout_profile import bands, no_fit
from drafting.paper.layout_search import lay_out
from drafting.paper.purchase import purchase, yards_text
from drafting.pattern.panel import Panel, trace
from drafting.pattern.pattern import Pattern
from scripts.bench_layout import made_up, of_layout

UP = np.array([0.0, 1.0])
GRAIN = np.array([[20.0, 20.0], [20.0, 60.0]])
FAT_QUARTER = Spread(21 * 25.4, length=18 * 25.4)  # the warp runs along the 18 in
SPREADS = {
    "wide": Spread(1100.0, selvedge=10),
    "folded": Spread(1100.0, folded=True, selvedge=10),
    "print": Spread(500.0, one_way=True),
    "both faces alike": Spread(500.0, alike=True),
    "bolt": Spread(360.0),
    "ribbon": Spread(180.0, gap=0),
    "fat quarter": FAT_QUARTER,
}
ROBES = {"joined": draft(), "apart": draft({"overlap_joined": False, "back": "fold"})}


def check_layout(layout: Layout) -> None:
    """Everything that makes a layout one that can be cut."""
    spread = layout.spread
    left, right = spread.reach
    outlines = [Polygon(placement.outline) for placement in layout.placements]
    for placement, outline in zip(layout.placements, outlines, strict=True):
        assert outline.is_valid
        x0, y0, x1, y1 = outline.bounds
        assert x0 >= left - 1e-6
        assert x1 <= right + 1e-6
        assert y0 >= -1e-6
        if math.isfinite(spread.length):  # no piece lies across the end of a piece of cloth
            assert math.floor(y0 / spread.length + 1e-9) == math.ceil(y1 / spread.length - 1e-9) - 1
        check_way(placement, spread)
    for a, b in combinations(outlines, 2):
        assert a.intersection(b).area < 1e-4
        assert a.distance(b) >= spread.gap - 1e-4 or math.isfinite(spread.length)


def check_way(placement: Placement, spread: Spread) -> None:
    """The piece is congruent to its cut line, with the grain along the cloth and on the right side."""
    piece = placement.piece
    ends = placement.place(np.array([[0.0, 0.0], piece.grain]))
    x, y = (ends[1] - ends[0]) / np.linalg.norm(piece.grain)
    assert x == pytest.approx(0, abs=1e-9)
    assert y == pytest.approx(-1 if placement.turned else 1)
    assert not (spread.one_way and placement.turned)
    if piece.on_fold:
        assert placement.outline[:, 0].min() == pytest.approx(0, abs=1e-9)
    elif not spread.alike and piece.layers == 1:
        assert placement.mirrored == piece.mirrored
    degrees = math.degrees(math.atan2(*piece.grain)) + placement.turned
    paper = affinity.rotate(Polygon(piece.outline), degrees, origin=(0, 0))
    paper = affinity.scale(paper, -1, 1, origin=(0, 0)) if placement.mirrored else paper
    laid = Polygon(placement.outline)
    shift = np.array(laid.bounds[:2]) - np.array(paper.bounds[:2])
    assert affinity.translate(paper, *shift).symmetric_difference(laid).area < 1e-4


@pytest.mark.parametrize("cloth", SPREADS)
@pytest.mark.parametrize("robe", ROBES)
def test_a_robe_can_be_cut(robe, cloth):
    pattern, spread = ROBES[robe], SPREADS[cloth]
    outlines = cut_lines(pattern)
    layout = lay_pattern(pattern, outlines, spread)
    check_layout(layout)
    assert 0 < layout.used < 1
    # Whatever the fold, as much cloth is cut as the pieces have.
    cut = sum(Polygon(outlines[piece.panel.name]).area for piece in pattern.pieces())
    assert sum(placement.piece.area for placement in layout.placements) == pytest.approx(cut, rel=1e-3)
    if not spread.folded:
        assert [placement.piece.name for placement in layout.placements] == [p.name for p in pattern.pieces()]


def test_freedom_never_costs_cloth():
    """What cloth with alike faces and no direction may do includes what a one-way print may."""
    lengths = [
        lay_pattern(ROBES["joined"], cut_lines(ROBES["joined"]), Spread(400.0, one_way=one_way, alike=alike)).length
        for one_way, alike in ((True, False), (False, False), (False, True))
    ]
    assert lengths == sorted(lengths, reverse=True)


def test_the_same_cloth_gives_the_same_layout():
    pieces = single_pieces(ROBES["apart"], cut_lines(ROBES["apart"]))
    one, other = (lay_out(pieces, SPREADS["bolt"]) for _ in range(2))
    assert all(np.array_equal(a.outline, b.outline) for a, b in zip(one.placements, other.placements, strict=True))


def test_the_published_cutting_sum_of_a_bolt():
    """A 36 cm bolt of 12 m makes one kimono for a woman of 164 cm, cut in straight strips.

    Source: http://susanbriscoe.blogspot.com/2008/01/how-to-cut-out-kimono-and-other-things.html : four body lengths of
    the height and 8 cm, over which runs no other piece; overlaps and collar side by side, 15 cm shorter; the rest is
    sleeves. 12 m less 6.88 m and 3.14 m leaves 1.98 m: four sleeve halves of 49.5 cm.
    """
    height = 1640.0
    woman = WOMAN | {"height": height, "shoulder_height": WOMAN["shoulder_height"] / WOMAN["height"] * height}
    robe = ROBE.draft(woman, {"method": "proportions", "length_to": "full", "overlap_joined": False})
    body, narrow, seam = height + 80, height + 80 - 150, 20  # a centimetre at each long side: common practice
    strips = {
        "back": (np.ptp(robe.panel("back").outline[:, 0]) + seam, body),
        "front": (np.ptp(robe.panel("front").outline[:, 0]) + seam, body),
        "overlap": (np.ptp(robe.panel("overlap").outline[:, 0]) + seam, narrow),
        "neckband": (np.ptp(robe.panel("neckband").outline[:, 1]) + seam, np.ptp(robe.panel("neckband").outline[:, 0])),
        "sleeve": tuple(np.ptp(robe.panel("sleeve").outline, axis=0)),
    }
    assert np.ptp(robe.panel("overlap").outline[:, 1]) + 80 <= narrow  # the draft's overlap is cut from that strip
    bolt = Spread(360.0, gap=0)
    pieces = [
        CutPiece(piece.name, np.array(box(0, 0, *strips[piece.panel.name]).exterior.coords)[:-1], UP)
        for piece in robe.pieces()
        if piece.panel.name in strips
    ]
    layout = lay_out([piece for piece in pieces if not piece.name.startswith("sleeve")], bolt)
    assert layout.length == pytest.approx(6880 + 3140)
    rest = 12000 - layout.length
    drop = next(rule.mm for rule in robe.rules if rule.name == "sleeve_drop")
    assert rest / 4 == pytest.approx(495)
    assert 0 <= rest / 4 - drop < 5  # the draft's sleeve is what the bolt leaves
    whole = lay_out(pieces, bolt)
    check_layout(whole)
    assert 11980 < whole.length <= 12000


@st.composite
def polygons(draw) -> np.ndarray:
    """A simple polygon, starred round a point, corners on no grid."""
    count = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(5, 60), min_size=count, max_size=count))
    angles = 2 * np.pi * (np.arange(count) + draw(st.floats(0, 1))) / count
    points = np.column_stack([np.cos(angles), np.sin(angles)]) * np.array(radii)[:, None]
    return points * [1, draw(st.sampled_from([0.5, 1, 2]))]


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(polygons(), st.floats(-180, 180), st.booleans()), min_size=2, max_size=6), st.data())
def test_pieces_of_any_shape_never_overlap(shapes, data):
    spread = Spread(
        data.draw(st.floats(240, 500)),
        length=data.draw(st.sampled_from([math.inf, 300.0])),
        one_way=data.draw(st.booleans()),
        alike=data.draw(st.booleans()),
        gap=data.draw(st.sampled_from([0.0, 1.5])),
    )
    pieces = [
        CutPiece(f"piece {i}", outline, np.array([math.sin(math.radians(way)), math.cos(math.radians(way))]), mirrored)
        for i, (outline, way, mirrored) in enumerate(shapes)
    ]
    check_layout(lay_out(pieces, spread))


@settings(max_examples=40, deadline=None)
@given(polygons(), polygons(), st.floats(-1, 1))
def test_the_no_fit_region_is_where_two_pieces_overlap(a, b, share):
    """Outside the region no overlap; well inside it there is one."""
    region = [no_fit(p, q) for p in bands(a) for q in bands(b)]
    width_a, width_b = np.ptp(a[:, 0]), np.ptp(b[:, 0])
    shift = (share + 1) / 2 * (width_a + width_b) - width_b + a[:, 0].min() - b[:, 0].min()
    inside = [r for r in region if r.low.x[0] < shift < r.low.x[-1]]
    for r in inside:
        for y in (r.low(shift), r.high(shift)):
            clear = all(not o.low(shift) + 1e-6 < y < o.high(shift) - 1e-6 for o in inside)
            moved = affinity.translate(Polygon(b), shift, y)
            assert not clear or Polygon(a).intersection(moved).area < 1e-6


@settings(max_examples=40, deadline=None)
@given(polygons(), polygons(), st.floats(0.02, 0.98))
def test_the_no_fit_region_of_convex_pieces_is_hardly_larger_than_it_must_be(a, b, share):
    a, b = (np.array(Polygon(p).convex_hull.exterior.coords)[:-1] for p in (a, b))
    (region,) = [no_fit(p, q) for p in bands(a) for q in bands(b)]
    first, last = region.low.x[[0, -1]]
    shift = first + share * (last - first)
    low, high = region.low(shift), region.high(shift)
    little = min(0.5, (high - low) / 2)
    for y in (low + little, high - little):  # a little nearer they overlap
        assert Polygon(a).distance(affinity.translate(Polygon(b), shift, float(y))) == 0


def test_bands_cover_the_outline_and_hardly_more():
    ring = np.array([[0, 0], [60, 0], [60, 50], [40, 50], [40, 20], [20, 20], [20, 50], [0, 50]], dtype=float)
    lying = ring[:, ::-1] * [1, -1]  # two arms, one above the other: more than one band
    for outline in (ring, lying):
        shapes = [
            Polygon(
                np.concatenate([np.column_stack([b.low.x, b.low.y]), np.column_stack([b.high.x, b.high.y])[::-1]])
            ).buffer(1e-9)
            for b in bands(outline)
        ]
        union = unary_union(shapes)
        assert union.buffer(1e-6).contains(Polygon(outline))
        assert union.area == pytest.approx(Polygon(outline).area, rel=1e-3)
    assert len(bands(ring)) == 1
    assert len(bands(lying)) == 3


def test_two_steps_are_laid_into_each_other():
    """Two L shapes make a rectangle when one is turned: all of the cloth is used."""
    step = np.array([[0, 0], [100, 0], [100, 50], [50, 50], [50, 150], [0, 150]], dtype=float)
    pieces = [CutPiece("one", step, UP), CutPiece("other", step, UP)]
    layout = lay_out(pieces, Spread(150.01, gap=0))
    check_layout(layout)
    assert layout.length == pytest.approx(150, abs=0.01)
    assert {placement.turned for placement in layout.placements} == {0, 180}
    assert lay_out(pieces, Spread(150.01, gap=0, one_way=True)).length == pytest.approx(200)


def test_halves_on_the_fold():
    vase = np.array([[-30, 0], [30, 0], [20, 40], [35, 80], [-35, 80], [-20, 40]], dtype=float)
    half = half_on_fold(vase, UP)
    assert Polygon(half).area == pytest.approx(Polygon(vase).area / 2)
    assert half[:, 0].min() == pytest.approx(0)
    across = half_on_fold(vase @ np.array([[0, 1], [-1, 0]]), np.array([-1.0, 0.0]))  # the same lying on its side
    assert Polygon(across).area == pytest.approx(Polygon(vase).area / 2)
    assert half_on_fold(vase + np.array([[5, 0]] + [[0, 0]] * 5), UP) is None


@pytest.mark.parametrize("cut", [1, 2, 3, 4, 7])
@pytest.mark.parametrize("folded", [False, True])
def test_as_many_pieces_are_laid_as_are_cut(cut, folded):
    """Half of an even number are mirrored; through folded cloth two are cut at once, or one on the fold."""
    leaning = Panel("tab", trace(*zip("abcd", ([0, 0], [40, 0], [55, 80], [10, 80]), strict=True)), cut, "trunk", GRAIN)
    pattern = Pattern("tabs", (leaning,), (), (), (), {}, {})
    layout = lay_pattern(pattern, cut_lines(pattern), Spread(500.0, folded=folded))
    check_layout(layout)
    names = [placement.piece.name for placement in layout.placements]
    assert len(set(names)) == len(names)
    assert sum(placement.piece.layers for placement in layout.placements) == cut
    if not folded:
        assert sum(placement.mirrored for placement in layout.placements) == (cut // 2 if cut % 2 == 0 else 0)


def test_what_is_too_large_is_refused_by_name():
    pieces = single_pieces(ROBES["joined"], cut_lines(ROBES["joined"]))
    with pytest.raises(DraftError, match=r"The back.left is \d+ mm wide across the grain, .* room for 60 mm: "):
        lay_out(pieces, Spread(60.0))
    with pytest.raises(DraftError, match=r"The back.left is \d+ mm long, and the piece of cloth 200 mm"):
        lay_out(pieces, Spread(500.0, length=200.0))
    with pytest.raises(DraftError, match="nothing to lay"):
        lay_out([], Spread(500.0))
    with pytest.raises(OptionError, match="leaves no room between selvedges"):
        Spread(20.0, selvedge=10.0)
    with pytest.raises(OptionError, match="width is nan"):
        Spread(math.nan)


@pytest.mark.parametrize(
    ("mm", "metres", "yards"),
    [
        (1.0, 0.1, "1/8"),
        (500.0, 0.5, "5/8"),
        (914.4, 1.0, "1"),
        (914.5, 1.0, "1 1/8"),
        (1371.6, 1.4, "1 1/2"),
    ],
)
def test_shops_sell_tenths_of_a_metre_and_eighths_of_a_yard(mm, metres, yards):
    strip = np.array([[0, 0], [10, 0], [10, mm], [0, mm]])
    bought = purchase(lay_out([CutPiece("strip", strip, UP)], Spread(100.0)))
    assert bought.metres == metres
    assert yards_text(bought.yards) == yards
    assert bought.metres * 1000 >= mm
    assert bought.yards * Fraction(9144, 10) >= Fraction(mm)


def test_words_for_the_shop():
    strip = np.array([[0, 0], [60, 0], [60, 450], [0, 450]])
    pieces = [CutPiece(f"strip {i}", strip, UP) for i in range(9)]
    assert purchase(lay_out(pieces, FAT_QUARTER)).words("in") == "2 pieces of cloth 21 in by 18 in"
    assert purchase(lay_out(pieces, Spread(1100.0))).words() == "0.5 m of cloth 1100 mm wide"
    assert purchase(lay_out(pieces, Spread(1143.0))).words("in") == "1/2 yd of cloth 45 in wide"


@pytest.mark.parametrize("seed", range(4))
def test_never_longer_than_boxes_packed_by_a_general_library(seed):
    """rectpack knows boxes alone; the bench compares many more sets."""
    pieces, spread = made_up(seed)
    layout = lay_out(pieces, spread)
    check_layout(layout)
    assert layout.length <= of_layout(layout) + 1e-6
