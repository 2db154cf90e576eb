"""A cloth of the maker's own from a weighed square and two strips: closed forms, wrong figures, and the file."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drafting.cloth.fabric_file import read_fabric
from drafting.cloth.home_tests import HomeTests, faults, read_tests, toml_of
from drafting.errors import ClothError
from drafting.units import MM_PER_INCH

LAWN = HomeTests("100mm", "0.83", "32mm", "28mm", "0.2mm")


def test_mass_and_bending_length_are_the_closed_forms() -> None:
    """BS 3356: the bending length is half the overhang; 0.83 g on a square of 100 mm is 83 g/m2."""
    cloth = read_tests(LAWN, "lawn of mine")
    assert cloth.name == "lawn of mine"
    assert (cloth.mass_g_m2, cloth.warp_mm, cloth.weft_mm, cloth.thickness_mm) == pytest.approx((83.0, 16.0, 14.0, 0.2))


@given(
    side=st.floats(20.0, 300.0),
    mass=st.floats(10.0, 1000.0),
    warp=st.floats(8.0, 250.0),
    weft=st.floats(8.0, 250.0),
)
@settings(max_examples=60, deadline=None)
def test_what_is_written_is_read_back(side: float, mass: float, warp: float, weft: float) -> None:
    tests = HomeTests(f"{side!r}mm", repr(mass * (side / 1000.0) ** 2), f"{warp!r}", f"{weft / MM_PER_INCH!r}in")
    assert not faults(tests)
    cloth = read_fabric(toml_of(tests, 'my "blue" \\ lawn, ä'), "other")
    assert cloth.name == 'my "blue" \\ lawn, ä'
    assert (cloth.mass_g_m2, cloth.warp_mm, cloth.weft_mm) == pytest.approx((mass, warp / 2, weft / 2))
    assert cloth == read_tests(tests, cloth.name)


@pytest.mark.parametrize(
    ("figure", "text", "why"),
    [
        ("square", "wide", "write it like"),
        ("square", "0mm", "nothing"),
        ("square_g", "heavy", "no weight"),
        ("square_g", "0", "nothing"),
        ("square_g", "830", "83000"),
        ("overhang_warp", "2mm", "between 6 and 300"),
        ("overhang_weft", "400mm", "between 6 and 300"),
        ("thickness", "90mm", "is expected"),
    ],
)
def test_a_wrong_figure_is_told_at_its_own_field(figure: str, text: str, why: str) -> None:
    wrong = HomeTests(**{**LAWN.given, figure: text})
    assert list(faults(wrong)) == [figure]
    assert re.search(why, faults(wrong)[figure])


def test_fields_that_are_empty_are_no_faults_but_no_cloth_yet() -> None:
    assert not faults(HomeTests("100mm", "", "", "28mm"))
    for name in ("square", "square_g", "overhang_warp", "overhang_weft"):
        with pytest.raises(ClothError, match="missing"):
            read_tests(HomeTests(**{key: text for key, text in LAWN.given.items() if key != name}), "lawn")


def test_a_decimal_comma_is_a_figure() -> None:
    assert read_tests(HomeTests("10cm", "0,83 g", "3,2cm", "28", ""), "a").mass_g_m2 == pytest.approx(83.0)
