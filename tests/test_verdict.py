"""Verdict and advice: each follows from the numbers, and the advice mends what it names."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drafting.cloth.draped import SeamClosure
from drafting.cloth.fabric import FABRICS, LAWN
from drafting.fit.advice import PAST_WRIST, Advice, Findings, advise
from drafting.fit.hang import Hem, Sleeve
from drafting.fit.lap import Lap
from drafting.fit.level import LOOSE, NOT_REACHED, TIGHT, Level
from drafting.fit.stretch import Strain, Stretch
from drafting.fit.verdict import open_reasons, verdict

CLOSED = SeamClosure(12, 0.0, 0.4, 0.02)
EASES = st.floats(-50, 200)


def level(name: str = "hip", ease: float | None = 20.0, low: float = 10.0, high: float = 40.0) -> Level:
    garment = None if ease is None else 280.0 + ease
    return Level(name, 200.0, 280.0, garment, garment, (), "body", (low, high))


def stretch(p99: float = 0.01) -> Stretch:
    strain = Strain(100, p99, 2 * p99, 2 * p99, -p99, p99, p99)
    return Stretch(strain, strain, strain, strain, strain)


def findings(**changes: object) -> Findings:
    """A robe on a doll of 420 mm with nothing amiss."""
    good = Findings(
        height_mm=420.0,
        scale=420 / 1650,
        fabric=LAWN,
        options={"width": None, "sleeve_drop": None},
        sizes={"width": 75.0, "sleeve_drop": 95.0},
        levels=(level("bust"), level("waist"), level("hip")),
        laps=(Lap("hip", 60.0, 70.0),),
        hem=Hem(21.0, 22.0),
        sleeves=(Sleeve("left", 8.0, 92.0), Sleeve("right", 9.0, 93.0)),
    )
    return replace(good, **changes)


def only(found: Findings) -> Advice:
    (advice,) = advise(found)
    return advice


@given(EASES)
def test_a_level_fits_within_what_is_wanted_and_nowhere_else(ease):
    found = level(ease=ease)
    assert found.ease_mm == pytest.approx(ease)
    assert (found.verdict == TIGHT) == (found.ease_mm < 10)
    assert (found.verdict == LOOSE) == (found.ease_mm > 40)


def test_a_level_without_cloth_is_not_reached_and_no_reason_to_blame_the_rest():
    bare = level("wrist", None)
    assert (bare.ease_mm, bare.verdict) == (None, NOT_REACHED)
    assert verdict([level(), bare], [], CLOSED, stretch()) == "fits"


@given(st.lists(EASES, min_size=1, max_size=5))
def test_one_tight_level_outweighs_loose_ones(eases):
    found = verdict([level(ease=ease) for ease in eases], [], CLOSED, stretch())
    expected = "tight" if min(eases) < 10 else "loose" if max(eases) > 40 else "fits"
    assert found == expected or any(abs(ease - edge) < 1e-9 for ease in eases for edge in (10, 40))


def test_what_does_not_close_outweighs_all():
    tight = [level(ease=0)]
    assert verdict(tight, [Lap("waist", -4, 60)], CLOSED, stretch()) == "does not close"
    assert verdict(tight, [], replace(CLOSED, widest_open_mm=2.0), stretch()) == "does not close"
    assert verdict(tight, [], CLOSED, stretch(0.0501)) == "does not close"
    assert verdict(tight, [Lap("waist", 0.1, 60)], CLOSED, stretch(0.05)) == "tight"


def test_reasons_name_place_and_amount():
    reasons = open_reasons(
        [Lap("waist", -4.2, 60), Lap("bust", -9, -5)], replace(CLOSED, widest_open_mm=2.0), stretch(0.08)
    )
    assert len(reasons) == 3
    assert "2.0 mm" in reasons[0]
    assert "4.2 mm at the waist" in reasons[1]
    assert "8.0 %" in reasons[2]


def test_nothing_amiss_is_said_with_its_millimetres():
    advice = only(findings(levels=(level("bust", 25), level("hip", 12))))
    assert (advice.option, advice.change_mm) == ("", 0)
    assert "12 mm at the hip, 10 to 40 mm" in advice.sentence


@given(st.floats(-30, 9.9))
def test_ease_that_is_added_is_what_is_missing(ease):
    advice = only(findings(levels=(level("bust", 30), level("hip", ease))))
    assert advice.option == "ease"
    assert level(ease=ease + advice.change_mm).verdict == "fits"
    assert level(ease=ease + advice.change_mm - 1).verdict == TIGHT or advice.change_mm - (10 - ease) < 1e-9
    assert "hip" in advice.sentence
    assert f"{2 * math.pi * LAWN.thickness_mm:.1f} mm goes into one layer" in advice.sentence


def test_a_width_that_was_chosen_is_what_is_changed():
    advice = only(findings(levels=(level("hip", 2),), options={"width": 70.0}))
    assert (advice.option, advice.change_mm) == ("width", 2)


@given(st.floats(41, 150), st.floats(10, 40))
def test_narrowing_never_makes_another_level_tight(loose, other):
    for advice in advise(findings(levels=(level("waist", loose), level("hip", other)))):
        if advice.option == "width":
            assert advice.change_mm < 0
            assert other + 4 * advice.change_mm >= 10


@given(st.floats(-60, 80), st.floats(250, 650))
def test_a_sleeve_moved_as_advised_ends_where_it_should(past, height):
    sleeves = (Sleeve("left", past - 1, 90.0), Sleeve("right", past + 1, 90.0))
    past = ((past - 1) + (past + 1)) / 2  # as rounded
    found = findings(height_mm=height, sleeves=sleeves, hem=None)
    moved = [advice for advice in advise(found) if advice.option == "wrist_allowance"]
    assert bool(moved) == (not 0 <= past <= 0.04 * height)
    for advice in moved:
        assert past + advice.change_mm == pytest.approx(PAST_WRIST * height, abs=0.5)
        assert ("Shorten" in advice.sentence) == (advice.change_mm < 0)


def test_the_sentence_about_a_sleeve():
    sleeves = (Sleeve("left", 17.0, 90.0), Sleeve("right", 17.0, 90.0))
    advice = only(findings(height_mm=250.0, hem=None, sleeves=sleeves))
    assert advice == Advice("wrist_allowance", -12, "Shorten the sleeve by 12 mm: it ends 17 mm past the wrist.")


def test_a_hem_on_the_floor_is_taken_up():
    advice = only(findings(hem=Hem(1.0, 2.0)))
    assert advice.option == "length"
    assert 1.0 - advice.change_mm == pytest.approx(21.0, abs=1)


def test_gaping_fronts_get_more_overlap_than_they_gape():
    advice = only(findings(laps=(Lap("bust", 5, 60), Lap("waist", -6, 60), Lap("hip", -2, 60))))
    assert advice.option == "overlap"
    assert "waist" in advice.sentence
    assert -6 + 2 * advice.change_mm >= 0.25 * 60


@pytest.mark.parametrize("name", ["wrist", "upper_arm"])
@pytest.mark.parametrize("ease", [3.0, 47.0])
def test_a_sleeve_gets_half_of_what_its_girth_needs(name, ease):
    """Its girth is twice the drop."""
    advice = only(findings(levels=(level("hip"), level(name, ease))))
    assert advice.option == "sleeve_drop"
    assert level(name, ease + 2 * advice.change_mm).verdict == "fits"
    assert name.replace("_", " ") in advice.sentence


def test_width_that_another_level_needs_is_left_alone():
    advice = only(findings(levels=(level("waist", 60), level("hip", 11))))
    assert (advice.option, advice.change_mm) == ("", 0)
    assert "20 mm too much ease at the waist" in advice.sentence


@pytest.mark.parametrize("fabric", FABRICS.values(), ids=list(FABRICS))
@pytest.mark.parametrize("height", [270.0, 420.0, 600.0])
def test_stiffness_is_told_by_depth_over_bending_length(fabric, height):
    drop = 0.22 * height
    found = findings(
        height_mm=height, scale=height / 1650, fabric=fabric, hem=None, sleeves=(), sizes={"sleeve_drop": drop}
    )
    stiff = [advice for advice in advise(found) if advice.option == "fabric"]
    assert bool(stiff) == (drop / fabric.bending_mm < 4)
    for advice in stiff:
        assert drop / (fabric.bending_mm + advice.change_mm) >= 4
        assert f"{fabric.bending_mm * 1650 / height:.0f} mm is to a grown woman" in advice.sentence


def test_every_sentence_has_millimetres_and_ends():
    poor = findings(
        levels=(level("hip", 1), level("wrist", 1)),
        laps=(Lap("waist", -3, 60),),
        hem=Hem(0, 0),
        sleeves=(Sleeve("left", 40, 30), Sleeve("right", 40, 30)),
        sizes={"sleeve_drop": 30.0},
    )
    advice = advise(poor)
    assert {one.option for one in advice} == {"overlap", "ease", "sleeve_drop", "wrist_allowance", "length", "fabric"}
    assert all(" mm" in one.sentence and one.sentence.endswith(".") for one in advice)
