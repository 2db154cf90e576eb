"""A variant that is taken becomes the robe with the drape that was made for it; variants are cleared away."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import bpy
import numpy as np
import pytest

import addon
from addon import comparing, marks, session, signpost, table, workshop
from drafting.fit.fit import read_fit

pytest_plugins = ("window_fixtures",)


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()


@pytest.fixture
def variants(worn, draped):
    """Two drapes that can be told apart, each with its fit."""
    body, pattern, cloth = session.get(worn, "body"), session.get(worn, "pattern"), draped.cloth
    fit = read_fit(body, draped, pattern, workshop.garment(), workshop.fabric(worn), {})
    moved = replace(draped, cloth=replace(cloth, vertices=cloth.vertices + np.array([0.0, 0.0, 5.0])))
    worn.toile.vary, worn.toile.values = "sleeve_drop", "60mm, 90mm"
    made = (("60mm", draped, fit), ("90mm", moved, replace(fit, reasons=("of 90 mm",))))
    session.put(worn, "compared", ("sleeve_drop", made))
    marks.keep(worn, "compare")
    comparing.stand(worn)
    return made


def test_a_variant_is_taken_with_its_drape_and_its_fit(worn, variants) -> None:
    value, draped, fit = variants[1]
    assert bpy.ops.toile.take_variant(index=1) == {"FINISHED"}
    assert worn.toile.options.sleeve_drop == value
    assert session.get(worn, "drape") is draped
    assert session.get(worn, "fit") is fit
    assert session.get(worn, "pattern").options["sleeve_drop"] == pytest.approx(90.0)
    (robe,) = table.ours(worn, "robe")
    places = np.array([vertex.co for vertex in robe.data.vertices]) / table.METRES
    assert np.abs(places - draped.cloth.vertices).max() < 1e-3
    assert {"room", "pull", "touch"} <= {layer.name for layer in robe.data.color_attributes}
    assert all(signpost.is_done(worn, step) for step in ("draft", "drape", "fit", "compare"))


@pytest.mark.parametrize(("name", "value"), [("fabric", "denim"), ("quality", "quick")])
def test_only_the_value_is_taken_where_something_else_has_changed(worn, variants, name: str, value: str) -> None:
    setattr(worn.toile, name, value)
    assert not comparing.take(worn, 1)
    assert worn.toile.options.sleeve_drop == variants[1][0]
    assert not session.has(worn, "drape")
    assert not session.has(worn, "fit")


def test_cleared_variants_leave_neither_object_nor_result(worn, variants) -> None:
    del variants
    robes = table.ours(worn, "robe")
    skin = table.doll_of(worn).data
    assert table.ours(worn, "variant")
    assert bpy.ops.toile.clear_variants() == {"FINISHED"}
    assert not table.ours(worn, "variant")
    assert not session.has(worn, "compared")
    assert not signpost.is_done(worn, "compare")
    assert table.ours(worn, "robe") == robes
    assert table.doll_of(worn).data == skin
    assert not bpy.ops.toile.clear_variants.poll()
