"""Drawings and plans with odd figures, rings and hidden groups: read as the standard says, or told in one line."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest
import svgelements
from drawings import write

from drafting.errors import DraftError
from drafting.paper.own import read_drawing, read_own
from drafting.paper.own_write import _text

SQUARE = '<path id="front" d="M10 10h50v50h-50z"/>'
REFUSED = {
    "grain nan": "[panels.front]\ngrain = nan",
    "grain inf": "[panels.front]\ngrain = inf",
    "many copies": "[panels.front]\ncut = 1000000000",
    "many digits": f"[panels.front]\norder = {'9' * 6000}",
    "deep brackets": f"garment = {'[' * 20_000}",
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_plan_beyond_sense_is_told(name, tmp_path):
    with pytest.raises(DraftError) as told:
        read_drawing(write(tmp_path, SQUARE, REFUSED[name]))
    assert "\n" not in str(told.value)


def test_an_edge_is_not_sewn_to_itself(tmp_path):
    plan = '[panels.front]\nedges = ["a", "b", "c", "d"]\n[[seams]]\nsew = ["front.a", "front.a"]'
    with pytest.raises(DraftError, match="to itself"):
        read_drawing(write(tmp_path, SQUARE, plan))


def test_what_is_hidden_may_be_switched_on_again_within(tmp_path):
    inside = SQUARE.replace("<path", '<path visibility="visible"') + '<path id="back" d="M80 10h50v50h-50z"/>'
    found = read_drawing(write(tmp_path, f'<g visibility="hidden">{inside}</g>'))
    assert [panel.name for panel in found.panels] == ["front"]
    with pytest.raises(DraftError):
        read_drawing(write(tmp_path, f'<g display="none">{inside}</g>'))


def test_a_ring_of_copies_is_not_drawn(tmp_path):
    ring = '<g id="one"><use href="#two"/></g><g id="two"><use href="#one"/></g>'
    found = read_drawing(write(tmp_path, SQUARE + ring))
    assert [panel.name for panel in found.panels] == ["front"]


@pytest.mark.parametrize("name", ["\N{DRESS}", "a\x7fb", 'q"\\', "\u0001"])
def test_any_name_is_written_so_that_it_is_read(name):
    assert tomllib.loads(f"name = {_text(name)}")["name"] == name


@pytest.mark.parametrize("degrees", [0, 10, 45, 200])
def test_a_turned_test_square_gives_the_same_scale(degrees, tmp_path):
    square = f'<rect id="50mm" x="300" y="300" width="25" height="25" transform="rotate({degrees} 300 300)"/>'
    found = read_drawing(write(tmp_path, SQUARE + square, size=""))
    assert np.ptp(found.panel("front").outline, axis=0) == pytest.approx([100.0, 100.0], abs=1e-3)


def test_two_test_squares_that_disagree_are_told(tmp_path):
    squares = '<rect id="50mm" x="300" width="25" height="25"/><rect id="1in" x="400" width="25" height="25"/>'
    with pytest.raises(DraftError, match="test squares ask for different sizes"):
        read_drawing(write(tmp_path, SQUARE + squares, size=""))


@pytest.mark.parametrize("keep", ["", "none", "xMinYMax meet", "xMaxYMin slice", "xMidYMid slice"])
def test_a_nested_view_box_is_fitted_as_an_independent_library_does(keep, tmp_path):
    inner = '<path id="front" d="M1 2h5v4h-5z"/>'
    nested = f'<svg x="7" y="9" width="100" height="60" viewBox="-1 1 20 10" preserveAspectRatio="{keep}">{inner}</svg>'
    path = write(tmp_path, nested if keep else nested.replace(' preserveAspectRatio=""', ""))
    theirs = next(one for one in svgelements.SVG.parse(str(path), ppi=25.4).elements() if one.id == "front")
    x0, y0, x1, y1 = svgelements.Path(theirs).bbox()
    own = read_own(path)
    assert np.ptp(own.pattern.panel("front").outline, axis=0) == pytest.approx([x1 - x0, y1 - y0], abs=1e-3)


def test_a_symbols_view_box_is_fitted_into_its_copy(tmp_path):
    symbol = '<symbol id="s" viewBox="0 0 10 10"><path id="front" d="M1 1h5v5h-5z"/></symbol>'
    found = read_drawing(write(tmp_path, symbol + '<use href="#s" x="20" y="20" width="100" height="100"/>'))
    assert np.ptp(found.panels[0].outline, axis=0) == pytest.approx([50.0, 50.0])
