"""How stiff a cloth is at the garment's size, in numbers and in words."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drafting.cloth.fabric import FABRICS, LAWN
from drafting.fit.stiffness import BEHAVIOUR, HANGS, read_stiffness
from scripts.laboratory.elastica import bending_length, chord_angle

ADULT_MM = 1650.0


@pytest.mark.parametrize(
    ("k", "chord"),
    # x and y of the tip from an independent solution of the same equation, tol 1e-10 (solve_bvp): arctan(drop / reach).
    [(0.1, 0.716), (1, 7.100), (3, 20.033), (8, 41.487), (20, 61.786), (64, 77.191), (216, 83.866)],
)
def test_the_elastica_is_solved(k, chord):
    assert chord_angle(k) == pytest.approx(chord, abs=2e-3)
    assert bending_length(chord, 1.0) ** -3 == pytest.approx(k, rel=2e-3)


def test_small_overhangs_droop_as_a_beam():
    """Drop of a uniformly loaded cantilever: w L^4 / 8 B, the textbook's."""
    assert np.radians(chord_angle(0.02)) == pytest.approx(0.02 / 8, rel=1e-3)


def test_half_the_overhang_at_the_standards_line_is_the_bending_length():
    """BS 3356, ASTM D1388: the convention is exact to 0.02 %."""
    assert bending_length(41.5, 2.0) == pytest.approx(1.0, rel=3e-4)


def test_cloth_falls_once_four_bending_lengths_hang():
    assert chord_angle(HANGS**3) == pytest.approx(77.19, abs=0.01)
    assert chord_angle(2**3) < 42 < 66 < chord_angle(3**3)


@given(st.sampled_from(sorted(FABRICS)), st.floats(100, 500), st.floats(0.5, 6))
def test_the_same_cloth_is_stiffer_on_a_smaller_doll(name, length, times):
    fabric = FABRICS[name]
    large, small = (read_stiffness(fabric, length * size, 0.2 * size) for size in (times, 1.0))
    assert small.over_size == pytest.approx(times * large.over_size)
    assert small.grown_mm == pytest.approx(times * large.grown_mm)
    # Cloth with as much shorter a bending length would hang alike.
    finer = replace(fabric, warp_mm=fabric.warp_mm / times, weft_mm=fabric.weft_mm / times)
    assert read_stiffness(finer, length, 0.2).over_size == pytest.approx(large.over_size)


@pytest.mark.parametrize("fabric", FABRICS.values(), ids=list(FABRICS))
def test_a_grown_womans_cloth_is_likened_to_itself(fabric):
    told = read_stiffness(fabric, 1200.0, 1.0)
    assert f"{fabric.bending_mm:.0f} mm" in told.words
    named = re.search(r"about as (.+?) is \((\d+) mm\)", told.words)
    assert named
    assert abs(int(named[2]) - fabric.bending_mm) < 1


def test_lawn_on_a_sixth_scale_doll_is_stiffer_than_denim_on_a_woman():
    told = read_stiffness(LAWN, 210.0, 270 / ADULT_MM)
    times = LAWN.bending_mm * ADULT_MM / 270 / FABRICS["denim"].bending_mm
    assert f"{times:.1f} times the {FABRICS['denim'].bending_mm:.0f} mm of denim" in told.words
    assert f"{100 * told.over_size:.1f} % of the garment's length from shoulder to hem, 210 mm" in told.words
    assert told.words.endswith(".")


def test_the_shorter_the_garment_the_stiffer_the_same_cloth_is_said_to_be():
    order = [words for _, words in BEHAVIOUR]
    said = [read_stiffness(LAWN, length, 0.2).behaviour for length in (2000.0, 500.0, 300.0, 100.0, 10.0)]
    assert [order.index(words) for words in said] == [0, 1, 2, 3, 3]
    assert read_stiffness(LAWN, 300.0, 0.2).hangs_mm == HANGS * LAWN.bending_mm
