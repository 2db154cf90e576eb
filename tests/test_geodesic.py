"""Lengths on the skin against an independent geodesic library, which finds the shortest way over the triangles."""

from __future__ import annotations

import functools
from pathlib import Path

import numpy as np
import potpourri3d
import pytest
from bodies import anny_upright

from drafting.body.body import SIDES, Body, Skin
from drafting.body.doll import measure, read_doll
from drafting.body.figure import Figure, figure_of
from drafting.body.landmarks import BACK, outward
from drafting.body.taking import UP
from drafting.body.tape import length, over

SAMPLES = Path(__file__).resolve().parent.parent / "sample_meshes"


@functools.cache
def doll(name: str) -> tuple[Figure, Body, potpourri3d.EdgeFlipGeodesicSolver]:
    skin = Skin(*anny_upright(True)) if name == "anny" else read_doll(SAMPLES / f"{name}.glb").skin
    return figure_of(skin), measure(skin), potpourri3d.EdgeFlipGeodesicSolver(skin.vertices, skin.faces)


@pytest.mark.parametrize("name", ["anny", "quarter_curvy"])
@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("way", ["neck to shoulder", "shoulder to elbow", "elbow to wrist", "neck_back to waist_back"])
def test_the_tape_lies_on_the_shortest_way(name, side, way):
    """Between the vertices nearest to the landmarks: never shorter than the geodesic, at most 1 % longer."""
    figure, body, solver = doll(name)
    ends = [end if "back" in end else f"{end}_{side}" for end in way.split(" to ")]
    i, j = (int(((figure.vertices - body.landmarks[end]) ** 2).sum(axis=1).argmin()) for end in ends)
    a, b = figure.vertices[i], figure.vertices[j]
    if "back" in way:
        path = over(figure.vertices, figure.faces, a, b, BACK)
    elif way.startswith("neck"):
        path = over(figure.vertices, figure.faces, a, b, UP)
    else:
        limb = figure.limbs[side]
        path = over(figure.vertices, figure.skin.faces[limb.faces], a, b, outward(limb, b - a))
    shortest = float(np.linalg.norm(np.diff(solver.find_geodesic_path(i, j), axis=0), axis=1).sum())
    assert shortest * (1 - 1e-6) <= length(path) <= 1.01 * shortest
