"""The sash: a strip, of which the part round the waist is draped."""

from __future__ import annotations

import math

import numpy as np
import pytest
from robes import DOLL, draft, reason, sizes

from drafting.garments import ROBE
from drafting.pattern.pattern import Piece


def test_the_worn_part_goes_round_waist_cloth_and_gathers():
    s = sizes(draft())
    # Steiner: a band that lies d off a convex section is 2 pi d longer than the section's girth.
    assert s["sash_worn"] == pytest.approx(1.02 * DOLL["waist_girth"] + 2 * math.pi * 3 * 0.3)


@pytest.mark.parametrize(("tie", "room"), [("loose", 0.08), ("firm", 0.02), ("tight", -0.02)])
def test_it_is_tied_as_firmly_as_is_asked(tie, room):
    s = sizes(draft({"sash_tie": tie}))
    assert s["sash_worn"] == pytest.approx((1.0 + room) * DOLL["waist_girth"] + 2 * math.pi * 3 * 0.3)
    assert f"{abs(room) * 100:.0f} % for gathers, tied {tie}" in reason(draft({"sash_tie": tie}), "sash_worn")


def test_the_worn_part_is_the_middle_of_the_strip():
    panel = draft({"sash_width": "30mm", "sash_worn": "200mm", "sash_length": "500mm"}).panel("sash")
    assert np.ptp(panel.outline, axis=0).tolist() == [500, 30]
    worn = {edge.name: edge for edge in panel.worn}
    assert (worn["lower"].length, worn["end_left"].length) == (200, 30)
    assert worn["end_left"].points[:, 0].tolist() == [100, 100]


def test_it_is_folded_round_the_robe_at_the_waist():
    pattern = draft()
    s = sizes(pattern)
    panel = pattern.panel("sash")
    half = s["sash_worn"] / 2
    x = np.linspace(-half, half, 101)
    laid = ROBE.lay(pattern, Piece(panel, "one"), np.column_stack([x, np.zeros(101)]))
    fold = s["width"] + 1 + half / 50
    assert laid[50].tolist() == pytest.approx([0, -s["waist_drop"], 3])
    assert laid[-1].tolist() == pytest.approx([2 * fold - half, -s["waist_drop"], -2])
    assert laid[0].tolist() == pytest.approx([half - 2 * fold, -s["waist_drop"], -2])
    assert laid[0, 0] < 0 < laid[-1, 0]  # short of each other at the centre back


@pytest.mark.parametrize("count", [7, 30, 101])
def test_it_goes_round_the_sides_without_cutting_the_robe(count):
    """Wherever two neighbours lie on different sides, both are outside the robe and inside the sleeves."""
    pattern = draft({"sleeve_drop": "120mm"})
    s = sizes(pattern)
    x = np.linspace(-s["sash_worn"], s["sash_worn"], count)
    panel = pattern.panel("sash")
    laid = ROBE.lay(pattern, Piece(panel, "one"), np.column_stack([x, np.zeros(count)]))
    turn = np.flatnonzero(np.diff(laid[:, 2]))
    at_sides = np.abs(laid[np.concatenate([turn, turn + 1]), 0])
    assert len(turn) == 2
    assert (at_sides > s["width"]).all()
    sleeve = Piece(pattern.panel("sleeve"), "left")
    rows = np.array([[0.0, y] for y in s["waist_drop"] + s["sash_width"] * np.linspace(-0.5, 0.5, 9)])
    if count >= 30:  # a longer step than a mesh has does not pass a sleeve
        assert (at_sides.max() < ROBE.lay(pattern, sleeve, rows)[:, 0]).all()


def test_its_ends_are_sewn_together():
    seam = next(seam for seam in draft().seams if seam.a[0] == "sash")
    assert (seam.a, seam.b, seam.pairs) == (("sash", "end_left"), ("sash", "end_right"), (("one", "one"),))
