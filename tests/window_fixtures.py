"""Scenes of the window for tests: a doll on the table, her robe drafted, and worn."""

from __future__ import annotations

import bpy
import numpy as np
import pytest

from addon import marks, rack, session, workshop
from addon.commands.request import SAMPLE, SAMPLE_HEIGHT_MM
from addon.road import body_of, pattern_of
from addon.sewing import assemble, weld
from drafting.cloth.draped import Draped, SeamClosure
from drafting.garments import GARMENTS

ROBE = GARMENTS["robe"]


@pytest.fixture(scope="module")
def body():
    return body_of(SAMPLE, height_mm=SAMPLE_HEIGHT_MM)


@pytest.fixture(scope="module")
def draped(body) -> Draped:
    """The robe as it is laid out before and behind the doll, sewn but not settled: quick, and a real mesh."""
    pattern = pattern_of(body, ROBE, {})
    assembly = assemble(pattern, ROBE, 14.0)
    half = np.ptp(body.skin.vertices[:, 1]) / 2.0
    x, up, layer = assembly.laid.T
    places = np.column_stack([x, -np.sign(layer) * half - layer, body.measures["shoulder_height"].mm + up])
    cloth, widest = weld(assembly, places)
    return Draped(cloth, SeamClosure(len(assembly.seams), 0.0, widest, assembly.mismatch_mm), 1.0, 14.0, 1, 0.0, "")


@pytest.fixture
def scene() -> bpy.types.Scene:
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    return bpy.context.scene


@pytest.fixture
def opened(scene, body) -> bpy.types.Scene:
    """The doll on the table, as if her scan had been read."""
    scene.toile.scan, scene.toile.height = str(SAMPLE), "420mm"
    for name in body.measures:
        scene.toile.by_hand.add().name = name
    workshop._on_the_table(scene, body, body, {})
    return scene


@pytest.fixture
def worn(opened, draped) -> bpy.types.Scene:
    """The doll in her robe, drafted and draped."""
    workshop.draft(opened)
    session.put(opened, "drape", draped)
    marks.keep(opened, "drape")
    rack.lay_robe(opened, draped, workshop.cloth(opened))
    return opened
