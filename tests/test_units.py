"""Lengths: what a maker writes is what is meant, and what is shown reads back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drafting.errors import LengthError
from drafting.units import (
    KUJIRA_SHAKU_MM,
    MM_PER_INCH,
    format_length,
    parse_length,
    round_down,
    round_up,
    split_lengths,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("82.5mm", 82.5),
        ("82.5", 82.5),
        (" 8.25 CM ", 82.5),
        ("1m", 1000.0),
        (".5cm", 5.0),
        ("10.5in", 266.7),
        ("3 1/4in", 82.55),
        ('3 1/4"', 82.55),
        ("3-1/4 inches", 82.55),
        ("3¼in", 82.55),
        ("¼″", 6.35),
        ("3⅞ in", 98.425),
        ("1/4in", 6.35),
        ("3 1⁄4”", 82.55),
        ("0mm", 0.0),
        ("26,8 cm", 268.0),
        ("82,5", 82.5),
        (",5cm", 5.0),
        ("0,125in", 3.175),
        ("1234,567", 1234.567),
    ],
)
def test_reads_what_makers_write(text, mm):
    assert parse_length(text) == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        *(
            "",
            " ",
            "mm",
            "1,000",
            "12,125in",
            "1.234,5",
            "1,234.5",
            "1,2,3",
            ",",
            "nan",
            "NaN mm",
            "inf",
            "-5mm",
            "1e3",
            "3 in 4",
            "3 1/0in",
            "4 furlongs",
        ),
        *("3//4", "three", "1 2", "5mm mm", "9" * 400, "9" * 400 + "/2"),
    ],
)
def test_refuses_the_rest_and_says_what_is_accepted(text):
    with pytest.raises(LengthError, match=r"3 1/4in"):
        parse_length(text)


@pytest.mark.parametrize(
    ("text", "says"),
    [("1,000mm", r"may be 1000 or 1\.000; write it without a comma"), ("1.234,5", "a point and a comma")],
)
def test_a_comma_that_may_mean_two_things_is_refused_and_both_are_named(text, says):
    with pytest.raises(LengthError, match=says):
        parse_length(text)


@given(st.decimals(0, 5000, places=2), st.sampled_from(["mm", " cm", "in", "m", ""]))
def test_a_decimal_comma_reads_as_a_point(number, unit):
    """A round trip by another writer: whatever a German or French calculator shows."""
    assert parse_length(f"{number}{unit}".replace(".", ",")) == parse_length(f"{number}{unit}")


@given(st.lists(st.decimals(0, 500, places=1), min_size=1, max_size=6), st.sampled_from([", ", "; ", ";", " , "]))
def test_several_lengths_come_apart_where_they_were_joined(numbers, between):
    for point in ".,":
        texts = [f"{number}mm".replace(".", point) for number in numbers]
        assert split_lengths(between.join(texts)) == texts
    assert split_lengths("60mm,90mm") == ["60mm", "90mm"]
    assert split_lengths("left-over-right,right-over-left") == ["left-over-right", "right-over-left"]
    assert split_lengths(" 6,5cm; ,9cm; ") == ["6,5cm", "9cm"]


def test_a_bare_number_takes_the_default_unit():
    assert parse_length("3 1/4", "in") == pytest.approx(3.25 * MM_PER_INCH)


def test_an_inch_is_25_4_mm_and_a_cloth_shaku_37_8788_cm():
    # International yard and pound agreement, 1959 (from memory); http://d.hatena.ne.jp/keyword/%B7%DF%BC%DC
    assert MM_PER_INCH == 25.4
    assert abs(KUJIRA_SHAKU_MM - 378.788) < 5e-4


@given(st.floats(-5000, 5000))
def test_what_is_shown_in_mm_reads_back_within_its_last_digit(mm):
    shown = format_length(mm)
    assert parse_length(shown.removeprefix("-")) == pytest.approx(abs(mm), abs=0.05 + 1e-9)


@given(st.floats(0, 5000))
def test_inches_are_shown_to_the_nearest_sixteenth(mm):
    shown = format_length(mm, "in")
    assert abs(parse_length(shown) - mm) <= MM_PER_INCH / 32 + 1e-9
    assert round(parse_length(shown) / MM_PER_INCH * 16, 6).is_integer()


@pytest.mark.parametrize(("mm", "shown"), [(82.55, "3 1/4 in"), (6.35, "1/4 in"), (0.0, "0 in"), (-25.4, "-1 in")])
def test_inches_look_like_a_tape(mm, shown):
    assert format_length(mm, "in") == shown


@pytest.mark.parametrize(("mm", "shown"), [(82.5, "82.5 mm"), (80.0, "80 mm"), (-0.01, "0 mm"), (71.46, "71.5 mm")])
def test_millimetres_drop_an_empty_decimal(mm, shown):
    assert format_length(mm) == shown


@pytest.mark.parametrize(("mm", "unit"), [(math.nan, "mm"), (math.inf, "in"), (1.0, "cm")])
def test_nonsense_is_not_shown(mm, unit):
    with pytest.raises(LengthError):
        format_length(mm, unit)


@given(st.floats(0, 5000), st.sampled_from([0.5, 1.0, 5.0, 6.35]))
def test_rounding_goes_to_a_mark_and_no_further(mm, step):
    up, down = round_up(mm, step), round_down(mm, step)
    assert mm - 1e-6 <= up < mm + step
    assert mm - step < down <= mm + 1e-6
    assert round(up / step, 6).is_integer()


@given(st.floats(1, 5000), st.sampled_from([0.05, 0.5, 5.0, 6.35]), st.sampled_from([0.0, 0.025, 0.1, 1.0]))
def test_what_misses_a_mark_by_less_than_it_is_good_to_is_on_it(mm, step, good_to):
    """Never by more than a quarter of a step, or marks would be skipped."""
    slack = min(good_to, step / 4)
    up, down = round_up(mm, step, good_to), round_down(mm, step, good_to)
    assert mm - slack - 1e-6 <= up < mm + step
    assert mm - step < down <= mm + slack + 1e-6


def test_a_length_on_a_mark_stays_and_step_0_is_off():
    assert round_up(0.1 * 3 * 10, 0.3) == pytest.approx(3.0)
    assert round_up(75.0, 5.0) == 75.0
    assert round_up(71.5, 5.0) == 75.0
    assert round_up(71.5, 0.0) == round_down(71.5, 0.0) == 71.5
