"""The sash is drawn once more at rest: by what the layers under it lose, and never so that the cloth jumps."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from addon import bridge
from addon.dressing import Dressed
from addon.dummy import dummy_of
from addon.laying import lay_out
from addon.poses import swelling
from addon.resting import LAYERS, rest, taken_in
from addon.road import body_of, pattern_of
from addon.sewing import assemble
from addon.solver import Settings
from addon.steps import finish
from drafting.garments import GARMENTS

ROBE = GARMENTS["robe"]
AHEAD_MM = 300.0  # in front of the doll, where nothing is touched


@pytest.fixture(scope="module")
def laid():
    """The sample doll, and a robe of coarse cloth laid out in front of it, its sash as long as its ends need."""
    body = body_of(Path(__file__).parent.parent / "sample_meshes" / "quarter_curvy.glb")
    pattern = pattern_of(body, ROBE, {})
    assembly = assemble(pattern, ROBE, 14.0)
    (loose,), start = lay_out(body, pattern, ROBE, assembly, swelling(body, 14, 44)[0][1])
    return body, Dressed(replace(assembly, flat=loose), assembly.flat, start - [0.0, AHEAD_MM, 0.0], 0, 0.0)


def _sash(dressed: Dressed) -> np.ndarray:
    return np.array([piece.panel.role == "sash" for piece in dressed.assembly.pieces])[dressed.assembly.piece]


def _sash_length(dressed: Dressed, flat: np.ndarray) -> float:
    return float(np.ptp(flat[_sash(dressed), 0]))


@pytest.mark.parametrize("thinner_mm", [0.0, 0.3, 1.2])
def test_a_layer_takes_two_pi_of_what_it_loses(laid, thinner_mm):
    """Steiner: the girth of an outline that lies d further out is longer by 2 pi d."""
    _, dressed = laid
    taken = _sash_length(dressed, dressed.assembly.flat) - _sash_length(dressed, taken_in(dressed, thinner_mm).tight)
    assert taken == pytest.approx(2.0 * np.pi * LAYERS * thinner_mm, abs=1e-9)


@pytest.mark.parametrize("thinner_mm", [-1.0, 1e6])
def test_a_sash_is_neither_let_out_nor_drawn_beyond_its_draft(laid, thinner_mm):
    _, dressed = laid
    wanted = dressed.assembly.flat if thinner_mm < 0.0 else dressed.tight
    assert np.abs(taken_in(dressed, thinner_mm).tight - wanted).max() < 1e-9


def test_cloth_whose_sash_is_drawn_goes_on_from_where_it_is(laid):
    """Drawn at the very first frame, the solver would begin with the flat layout: hundreds of millimetres away."""
    body, dressed = laid
    # Its flat layout is a tenth longer than the sash lies, so that it is drawn from the first frame on.
    longer = np.where(_sash(dressed)[:, None], dressed.assembly.flat * [1.1, 1.0], dressed.assembly.flat)
    dressed = replace(dressed, assembly=replace(dressed.assembly, flat=longer))
    with bridge.workroom("dummy") as room:
        dummy = dummy_of(room, body.skin)
    after, _ = finish(rest(body, dressed, dummy, Settings(), 5.0, 4))
    assert _sash_length(dressed, after.assembly.flat) < _sash_length(dressed, dressed.assembly.flat) - 1.0
    assert np.linalg.norm(after.positions - dressed.positions, axis=1).max() < AHEAD_MM / 3.0
