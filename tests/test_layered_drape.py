"""A robe over an under-robe in the solver: how both lie at first, each its own stiffness, and a whole drape."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import bpy  # noqa: F401  Blender's own modules are there only with it
import ipctk
import numpy as np
import pytest

from addon.cloths import Cloths
from addon.drape import DrapeSettings, drape, knotted
from addon.dressing import Dressed
from addon.laying import TAKEN_IN, lay_out, layer_mm
from addon.poses import swelling
from addon.road import beneath_of, body_of, pattern_of
from addon.sewing import assemble
from addon.solver import magnified
from addon.steps import finish
from drafting.cloth.crossing import crossing_pairs
from drafting.cloth.fabric import FABRICS, LAWN
from drafting.fit.fit import read_fit
from drafting.fit.gap import signed_gap
from drafting.garments import ROBE
from drafting.garments.layered import Layered
from scripts.laboratory.cantilever import cut, hang
from scripts.laboratory.settle import settings_for

SAMPLES = Path(__file__).parent.parent / "sample_meshes"
VOILE, FLANNEL = FABRICS["voile"], FABRICS["flannel"]


@pytest.fixture(scope="module", params=["sixth_curvy", "quarter_curvy", "third_slim"])
def body(request):
    return body_of(SAMPLES / f"{request.param}.glb")


@pytest.mark.parametrize("edges", [60, 30])
@pytest.mark.parametrize("options", [{}, {"fronts": "right over left", "back": "fold"}], ids=str)
def test_neither_starts_inside_the_other(body, options, edges):
    """Once two cloths cross, the solver does not part them again. The under-robe is taken in until the doll swells."""
    pattern = pattern_of(body, ROBE, options)
    below = beneath_of(body, ROBE, pattern, (LAWN, VOILE), {})
    layered = Layered(ROBE, below, layer_mm(body.height_mm))
    whole = layered.over(pattern)
    assembly = assemble(whole, layered, body.height_mm / edges)
    (taken_in, loose), start = lay_out(body, whole, layered, assembly, swelling(body, 14, 44)[0][1])
    assert len(crossing_pairs(start, assembly.faces)) == 0
    under = np.isin(np.arange(len(start)), assembly.under)
    assert np.allclose(taken_in[under], TAKEN_IN * loose[under])
    assert (taken_in[~under] == loose[~under]).all()


def test_cloth_deep_in_other_cloth_is_to_rest_once_more(body):
    """Laid out it crosses nowhere; an under-robe pushed forward by half a flat lay goes through the fronts over it."""
    pattern = pattern_of(body, ROBE, {})
    layered = Layered(ROBE, beneath_of(body, ROBE, pattern, (LAWN, VOILE), {}), layer_mm(body.height_mm))
    whole, edge = layered.over(pattern), body.height_mm / 30
    assembly = assemble(whole, layered, edge)
    _, start = lay_out(body, whole, layered, assembly, swelling(body, 14, 44)[0][1])
    pushed = start.copy()
    pushed[assembly.under, 1] -= 1.5 * layer_mm(body.height_mm)
    worn = [Dressed(replace(assembly, sewn=assembly.sewn[:0]), assembly.flat, at, 0, 0.0) for at in (start, pushed)]
    assert [knotted(dressed, 0.01 * edge) for dressed in worn] == [False, True]


@pytest.mark.parametrize(("own", "other"), [(12.0, 24.0), (24.0, 12.0)])
def test_cloth_beneath_bends_by_its_own_bending_length(own, other):
    """A strip of an under-garment's cloth, limper or stiffer than the other, on the cantilever: within 10 %."""
    edge = 5.25
    strip = replace(cut(own, edge, columns=7), under=True)
    settings = replace(settings_for(other, edge), bending_under=settings_for(own, edge).bending)
    assert hang(strip, settings).bending_mm == pytest.approx(own, rel=0.1)


def test_thick_cloth_keeps_its_thickness_and_thin_cloth_what_the_solver_can():
    """Layers lie as far apart as the thicker of both cloths is thick."""
    edge, tall = 3.0, 420.0
    thick = replace(FLANNEL, thickness_mm=1.4)
    for cloths in (Cloths(tall, thick), Cloths(tall, LAWN, thick), Cloths(tall, thick, LAWN)):
        assert cloths.settings(edge).self_gap_mm == pytest.approx(magnified(tall) * 1.4)
    assert Cloths(tall, LAWN).settings(edge).self_gap_mm == Cloths(tall, LAWN, VOILE).settings(edge).self_gap_mm
    limp, stiff = Cloths(tall, FLANNEL, LAWN).settings(edge), Cloths(tall, LAWN, FLANNEL).settings(edge)
    assert limp.bendings == stiff.bendings[::-1]


@pytest.mark.drape
def test_a_robe_over_an_under_robe():
    """Nothing passes through anything; the under-robe lies inside, and takes room."""
    body = body_of(SAMPLES / "quarter_curvy.glb")
    pattern = pattern_of(body, ROBE, {})
    below = beneath_of(body, ROBE, pattern, (LAWN, VOILE), {})
    draped = finish(drape(body, pattern, ROBE, LAWN, beneath=below))
    whole = draped.whole
    edges = ipctk.edges(whole.faces)
    assert not ipctk.has_intersections(ipctk.CollisionMesh(whole.vertices, edges, whole.faces), whole.vertices)
    fit = read_fit(body, draped, pattern, ROBE, LAWN, {}, below)
    tapes = {layer.name: {level: tape for level, _, tape in layer.girths} for layer in fit.layers}
    for level in ("waist", "hip"):
        apart = tapes["robe"][level] - tapes["under-robe"][level]
        assert apart > 2.0 * math.pi * VOILE.thickness_mm, level
    assert fit.crossings == 0
    # What would make a garment too tight (drafting/fit/verdict.py); under the sash it misses the 2 % of a robe alone.
    assert fit.stretch.edges.p99 < 0.05
    assert fit.under.stretch.edges.p99 < 0.05
    assert fit.under.gap.below_deepest_mm < 0.3
    inner, outer = (
        np.median(signed_gap(at_the_hip(mesh, body), body.skin.vertices, body.skin.faces))
        for mesh in (draped.under, draped.cloth)
    )
    assert inner < outer


@pytest.mark.drape
def test_a_quick_look_at_both_tells_what_is_left_over_the_under_robe():
    """Four panels less the body and 2 pi of the under-robe's thickness, within the 2 mm of a quick look."""
    body = body_of(SAMPLES / "quarter_curvy.glb")
    pattern = pattern_of(body, ROBE, {})
    below = beneath_of(body, ROBE, pattern, (LAWN, VOILE), {})
    draped = finish(drape(body, pattern, ROBE, LAWN, DrapeSettings(quick=True), below))
    fit = read_fit(body, draped, pattern, ROBE, LAWN, {}, below)
    width = next(rule.mm for rule in pattern.rules if rule.name == "back_width")
    hip = next(level for level in fit.levels if level.name == "hip")
    expected = 4.0 * width - body.measures["hip_girth"].mm - 2.0 * math.pi * VOILE.thickness_mm
    assert hip.ease_mm == pytest.approx(expected, abs=2.0)
    assert fit.quick


def at_the_hip(mesh, body):
    """(n, 3) float: the cloth near the hip's level."""
    return mesh.vertices[np.abs(mesh.vertices[:, 2] - body.measures["hip_girth"].level_mm) < 15.0]
