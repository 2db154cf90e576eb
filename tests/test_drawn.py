"""Garments of the maker's own drawing, made ready to be worn: placed by their seams, laid flat, refused in one line."""

from __future__ import annotations

import json

import numpy as np
import pytest
from drawings import write
from drawn_garments import GARMENTS, SKIRT_PLAN, TUNIC, TUNIC_PLAN, draw
from robes import DOLL, draft
from shapely import Polygon

from drafting.errors import DraftError, MeasureError
from drafting.garments import ROBE
from drafting.garments.drawn import Drawn
from drafting.garments.layered import is_under
from drafting.garments.options import drafted_by
from drafting.paper.issue import issue
from drafting.paper.layout import Spread
from drafting.paper.own import read_own
from drafting.paper.own_write import plan_toml
from drafting.paper.page import read_page
from drafting.paper.svg import pattern_svg
from drafting.paper.template import Size
from drafting.pattern.pattern import Pattern, Piece
from drafting.pattern.record import pattern_record, read_record
from drafting.pattern.shape import draped_outline

ROBES = {
    "quarters": {},
    "back and overlap apart": {"overlap_joined": False, "back": "fold", "sleeve_corner": 15},
    "proportions": {"method": "proportions"},
    "right over left": {"fronts": "right over left", "hem_allowance": 14},
}


def worn(path, measures=DOLL) -> tuple[Drawn, Pattern]:
    own = read_own(path)
    garment = Drawn(own.pattern, own.wear, measures)
    return garment, garment.pattern


def even(points, count=9):
    along = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    at = np.linspace(0, along[-1], count)
    return np.column_stack([np.interp(at, along, points[:, i]) for i in (0, 1)])


@pytest.mark.parametrize("name", ROBES)
def test_a_robe_drawn_and_read_lies_as_the_draft_does(name, tmp_path):
    """Panels, seams, ties, and every point on the table: then it also drapes as the draft does."""
    pattern = draft(ROBES[name])
    path = tmp_path / "robe.svg"
    path.write_text(pattern_svg([Size("420 mm", pattern)]))
    path.with_suffix(".toml").write_text(plan_toml(pattern))
    garment, again = worn(path)
    assert again.seams == pattern.seams
    assert [piece.name for piece in again.pieces()] == [piece.name for piece in pattern.pieces()]
    for was, now in zip(pattern.pieces(), again.pieces(), strict=True):
        assert draped_outline(now.panel) == pytest.approx(draped_outline(was.panel), abs=1e-3)
        low, high = draped_outline(was.panel).min(axis=0), draped_outline(was.panel).max(axis=0)
        # Half a millimetre off round numbers: on a fold or a joint rounding may choose another layer.
        some = np.random.default_rng(3).uniform(low, high, (200, 2))
        for flat in (draped_outline(was.panel), some):
            assert garment.lay(again, now, flat) == pytest.approx(ROBE.lay(pattern, was, flat), abs=1e-3)
    for was, now in zip(pattern.ties, again.ties, strict=True):
        assert (now.a[0], now.b[0]) == (was.a[0], was.b[0])
        assert np.array([now.a[1:], now.b[1:]]) == pytest.approx(np.array([was.a[1:], was.b[1:]]), abs=1e-3)
    for option in ("fronts", "seam_allowance", "hem_allowance", "band_hem", "trimming_allowance"):
        assert again.options[option] == pattern.options[option]


@pytest.mark.parametrize("name", GARMENTS)
def test_partners_of_a_drawn_seam_lie_together(name, tmp_path):
    """Point by point on the table, on both sides of the body: places, pairs and directions are right."""
    garment, pattern = worn(draw(tmp_path, name))
    for seam in pattern.seams:
        for sides in seam.pairs:
            a, b = (
                garment.lay(pattern, Piece(pattern.panel(panel), side), even(pattern.panel(panel).edge(edge).points))
                for (panel, edge), side in zip((seam.a, seam.b), sides, strict=True)
            )
            assert a[:, :2] == pytest.approx(b[::-1, :2] if seam.turned else b[:, :2], abs=0.05), seam


