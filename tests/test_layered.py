"""One garment over another: as one pattern, laid flat, drafted, read, and draped."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from robes import DOLL, draft, sizes
from tubes import PlainRobe, circle, draped, pattern_of, tube_body, wrap

from drafting.cloth.crossing import crossing_pairs
from drafting.cloth.draped import Draped
from drafting.cloth.fabric import FABRICS, LAWN, lined
from drafting.cloth.mesh import joined, of_pieces
from drafting.errors import OptionError
from drafting.fit.fit import fit_record, read_fit
from drafting.garments import ROBE
from drafting.garments.layered import Beneath, Layered, is_under
from drafting.garments.under import under_robe
from drafting.pattern.check import check

VOILE, FLANNEL = FABRICS["voile"], FABRICS["flannel"]


def beneath(options: dict | None = None, **chosen: object) -> tuple[Beneath, object]:
    outer = draft(options)
    return Beneath(ROBE, under_robe(ROBE, DOLL, outer, (LAWN, VOILE), chosen), VOILE), outer


@pytest.mark.parametrize("options", [{}, {"back": "fold"}, {"overlap_joined": False}], ids=str)
def test_both_are_one_pattern_that_can_be_sewn(options):
    """All of both but the lower sash, under names that are told apart; the checks of any pattern pass."""
    under, outer = beneath(options)
    whole = check(Layered(ROBE, under, 2.0).over(outer))
    names = {piece.name for piece in whole.pieces()}
    assert names == {piece.name for piece in outer.pieces()} | {
        f"under_{piece.name}" for piece in under.pattern.pieces() if piece.panel.role != "sash"
    }
    below = {piece.panel.name for piece in whole.pieces() if is_under(piece)}
    across = [seam for seam in whole.seams if (seam.a[0] in below) != (seam.b[0] in below)]
    assert not across, "no seam joins the two"
    assert len(whole.seams) == len(outer.seams) + len(under.pattern.seams) - 1


@pytest.mark.parametrize(("inner", "outer"), [("voile", "lawn"), ("flannel", "denim")])
def test_the_under_robe_is_smaller_by_what_lies_between(inner, outer):
    """Steiner: four panels lose 2 pi times half of both thicknesses, less than one mark of half a millimetre more."""
    robe, cloths = draft(), (FABRICS[outer], FABRICS[inner])
    small, large = sizes(under_robe(ROBE, DOLL, robe, cloths, {})), sizes(robe)
    lost = 4.0 * (large["back_width"] - small["back_width"])
    between = np.pi * sum(cloth.thickness_mm for cloth in cloths)
    assert between - 1e-9 <= lost < between + 4.0 * 0.5
    for name in ("length", "sleeve_drop", "wrist_allowance"):
        assert small[name] < large[name]
    assert small["armhole"] == large["armhole"]


def test_the_maker_may_choose_what_differs():
    robe = draft()
    assert sizes(under_robe(ROBE, DOLL, robe, (LAWN, VOILE), {"length": "200mm"}))["length"] == 200.0
    with pytest.raises(OptionError, match="no 'lenght'"):
        under_robe(ROBE, DOLL, robe, (LAWN, VOILE), {"lenght": "200mm"})


@pytest.mark.parametrize("name", ["lawn", "denim"])
def test_a_cloth_lined_with_itself_bends_alike_and_is_twice_as_thick(name):
    """Two leaves that slide: rigidity and mass both double, so B / w and with it the bending length stay (Peirce)."""
    cloth = FABRICS[name]
    twice = lined(cloth, cloth)
    assert twice.bending_mm == pytest.approx(cloth.bending_mm)
    assert (twice.mass_g_m2, twice.thickness_mm) == (2.0 * cloth.mass_g_m2, 2.0 * cloth.thickness_mm)


def test_a_lining_adds_its_rigidity():
    both = lined(LAWN, FLANNEL)
    rigidity = [cloth.mass_g_m2 * cloth.warp_mm**3 for cloth in (LAWN, FLANNEL, both)]
    assert rigidity[2] == pytest.approx(rigidity[0] + rigidity[1])
    assert LAWN.thickness_mm + FLANNEL.thickness_mm == pytest.approx(both.thickness_mm)


def test_cloth_parted_and_joined_is_the_same_cloth():
    cloth = wrap(circle(45.0), 70.0, 25.0, 25, 330).cloth()
    other = replace(
        cloth, vertices=cloth.vertices + np.array([500.0, 0.0, 0.0]), pieces=tuple(f"b {p}" for p in cloth.pieces)
    )
    both = joined(cloth, other)
    for one in (cloth, other):
        again = of_pieces(both, {name: name for name in one.pieces})
        assert again.pieces == one.pieces
        assert again.roles == one.roles
        assert np.allclose(again.vertices[again.faces], one.vertices[one.faces])
        assert (again.flat == one.flat).all()
        assert (again.piece == one.piece).all()
    front = of_pieces(cloth, {"front.left": "own"})
    assert front.edges.keys() == {("own", "hem")}
    assert np.allclose(front.vertices[front.edges["own", "hem"]][:, 2], 25.0)


@pytest.fixture(scope="module")
def layered_fit():
    """A tube 48 mm wide over one of 45, on a cylinder of 42, in cloth of half a millimetre."""
    thick = replace(LAWN, thickness_mm=0.5)
    inner, outer = (wrap(circle(radius), 0.5 * np.pi * radius, 0.0, 25, 330).cloth() for radius in (45.0, 48.0))
    whole = replace(draped(outer), under=inner)
    below = Beneath(PlainRobe(5.0, 80.0), pattern_of(inner), thick)
    return read_fit(tube_body(42.0, 420.0), whole, pattern_of(outer), PlainRobe(5.0, 80.0), LAWN, {}, below)


def test_a_layer_takes_two_pi_of_its_thickness(layered_fit):
    """Of the garment over it, and of nothing else (Steiner; source in `drafting/fit/layers.py`)."""
    for level in layered_fit.levels:
        assert level.garment_girth_mm == pytest.approx(2 * np.pi * 48.0, abs=0.1)
        assert level.ease_mm == pytest.approx(2 * np.pi * (48.0 - 42.0 - 0.5), abs=0.1)
    for level in layered_fit.under.levels:
        assert level.ease_mm == pytest.approx(2 * np.pi * (45.0 - 42.0), abs=0.1)


def test_the_record_tells_the_layers_from_the_body_outwards(layered_fit):
    record = json.loads(json.dumps(fit_record(layered_fit), allow_nan=False))
    under, robe = record["layers"]
    assert under["name"].startswith("under-")
    assert under["takes_mm"] == pytest.approx(np.pi, abs=1e-3)
    for level in ("bust", "waist", "hip"):
        apart = robe["girths"][level]["tape_mm"] - under["girths"][level]["tape_mm"]
        assert apart == pytest.approx(2 * np.pi * 3.0, abs=0.1), "the tapes differ by 2 pi times the gap between them"
    assert [level["name"] for level in record["under"]["levels"]] == ["bust", "waist", "hip"]
    assert record["cloth"]["vertices"] == 2 * len(wrap(circle(45.0), 70.0, 0.0, 25, 330).cloth().vertices)


def test_a_garment_through_the_one_beneath_is_counted():
    """A robe pushed sideways cuts the one under it, though neither cuts itself."""
    inner, outer = (wrap(circle(radius), 0.5 * np.pi * radius, 0.0, 25, 330).cloth() for radius in (45.0, 48.0))
    pushed = replace(outer, vertices=outer.vertices + np.array([6.0, 0.0, 0.0]))
    assert not len(crossing_pairs(outer.vertices, outer.faces))
    below = Beneath(PlainRobe(5.0, 80.0), pattern_of(inner), LAWN)

    def crossings(cloth):
        whole: Draped = replace(draped(cloth), under=inner)
        body = tube_body(42.0, 420.0)
        return read_fit(body, whole, pattern_of(outer), PlainRobe(5.0, 80.0), LAWN, {}, below).crossings

    assert crossings(outer) == 0 < crossings(pushed)


def test_nothing_beneath_is_one_layer():
    cloth = wrap(circle(45.0), 70.0, 25.0, 25, 330).cloth()
    fit = read_fit(tube_body(42.0, 420.0), draped(cloth), pattern_of(cloth), PlainRobe(5, 300), LAWN, {})
    assert len(fit.layers) == 1
    assert fit.under is None
    assert fit_record(fit)["under"] is None
