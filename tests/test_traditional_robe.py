"""The proportions method against the published sizes of a woman's kimono, in cloth shaku."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from robes import DOLL, sizes

from drafting.garments import ROBE
from drafting.units import KUJIRA_SHAKU_MM

# A woman of the standard finished length (158 cm, http://www.kimonosource.com/about-kimonos/ ), which equals her
# stature. Her hip is the one that the formula quarter of hip + 6 cm (https://www.kotaro-kimono.com/students-only/ )
# gives the table's back width for; her neck the one that gives the standard opening of 2 sun 3 bu there.
# Her other measures do not enter what is compared; they are made up.
WOMAN = {name: mm * 1580 / DOLL["height"] for name, mm in DOLL.items()} | {
    "height": 1580.0,
    "hip_girth": 972.0,
    "neck_girth": 328.5,
}

# https://kimono-akinai.com/wasai-kiso3/ : the women's standard, mm. A pair is a published range.
STANDARD = {
    "band_width": 56.8,
    "wrist_opening": 227.3,
    "back_width": 303.0,
    "front_width": 246.2,
    "overlap": 151.5,
    "overlap_top": (3.5 * KUJIRA_SHAKU_MM / 10, 3.8 * KUJIRA_SHAKU_MM / 10),
    "slope_crossing": 227.3,
    "sleeve_drop": (492.4, 568.2),
    "sleeve_corner": 5 * KUJIRA_SHAKU_MM / 100,
    "armhole": 208.3,
    "underarm_opening": 151.5,
    "scoop": (19.0, 26.5),
}


@pytest.fixture(scope="module")
def woman() -> dict[str, float]:
    return sizes(ROBE.draft(WOMAN, {"method": "proportions", "length_to": "full"}))


@pytest.mark.parametrize("name", STANDARD)
def test_the_published_women_s_standard(woman, name):
    published = STANDARD[name]
    low, high = published if isinstance(published, tuple) else (published, published)
    assert low - 1.0 <= woman[name] <= high + 1.0


def test_length_is_stature_and_the_slope_ends_half_way(woman):
    # https://www.kotaro-kimono.com/students-only/ : length = stature; collar end to hem = half of the length;
    # collar opening, standard 2 sun 3 bu.
    assert woman["length"] == 1580.0
    assert woman["length"] - woman["slope_depth"] == 790.0
    assert woman["neck"] == pytest.approx(2.3 * KUJIRA_SHAKU_MM / 10, abs=1.0)


@pytest.mark.parametrize(
    ("reach_shaku", "sleeve_sun", "shoulder_sun"), [(1.65, 8.5, 8.0), (1.70, 8.8, 8.2), (1.75, 9.0, 8.5)]
)
def test_the_published_split_of_the_reach(reach_shaku, sleeve_sun, shoulder_sun):
    # A published split table (check values, section 5: asanoya d023), read to half a bu (1.9 mm).
    stature = (reach_shaku * KUJIRA_SHAKU_MM - 5 * KUJIRA_SHAKU_MM / 100) / 0.4
    s = sizes(ROBE.draft(WOMAN | {"height": stature}, {"method": "proportions"}))
    half_bu = KUJIRA_SHAKU_MM / 200 + 1e-6
    assert s["sleeve_width"] == pytest.approx(sleeve_sun * KUJIRA_SHAKU_MM / 10, abs=half_bu)
    assert s["shoulder"] == pytest.approx(shoulder_sun * KUJIRA_SHAKU_MM / 10, abs=half_bu)


@pytest.mark.parametrize(("hip", "sun"), [(972.0, 4.0), (1010.0, 4.1), (1060.0, 4.2)])
def test_the_overlap_grows_with_the_hip(hip, sun):
    # https://www.kotaro-kimono.com/students-only/
    s = sizes(ROBE.draft(WOMAN | {"hip_girth": hip}, {"method": "proportions"}))
    assert s["overlap"] == pytest.approx(sun * KUJIRA_SHAKU_MM / 10)


@given(st.floats(0.1, 0.7))
def test_a_doll_with_the_woman_s_body_gets_her_robe_in_small(scale):
    options = {"method": "proportions", "easy_mark": 0.0, "length_to": "full", "cloth_thickness": 0.0}
    large = sizes(ROBE.draft(WOMAN, options))
    small = sizes(ROBE.draft({name: mm * scale for name, mm in WOMAN.items()}, options))
    assert small == pytest.approx({name: mm * scale for name, mm in large.items()})