def test_a_tunic_hangs_from_the_shoulders_and_its_sleeves_go_on_from_them(tmp_path):
    garment, pattern = worn(draw(tmp_path, "tunic"))
    laid = {piece.name: garment.lay(pattern, piece, piece.panel.outline) for piece in pattern.pieces()}
    assert {name: float(points[:, 1].max()) for name, points in laid.items()} == pytest.approx(dict.fromkeys(laid, 0.0))
    assert set(laid["front"][:, 2]) == {1.0}
    assert set(laid["back.left"][:, 2]) == set(laid["back.right"][:, 2]) == {-1.0}
    left, right = laid["sleeve.left"], laid["sleeve.right"]
    assert (left[:, 0].min(), left[:, 0].max()) == pytest.approx((65.0, 165.0))
    assert right == pytest.approx(left * [-1, 1, 1])
    assert set(left[:, 2]) == {1.0, -1.0}
    assert [(tie.a, tie.b) for tie in pattern.ties] == [(("back.left", 0.0, -20.0), ("back.right", 0.0, -20.0))]


def test_a_skirt_hangs_from_the_waist(tmp_path):
    garment, pattern = worn(draw(tmp_path, "skirt"))
    drop = DOLL["shoulder_height"] - DOLL["waist_height"]
    for piece in pattern.pieces():
        laid = garment.lay(pattern, piece, piece.panel.outline)
        assert (laid[:, 1].max(), laid[:, 1].min()) == pytest.approx((-drop, -drop - 120.0))
    lower, same = (
        worn(draw(tmp_path, "skirt", plan=SKIRT_PLAN.replace('hangs = "waist"', f'hangs = "{mm}mm"')))[1]
        for mm in (drop + 8, drop)
    )
    assert lower.panel("front").outline == pytest.approx(same.panel("front").outline - [0.0, 8.0])
    with pytest.raises(MeasureError, match="hangs from the waist, and the doll's waist height is missing"):
        worn(draw(tmp_path, "skirt"), {"height": 420.0, "shoulder_height": 345.0})


def test_faces_and_places_come_from_seams_where_names_do_not_tell(tmp_path):
    """The back is called something else: it is sewn to lie over the front. Drawn anywhere, turned any way round."""
    told = worn(draw(tmp_path, "tunic"))[1]
    plan = TUNIC_PLAN.replace("panels.back", "panels.rear").replace('"back.', '"rear.')
    drawing = TUNIC.replace('id="back"', 'id="rear"').replace(
        '<path id="sleeve" d="M270 20 H370 V130 H270 Z"/>',
        '<path id="sleeve" transform="rotate(90 300 150)" d="M270 20 H370 V130 H270 Z"/>',
    )
    # Turned a quarter clockwise on the page the sleeve's list of edges begins at another corner.
    plan = plan.replace(
        '["bottom_front", "wrist", "bottom_back", "armhole_back 55mm", "armhole_front"]',
        '["wrist", "bottom_back", "armhole_back 55mm", "armhole_front", "bottom_front"]',
    )
    garment, pattern = worn(draw(tmp_path, "tunic", drawing, plan))
    by_name = {piece.name.replace("rear", "back"): piece for piece in pattern.pieces()}
    for piece in told.pieces():
        again = by_name[piece.name].panel
        assert Polygon(again.outline).symmetric_difference(Polygon(piece.panel.outline)).area < 1e-6, piece.name
        assert garment.lay(pattern, by_name[piece.name], piece.panel.outline)[:, 2].mean() == pytest.approx(
            {"front": 1.0, "back": -1.0}.get(piece.panel.name, 0.0), abs=0.3
        )


