"""The sash: a strip, of which the part round the waist is draped."""

from __future__ import annotations

import math

import numpy as np
import pytest
from robes import DOLL, draft, sizes

from drafting.garments import ROBE
from drafting.pattern.pattern import Piece


def test_the_worn_part_goes_round_waist_cloth_and_gathers():
    s = sizes(draft())
    # Steiner: a band that lies d off a convex section is 2 pi d longer than the section's girth.
    assert s["sash_worn"] == pytest.approx(1.02 * DOLL["waist_girth"] + 2 * math.pi * 3 * 0.3)


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
    ends = ROBE.lay(pattern, Piece(panel, "one"), np.array([[-half, 0.0], [0.0, 0.0], [half, 0.0]]))
    fold = s["width"] + 1
    assert ends[1].tolist() == [0, -s["waist_drop"], 3]
    assert ends[2].tolist() == pytest.approx([2 * fold - half, -s["waist_drop"], -2])
    assert ends[0].tolist() == pytest.approx([half - 2 * fold, -s["waist_drop"], -2])
    assert ends[0, 0] < 0 < ends[2, 0]  # short of each other at the centre back


def test_its_ends_are_sewn_together():
    seam = next(seam for seam in draft().seams if seam.a[0] == "sash")
    assert (seam.a, seam.b, seam.pairs) == (("sash", "end_left"), ("sash", "end_right"), (("one", "one"),))
