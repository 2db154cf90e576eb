"""Spoiled scans: tapes within 2 % of the unspoiled doll's, or a refusal, or a doubt that says so."""

from __future__ import annotations

import numpy as np
import pytest
from bodies import anny_upright
from spoiled import HEIGHTS, spoiled, truth, verdict
from spoils import CLASSES

from drafting.body.body import Measure, Skin
from drafting.body.doll import measure
from drafting.body.fineness import coarse, noisy

QUICK = ("specks", "beside")
"""Classes that are read in a second each, whose tapes must all be right."""
DOUBTED = ("sitting", "bending", "parts", "points_given")
EVERY = 2
"""Of the quick classes every second scan is read in each run; `-m faults` reads them all."""


@pytest.mark.parametrize("kind", QUICK)
def test_what_lies_beside_her_changes_no_tape(kind):
    found = {scan.what: verdict("sixth_curvy", scan) for scan in spoiled("sixth_curvy", kind)[::EVERY]}
    assert {what: each.why for what, each in found.items() if each.kind not in ("right", "doubted")} == {}


@pytest.mark.parametrize("kind", DOUBTED)
def test_what_is_no_standing_doll_is_doubted_or_refused(kind):
    """No measure that is off by 2 % goes without a doubt about it or about the whole."""
    found = {scan.what: verdict("sixth_curvy", scan) for scan in spoiled("sixth_curvy", kind)[::EVERY]}
    assert {what: each.why for what, each in found.items() if each.kind == "wrong"} == {}
    assert any(each.kind in ("doubted", "refused") for each in found.values())


@pytest.mark.parametrize("name", HEIGHTS)
def test_a_sound_doll_is_not_doubted(name):
    assert truth(name)[0].doubts == ()


@pytest.mark.parametrize("female", [False, True])
def test_a_sound_body_of_another_maker_is_not_doubted(female):
    assert measure(Skin(*anny_upright(female))).doubts == ()


def prism(corners: int, round_mm: float) -> tuple[Skin, dict[str, Measure], float]:
    """A triangle as wide as a regular polygon's side on a doll of 270 mm, the polygon's girth, and what it lacks."""
    edge = 2 * round_mm * np.sin(np.pi / corners)
    points = np.array([[0.0, 0.0, 0.0], [edge, 0.0, 0.0], [0.0, 0.0, 270.0]])
    girth = corners * edge
    return (
        Skin(points, np.array([[0, 1, 2]])),
        {"waist_girth": Measure("waist_girth", girth)},
        2 * np.pi * round_mm - girth,
    )


@pytest.mark.parametrize("corners", [5, 6, 7, 8])
def test_how_far_coarse_triangles_may_shorten_a_girth(corners):
    """The doubt's figure against the closed form of a regular polygon's perimeter."""
    skin, measures, short = prism(corners, 10.0)
    (doubt,) = coarse(skin, measures)
    assert doubt.about == "waist_girth"
    assert float(doubt.sentence.split("off by ")[1].split()[0]) == pytest.approx(short, rel=0.06, abs=0.05)


@pytest.mark.parametrize(("corners", "round_mm"), [(12, 10.0), (24, 30.0)])
def test_triangles_that_show_a_limb_round_are_not_doubted(corners, round_mm):
    """The first by their size, the second, as large as a coarse scan's, round a large girth."""
    assert coarse(*prism(corners, round_mm)[:2]) == ()


def test_noise_is_doubted_where_it_moves_a_girth():
    assert noisy(0.09, 420.0) == ()
    assert f"{2 * np.pi * 0.4:.1f} mm" in noisy(0.4, 420.0)[0].sentence


@pytest.mark.faults
@pytest.mark.parametrize("name", HEIGHTS)
@pytest.mark.parametrize("kind", CLASSES)
def test_no_tape_is_wrong_without_a_word(name, kind):
    found = {scan.what: verdict(name, scan) for scan in spoiled(name, kind)}
    assert {what: each.why for what, each in found.items() if each.kind == "wrong"} == {}
