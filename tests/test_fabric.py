"""Fabrics: the table, a maker's own cloth, and the law that hands them to the solver."""

from __future__ import annotations

import math
import tomllib

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from drafting.cloth.fabric import FABRICS
from drafting.cloth.fabric_file import read_fabric
from drafting.cloth.law import GRAVITY, HINGE, bending_setting, steps_needed
from drafting.errors import ClothError
from scripts import calibrate_bending

PLAIN = "mass_g_m2 = 80\nbending_warp = 16\nbending_weft = 14\n"


def test_the_table_has_the_common_fabrics_each_with_a_source_beside_every_figure(root):
    named = {
        "lawn", "voile", "quilting cotton", "poplin", "habotai", "crepe de chine", "chiffon", "linen", "denim",
        "flannel", "jersey",
    }  # fmt: skip
    assert set(FABRICS) == named
    assert all(fabric.source for fabric in FABRICS.values())
    lines = (root / "drafting" / "cloth" / "fabrics.toml").read_text().splitlines()
    for line in lines:
        if line.startswith(("mass_g_m2", "thickness", "bending")):
            assert any(mark in line for mark in ("seen", "trade", "memory")), line


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        # Bands that the trade and its schools give, g/m2: a momme is 4.340 g/m2; the rest from fabric charts.
        ("chiffon", 6 * 4.340, 8 * 4.340),
        ("habotai", 5 * 4.340, 16 * 4.340),
        ("crepe de chine", 12 * 4.340, 16 * 4.340),
        ("voile", 70, 120),
        ("lawn", 70, 100),
        ("poplin", 110, 160),
        ("quilting cotton", 130, 200),
        ("jersey", 140, 200),
        ("denim", 200, 400),
    ],
)
def test_masses_lie_in_the_bands_of_the_trade(name, low, high):
    assert low <= FABRICS[name].mass_g_m2 <= high


@pytest.mark.parametrize(("way", "rigidity"), [("warp_mm", 64.196457e-6), ("weft_mm", 96.951576e-6)])
def test_denim_bends_as_it_was_measured(way, rigidity):
    """Wang, O'Brien, Ramamoorthi, ACM TOG 30(4), 2011, 11 oz denim: N m at low curvature, 0.324 kg/m2; B = w g c^3."""
    measured = 1e3 * (rigidity / (0.324 * 9.80665)) ** (1 / 3)
    assert getattr(FABRICS["denim"], way) == pytest.approx(measured, rel=0.005)


@given(st.floats(40, 400), st.floats(0.05, 30), st.floats(7, 200), st.floats(7, 200))
def test_the_home_tests_say_the_same_as_the_figures(side, grams, warp, weft):
    mass = grams / (side / 1000) ** 2
    assume(5.01 < mass < 1499)
    raw = f"square = {side}\nsquare_g = {grams}\noverhang_warp = {warp}\noverhang_weft = {weft}\n"
    final = f"mass_g_m2 = {mass}\nbending_warp = {warp / 2}\nbending_weft = {weft / 2}\n"
    one, other = read_fabric(raw, "mine"), read_fabric(final, "mine")
    assert one.mass_g_m2 == pytest.approx(other.mass_g_m2)
    assert (one.warp_mm, one.weft_mm) == pytest.approx((other.warp_mm, other.weft_mm))
    # The overall rigidity is the geometric mean of both ways'.
    w = 1e-3 * one.mass_g_m2 * GRAVITY
    rigid = [w * length**3 for length in (one.warp_mm, one.weft_mm, one.bending_mm)]
    assert rigid[2] == pytest.approx(math.sqrt(rigid[0] * rigid[1]))


def test_lengths_may_be_written_as_makers_write_them():
    mine = read_fabric('square = "4in"\nsquare_g = 0.9\noverhang_warp = "1 1/4in"\noverhang_weft = "2.8cm"', "mine")
    assert mine.mass_g_m2 == pytest.approx(0.9 / 0.1016**2)
    assert (mine.warp_mm, mine.weft_mm) == pytest.approx((15.875, 14.0))
    assert "thickness worked out" in mine.source


def test_a_row_of_the_table_is_a_makers_file(root):
    rows = tomllib.loads((root / "drafting" / "cloth" / "fabrics.toml").read_text())
    for name, row in rows.items():
        text = "\n".join(f"{key} = {value!r}".replace("'", '"') for key, value in row.items() if key != "source")
        mine = read_fabric(text, name)
        assert (mine.mass_g_m2, mine.bending_mm, mine.thickness_mm) == pytest.approx(
            (FABRICS[name].mass_g_m2, FABRICS[name].bending_mm, FABRICS[name].thickness_mm)
        )


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("mass_g_m2 80", "not TOML"),
        ("weight = 80", "weight is not a fabric's; known are: name, mass_g_m2, square"),
        ("bending_warp = 16\nbending_weft = 14", "give mass_g_m2, or square and square_g"),
        ("square = 100\nbending_warp = 16\nbending_weft = 14", "square_g"),
        (PLAIN + "square = 100", "leave one of them out"),
        ("mass_g_m2 = 80\nbending_warp = 16", "overhang_weft"),
        (PLAIN + "overhang_warp = 30", "leave one of them out"),
        (PLAIN.replace("16", '"sixteen"'), "bending_warp: 'sixteen' is not a length"),
        (PLAIN.replace("16", "true"), "bending_warp = True"),
        (PLAIN.replace("16", "-3"), "above 0"),
        (PLAIN.replace("16", "160"), "between 3 and 150"),
        (PLAIN.replace("80", "8000"), "8000 g/m2; between 5 and 1500"),
        (PLAIN + "thickness = 30", "thickness comes to 30 mm"),
        (PLAIN + "friction = 5", "friction comes to 5; between"),
        (PLAIN + "stretch_bias = nan", "stretch_bias"),
    ],
)
def test_what_is_wrong_with_a_file_is_told(text, part):
    with pytest.raises(ClothError) as caught:
        read_fabric(text, "mine")
    assert part in str(caught.value)


@given(st.floats(3, 40), st.floats(2, 12), st.floats(0.1, 1), st.floats(0.2, 5))
def test_the_law_knows_no_scale(bending, edge, mass, scale):
    """At any scale: a number of the solver with one length less in it."""
    one = bending_setting(bending / 1e3, edge / 1e3, mass)
    other = bending_setting(scale * bending / 1e3, scale * edge / 1e3, mass)
    assert other * scale == pytest.approx(one)
    # B = K b h^2 = w g c^3 with w = m / h^2.
    assert HINGE * one * (edge / 1e3) ** 2 == pytest.approx(mass / (edge / 1e3) ** 2 * GRAVITY * (bending / 1e3) ** 3)


def test_steps_are_enough_against_the_ripple():
    assert steps_needed(20.0, 0.3) == math.ceil(1.25 * math.sqrt(0.2 * 20.0 / 0.3))
    assert steps_needed(80.0, 0.3) in (2 * steps_needed(20.0, 0.3) - 1, 2 * steps_needed(20.0, 0.3))


def test_the_hinge_is_what_the_kept_strips_say():
    strips = calibrate_bending.read()
    assert len(strips) == 60
    assert calibrate_bending.fitted(strips) == pytest.approx(HINGE, rel=0.01)
    along = sorted(abs(strip.residual) for strip in strips if strip.turn_deg % 90 == 0)
    assert along[-1] < 0.05
    assert along[len(along) // 2] < 0.02
