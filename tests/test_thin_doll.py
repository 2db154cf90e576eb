"""A doll as flat as paper, which cloth must not be pushed through, and cloth that is sluggish without being heavier."""

from __future__ import annotations

from dataclasses import replace

import bpy  # noqa: F401  brings the solver
import numpy as np
import pytest
import trimesh

from addon import bridge
from addon.solver import DRAG, ClothRun, Settings
from drafting.cloth.law import steps_needed

THIN_MM = 0.4  # as a forearm of 5 mm that is flattened to 8 %
ABOVE_MM = 0.35  # half of the room that the solver keeps to skin
EDGE_MM = 5.0
CLOTH = Settings(air_damping=DRAG)


def _sheet(side):
    x, y = np.meshgrid(*[EDGE_MM * (np.arange(side) - 0.5 * (side - 1))] * 2)
    low = (np.arange(side - 1)[:, None] * side + np.arange(side - 1)).ravel()
    squares = np.stack([low, low + 1, low + side + 1, low + side], 1).astype(np.int32)
    return np.column_stack([x.ravel(), y.ravel(), np.zeros(side * side)]), [squares]


def _fallen(settings, frames, skin, height):
    """Where a sheet is after some frames above a standing skin."""
    points, faces = _sheet(8)
    start = points + np.array([0.0, 0.0, height])
    with bridge.workroom("drape") as room:
        layouts = [start, points, points]
        stitches = np.zeros((0, 2), dtype=np.int64)
        path = [(1, np.asarray(skin.vertices))]
        run = ClothRun(room, faces, layouts, stitches, skin.faces, path, [(1, 1.0)], settings)
        for _ in range(frames):
            positions = run.step()
    return positions


@pytest.fixture(scope="module")
def plate():
    box = trimesh.creation.box((60.0, 60.0, THIN_MM))
    return box.subdivide().subdivide().subdivide()


def test_cloth_stays_on_its_side_of_a_paper_doll(plate):
    """Skin that pushes outward only pushes the cloth on its front out at its back, or holds it inside."""
    above = 0.5 * THIN_MM + ABOVE_MM
    kept = _fallen(replace(CLOTH, outward=False), 12, plate, above)
    assert kept[:, 2].min() > 0.5 * THIN_MM
    assert _fallen(CLOTH, 12, plate, above)[:, 2].min() < 0.5 * THIN_MM


def test_sluggish_cloth_falls_as_fast_where_drag_rules():
    """The speed at which drag balances the weight depends on the weight alone; only the start is slower."""
    far = trimesh.creation.box((1.0, 1.0, 1.0)).apply_translation([0.0, 0.0, -500.0])
    speeds = []
    for inertia in (1.0, 4.0):
        cloth = replace(CLOTH.lighter(0.05), inertia=inertia)
        early, late = (_fallen(cloth, frames, far, 0.0)[:, 2].mean() for frames in (10, 20))
        speeds.append((late - early) / 10.0)
    assert speeds[0] == pytest.approx(speeds[1], rel=1e-3)
    assert speeds[0] < -0.1


@pytest.mark.parametrize("inertia", [1.0, 4.0])
def test_sluggish_cloth_needs_fewer_steps(inertia):
    """The stiffest ripple swings by the root of stiffness over mass."""
    assert steps_needed(600.0, 0.3 * inertia) == pytest.approx(steps_needed(600.0, 0.3) / inertia**0.5, abs=1.0)