def test_a_centre_and_a_top_that_are_said_count(tmp_path):
    plan = SKIRT_PLAN.replace("[panels.front]", '[panels.front]\ncentre = "80mm"\ntop = "5mm"')
    front = worn(draw(tmp_path, "skirt", plan=plan))[1].panel("front")
    assert front.outline[:, 0].min() == pytest.approx(-80.0)
    assert front.outline[:, 1].max() == pytest.approx(-92.0)


def test_what_is_not_worn_is_left_out_and_may_be_cut_any_number_of_times(tmp_path):
    pocket = '<path id="pocket" d="M370 20 H400 V50 H370 Z"/>'
    plan = SKIRT_PLAN + '\n[panels.pocket]\ncut = 4\nworn = "no"\n'
    path = draw(tmp_path, "skirt", GARMENTS["skirt"][0] + pocket, plan)
    assert [panel.name for panel in worn(path)[1].panels] == ["front", "back"]
    pieces = [piece.name for piece in read_own(path).pattern.pieces() if piece.panel.name == "pocket"]
    assert pieces == ["pocket.left", "pocket.right", "pocket.left.2", "pocket.right.2"]
    path = draw(tmp_path, "skirt", GARMENTS["skirt"][0] + pocket, plan.replace('worn = "no"', 'lies = "front"'))
    with pytest.raises(
        DraftError, match=r"The pocket at .* is cut 4 times, and only a left and a right one can be worn"
    ):
        worn(path)


def test_the_worn_pattern_is_a_record_like_any_other(tmp_path):
    pattern = worn(draw(tmp_path, "tunic"))[1]
    assert pattern_record(read_record(json.loads(json.dumps(pattern_record(pattern))))) == pattern_record(pattern)
    assert {rule.name for rule in pattern.rules} == {"drawing_unit", "front_top", "back_top"}


@pytest.mark.parametrize("name", ["under_sleeve", "underarm", "under_"])
def test_a_panel_whose_name_begins_with_under_is_worn_outermost(tmp_path, name):
    """Which layer a piece belongs to is a value; a name is the maker's."""
    drawing, plan = (text.replace("sleeve", name) for text in (TUNIC, TUNIC_PLAN))
    plan = plan.replace(f'role = "{name}"', 'role = "sleeve"')
    garment, pattern = worn(draw(tmp_path, "tunic", drawing, plan))
    (sleeve, *_) = [piece for piece in pattern.pieces() if piece.panel.name == name]
    assert not any(is_under(piece) for piece in pattern.pieces())
    usual = worn(draw(tmp_path, "tunic"))
    same = next(piece for piece in usual[1].pieces() if piece.panel.role == "sleeve")
    both = ((garment, pattern, sleeve), (*usual, same))
    laid = [one.lay(whole, piece, draped_outline(piece.panel)) for one, whole, piece in both]
    np.testing.assert_allclose(laid[0], laid[1])


def test_what_a_fit_of_a_drawing_wrote_is_printed(tmp_path):
    """pattern.json as it was worn: pages, layout and guide, the guide without the table that only rules know."""
    pattern = read_record(json.loads(json.dumps(pattern_record(worn(draw(tmp_path, "tunic"))[1]))))
    assert not drafted_by(ROBE, pattern)
    assert drafted_by(ROBE, read_record(json.loads(json.dumps(pattern_record(draft())))))
    files = issue([("tunic", pattern)], ROBE, read_page("A4"), "mm", Spread(1100.0)).files
    assert files["guide.pdf"].startswith(b"%PDF")
    assert {"pattern.pdf", "pattern.svg", "pattern.dxf", "layout.svg"} <= files.keys()


