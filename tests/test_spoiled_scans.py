"""Spoiled scans: tapes within 2 % of the unspoiled doll's, or a refusal, or a doubt that says so."""

from __future__ import annotations

import pytest
from bodies import anny_upright
from spoiled import HEIGHTS, spoiled, truth, verdict
from spoils import CLASSES

from drafting.body.body import Skin
from drafting.body.doll import measure

QUICK = ("specks", "beside")
"""Classes that are read in a second each, whose tapes must all be right."""
DOUBTED = ("sitting", "bending", "parts", "points_given")


@pytest.mark.parametrize("kind", QUICK)
def test_what_lies_beside_her_changes_no_tape(kind):
    found = {scan.what: verdict("sixth_curvy", scan) for scan in spoiled("sixth_curvy", kind)}
    assert {what: each.why for what, each in found.items() if each.kind not in ("right", "doubted")} == {}


@pytest.mark.parametrize("kind", DOUBTED)
def test_what_is_no_standing_doll_is_doubted_or_refused(kind):
    """No measure that is off by 2 % goes without a doubt about it or about the whole."""
    found = {scan.what: verdict("sixth_curvy", scan) for scan in spoiled("sixth_curvy", kind)}
    assert {what: each.why for what, each in found.items() if each.kind == "wrong"} == {}
    assert any(each.kind in ("doubted", "refused") for each in found.values())


@pytest.mark.parametrize("name", HEIGHTS)
def test_a_sound_doll_is_not_doubted(name):
    assert truth(name)[0].doubts == ()


@pytest.mark.parametrize("female", [False, True])
def test_a_sound_body_of_another_maker_is_not_doubted(female):
    assert measure(Skin(*anny_upright(female))).doubts == ()


@pytest.mark.faults
@pytest.mark.parametrize("name", HEIGHTS)
@pytest.mark.parametrize("kind", CLASSES)
def test_no_tape_is_wrong_without_a_word(name, kind):
    found = {scan.what: verdict(name, scan) for scan in spoiled(name, kind)}
    assert {what: each.why for what, each in found.items() if each.kind == "wrong"} == {}
