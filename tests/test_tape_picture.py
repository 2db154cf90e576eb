"""tape.png: read back by an independent library; where the doll is, where the tapes are, and no label on another."""

from __future__ import annotations

import io

import numpy as np
import pytest
from analytic_doll import HIP, WAIST, analytic_doll
from hypothesis import given
from hypothesis import strategies as st
from part_dolls import part_doll
from PIL import Image
from scipy.optimize import minimize

from drafting.body.body import Body, Skin
from drafting.body.dimensions import TABLE
from drafting.body.doll import measure
from drafting.body.shade import shaded
from drafting.body.tape_picture import SHOWN, TAPE, VIEWS, spread, tape_png

SCALE = 2.0


@pytest.fixture(scope="module")
def body() -> Body:
    return measure(Skin(*analytic_doll()[:2]))


def test_every_dimension_has_one_view():
    named = [name for names in SHOWN.values() for name in names]
    assert sorted(named) == sorted(row.name for row in TABLE)


@pytest.mark.parametrize("name", ["front", "back"])
def test_the_shadow_is_the_doll_s(body, name):
    """Widths of the shadow at hip and waist are the ellipses' axes, within a pixel each side."""
    seen = shaded(body.skin, VIEWS[name], SCALE)
    for level, half in ((222.0, HIP[0]), (265.0, WAIST[0])):
        row = round(float(seen.place(np.array([[0.0, 0.0, level]]))[0, 1]))
        middle = round(float(seen.place(np.zeros((1, 3)))[0, 0]))
        empty = np.flatnonzero(~np.isfinite(seen.depth[row]))
        right, left = empty[empty > middle].min(), empty[empty < middle].max()
        assert (right - left) / SCALE == pytest.approx(2 * half, abs=2 / SCALE)


def test_what_lies_behind_is_not_seen(body):
    seen = shaded(body.skin, VIEWS["front"], SCALE)
    assert seen.visible(np.array([[0.0, -WAIST[1], 265.0]]))[0]
    assert not seen.visible(np.array([[0.0, WAIST[1], 265.0]]))[0]


def picture(body: Body, unit: str = "mm") -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(tape_png(body, unit, 600))).convert("RGB"), float) / 255


def test_tapes_are_drawn_at_their_levels(body):
    """Rows of red pixels, as wide as the front view's waist and hip."""
    image = picture(body)
    red = np.abs(image - np.array(TAPE)).max(axis=2) < 0.02
    scale = 600 / body.height_mm
    for name, wide in (("waist_girth", WAIST[0]), ("hip_girth", HIP[0])):
        counts = red[:, : image.shape[1] // 3].sum(axis=1)
        level = body.measures[name].level_mm
        rows = np.flatnonzero(counts > 1.9 * wide * scale)
        foot = 72 + 600 + 2  # below the space at the top
        assert np.abs((foot - rows) / scale - level).min() < 3 / scale, name


def test_a_doll_that_lacks_much_has_a_picture_too():
    assert picture(measure(part_doll("torso")), "in").shape[2] == 3


@given(st.lists(st.floats(0, 500), min_size=1, max_size=12))
def test_labels_keep_apart_and_near(wanted):
    wanted = np.sort(np.array(wanted))
    places = spread(wanted, 20.0, -1e6, 1e6)
    assert (np.diff(places) > 20 - 1e-6).all()
    if len(wanted) < 5:
        best = minimize(
            lambda x: ((x - wanted) ** 2).sum(),
            np.arange(len(wanted)) * 21.0,
            method="SLSQP",
            constraints=[{"type": "ineq", "fun": lambda x, i=i: x[i + 1] - x[i] - 20} for i in range(len(wanted) - 1)],
        )
        assert ((places - wanted) ** 2).sum() <= best.fun + 1e-3 + 1e-3 * abs(best.fun)