STRIP = '<polygon id="{}" points="10,150 190,150 190,170 10,170"/>'
REFUSED = {
    "no face": (
        '<polygon id="bib" points="10,10 90,10 90,90 10,90"/>',
        "",
        r'The bib at \(50.0, 50.0\) mm from the upper left corner: does .* lies = "front" in',
    ),
    "no centre": (
        '<polygon id="front" points="10,10 60,10 90,90 10,90"/>',
        "",
        r"The front at \(50.0, 50.0\) mm .*: where is its centre line\? Write",
    ),
    "a right half": (
        '<polygon id="back" points="10,10 60,10 60,90 5,90"/>',
        '[panels.back]\ncut = 2\n[[seams]]\nsew = ["back.2", "back.2"]',
        r"The back at \(32.5, 50.0\) mm .* has its centre, 2, on its right",
    ),
    "a sleeve alone": (
        '<polygon id="front" points="10,10 60,10 60,90 10,90"/>' + STRIP.format("arm"),
        '[panels.arm]\nrole = "sleeve"',
        "The arm at .* must be sewn to a front and to a back with two edges",
    ),
    "a broken band": (
        '<polygon id="front" points="10,10 60,10 60,90 10,90"/>' + STRIP.format("band"),
        '[panels.band]\nrole = "band"',
        "The band at .*: a band is a strip whose sewn edges follow one another",
    ),
    "an endless sash": (
        '<polygon id="front" points="10,10 60,10 60,90 10,90"/>' + STRIP.format("sash"),
        '[panels.sash]\nrole = "sash"',
        'The sash at .*: how much of it goes round the body, without its tails. Write worn = "180mm"',
    ),
    "a short sash": (
        '<polygon id="front" points="10,10 60,10 60,90 10,90"/>' + STRIP.format("sash"),
        '[panels.sash]\nrole = "sash"\nworn = "200mm"',
        "The sash at .* is 180.0 mm long, and 200.0 mm of it are to be worn",
    ),
    "part of a front": (
        '<polygon id="front" points="10,10 60,10 60,90 10,90"/>',
        '[panels.front]\nworn = "20mm"',
        "The front at .*: only a sash is worn in part",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_nothing_tells_is_asked_for_by_name(case, tmp_path):
    drawing, plan, message = REFUSED[case]
    with pytest.raises(DraftError, match=message):
        worn(write(tmp_path, drawing, plan))


def test_a_sleeve_drawn_as_the_right_one_is_told(tmp_path):
    plan = TUNIC_PLAN.replace('"armhole_back 55mm", "armhole_front"', '"armhole_front 55mm", "armhole_back"')
    with pytest.raises(DraftError, match=r"The sleeve at .* is drawn as the right one"):
        worn(draw(tmp_path, "tunic", plan=plan))


@pytest.mark.parametrize(
    ("plan", "message"),
    [
        ('hangs = "knee"', "hangs is 'knee'; it may be shoulder, bust, waist, hip, or a length"),
        ('fronts = "crossed"', "fronts is 'crossed'; it may be left over right, right over left"),
        ('seam_allowance = "wide"', "seam_allowance: 'wide' is not a length"),
        ('[panels.front]\nlies = "inside"', r"\[panels.front\] in skirt.toml: lies is 'inside'; it may be front, back"),
        ('[panels.front]\ncentre = "right"', "centre is 'right'; it may be left, middle, or a length"),
        ('[panels.front]\ntop = "high"', "'high' is not a length"),
        ('[panels.front]\nworn = "half"', "worn is 'half'; it may be folded, whole, no, or a length"),
        ('[[ties]]\nhold = ["front"]', "hold names two points, the upper first"),
        ('[[ties]]\nhold = ["front 3mm", "back.left 1mm 1mm"]', '"front 3mm" is no point'),
        ('[[ties]]\nhold = ["front.top 3mm 3mm", "back.left 1mm 1mm"]', '"front.top" is no piece'),
        (
            '[[ties]]\nhold = ["back.left 3mm 3mm", "front 1mm 1mm"]',
            "A tie names back.left; there are the pieces front, back",
        ),
        ('[panels.back]\ncut = 2\n[[ties]]\nhold = ["back.left 300mm 3mm", "front 1mm 1mm"]', "which is 95.0 mm wide"),
    ],
)
def test_a_plan_for_wearing_that_is_not_understood(plan, message, tmp_path):
    with pytest.raises(DraftError, match=message):
        read_own(draw(tmp_path, "skirt", plan=plan))
