"""Expected ease: what a draft promises at each level before it is draped, on the sample dolls."""

from __future__ import annotations

import functools
import json
import math
from pathlib import Path

import pytest

from drafting.body.body import Body
from drafting.body.doll import read_doll
from drafting.errors import OptionError
from drafting.fit.expected import Expected, expected_ease, expected_record, expected_table
from drafting.fit.level import FITS, LEVELS, TIGHT
from drafting.garments import ROBE
from drafting.garments.robe_ease import ADULT_HEIGHT_MM, LOWEST
from drafting.garments.styles import STYLES, Style, style_of
from drafting.pattern.pattern import Pattern

FOLDER = Path(__file__).resolve().parent.parent / "sample_meshes"
DOLLS = {"quarter_curvy.glb": 420.0, "quarter_scan.stl": 420.0, "sixth_curvy.glb": 270.0, "third_slim.glb": 600.0}
each_doll = pytest.mark.parametrize("name", DOLLS)


@functools.cache
def doll(name: str) -> Body:
    return read_doll(FOLDER / name, height_mm=DOLLS[name])


def draft(body: Body, **options: object) -> Pattern:
    return ROBE.draft({name: measure.mm for name, measure in body.measures.items()}, options)


def expected(name: str, thickness: float = 0.3, beneath: float = 0.0, **options: object) -> dict[str, Expected]:
    body = doll(name)
    levels = expected_ease(body, draft(body, **options), ROBE, thickness, beneath)
    return {level.name: level for level in levels}


@each_doll
def test_a_default_draft_fits_at_each_level_before_it_is_draped(name: str) -> None:
    found = expected(name)
    assert tuple(found) == LEVELS
    assert {level.verdict for level in found.values()} == {FITS}


@each_doll
def test_the_expected_ease_is_the_closed_form(name: str) -> None:
    """Four panels go round the trunk and twice the drop round the arms; each layer takes 2 pi t (Steiner's formula)."""
    body = doll(name)
    pattern = draft(body)
    sizes = {rule.name: rule.mm for rule in pattern.rules}
    scale = body.height_mm / ADULT_HEIGHT_MM
    for level in expected_ease(body, pattern, ROBE, 0.25, 0.4):
        drafted = 4 * sizes["width"] if level.name in ("bust", "waist", "hip") else 2 * sizes["sleeve_drop"]
        girth = body.measures[f"{level.name}_girth"].mm
        assert level.ease_mm == pytest.approx(drafted - girth - 2 * math.pi * (0.25 + 0.4))
        assert level.wanted_mm[0] == pytest.approx(LOWEST[level.name] * scale)
        assert (level.ease_mm < level.wanted_mm[0]) == (level.verdict == TIGHT)


def test_a_narrow_draft_is_tight_where_it_is_narrow() -> None:
    """62 mm, four times, less a hip of 246 mm: nothing is left there, and at the waist it fits."""
    found = expected("quarter_curvy.glb", width="62mm")
    assert [name for name, level in found.items() if level.verdict == TIGHT] == ["hip"]


def test_the_corner_of_a_sleeve_and_the_slope_of_a_front_are_counted() -> None:
    """A wrist inside a round corner is narrower; where the front slopes away the band makes up for its own width."""
    square, cornered = (expected("third_slim.glb", sleeve_corner=corner)["wrist"] for corner in (0.0, 60.0))
    assert cornered.garment_girth_mm < square.garment_girth_mm - 5.0
    body = doll("third_slim.glb")
    pattern = draft(body, overlap=4.0, slope_depth=120.0, band_width=5.0)
    sizes = {rule.name: rule.mm for rule in pattern.rules}
    down = body.measures["shoulder_height"].mm - body.measures["bust_girth"].level_mm
    short = sizes["neck"] * (1 - down / sizes["slope_crossing"])
    assert short > sizes["band_width"] == 5.0
    bust = next(level for level in expected_ease(body, pattern, ROBE, 0.3) if level.name == "bust")
    assert bust.garment_girth_mm == pytest.approx(4 * sizes["width"] - 2 * (short - 5.0), abs=0.05)


def test_a_level_below_the_hem_is_not_reached() -> None:
    found = expected("third_slim.glb", length="160mm", slope_depth="80mm", armhole="60mm", sleeve_slit="20mm")
    assert (found["hip"].garment_girth_mm, found["hip"].ease_mm, found["hip"].verdict) == (None, None, "not reached")
    assert found["bust"].verdict == FITS


@each_doll
@pytest.mark.parametrize("style", STYLES.values(), ids=list(STYLES))
def test_each_style_fits_each_doll_before_it_is_draped(name: str, style: Style) -> None:
    """Five robes that come with the tool, each in proportion to the doll."""
    found = expected(name, **style.texts(doll(name).height_mm))
    assert {level.verdict for level in found.values()} == {FITS}


def test_styles_differ_and_are_listed() -> None:
    body = doll("third_slim.glb")
    sizes = [
        {rule.name: rule.mm for rule in draft(body, **style.texts(body.height_mm)).rules} for style in STYLES.values()
    ]
    assert len(STYLES) == 5
    assert len({(one["length"], one["sleeve_drop"]) for one in sizes}) == 5
    assert all(style.about for style in STYLES.values())
    with pytest.raises(OptionError, match="did you mean trailing"):
        style_of("trailling")


def test_it_is_written_and_told_level_by_level() -> None:
    levels = tuple(expected("sixth_curvy.glb").values())
    record = json.loads(json.dumps(expected_record(levels), allow_nan=False))
    for row, level in zip(record, levels, strict=True):
        left = row["garment_girth_mm"] - row["body_girth_mm"] - row["cloth_mm"]
        assert row["ease_mm"] == pytest.approx(left, abs=0.02)
        assert row["verdict"] == level.verdict
    heading, *lines = expected_table(levels)
    assert [len(heading.split("wanted")[0])] * len(lines) == [
        line.index(f"{level.wanted_mm[0]:.1f}".removesuffix(".0") + " mm to")
        for line, level in zip(lines, levels, strict=True)
    ]
