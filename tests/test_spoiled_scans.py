"""Spoiled scans: tapes within 2 % of the unspoiled doll's, or a refusal, or a doubt that says so."""

from __future__ import annotations

import pytest
from spoiled import HEIGHTS, spoiled, verdict
from spoils import CLASSES

QUICK = ("specks", "beside")
"""Classes that are read in a second each, whose tapes must all be right."""


@pytest.mark.parametrize("kind", QUICK)
def test_what_lies_beside_her_changes_no_tape(kind):
    found = {scan.what: verdict("sixth_curvy", scan) for scan in spoiled("sixth_curvy", kind)}
    assert {what: each.why for what, each in found.items() if each.kind not in ("right", "doubted")} == {}


@pytest.mark.faults
@pytest.mark.parametrize("name", HEIGHTS)
@pytest.mark.parametrize("kind", CLASSES)
def test_no_tape_is_wrong_without_a_word(name, kind):
    found = {scan.what: verdict(name, scan) for scan in spoiled(name, kind)}
    assert {what: each.why for what, each in found.items() if each.kind == "wrong"} == {}
