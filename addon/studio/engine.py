"""Which renderer makes the pictures, and how a scene becomes an array.

Workbench draws a picture in half a second but needs a graphics context; a machine without one, however bare, can
always trace rays. Without a context Workbench would end the whole process, so a background process first lets a
child try.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache

import bpy

from drafting.errors import OutputError
from drafting.scratch import scratch

from .. import bridge
from ..bridge import Pixels

WORKBENCH, CYCLES = "BLENDER_WORKBENCH", "CYCLES"
ENGINES = {WORKBENCH: "Workbench", CYCLES: "Cycles, on the processor"}

_TRIAL = """
import bpy
scene = bpy.context.scene
scene.render.engine = "BLENDER_WORKBENCH"
scene.render.resolution_x = scene.render.resolution_y = 8
bpy.ops.render.render()
"""


@cache
def quick() -> str:
    """The fastest engine that works here: Workbench where there is a graphics context, else Cycles."""
    if not bpy.app.background:
        return WORKBENCH
    program = bpy.app.binary_path
    words = [program, "--background", "--factory-startup", "--python-exit-code", "1", "--python-expr", _TRIAL]
    if not program:
        words = [sys.executable, "-c", _TRIAL]
    trial = subprocess.run(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
    return WORKBENCH if trial.returncode == 0 else CYCLES


def use(scene: bpy.types.Scene, engine: str, samples: int) -> None:
    """Set the engine up: true colours, a transparent ground, no grain between two runs."""
    scene.render.engine = engine
    scene.render.film_transparent = True
    scene.render.dither_intensity = 0.0
    scene.view_settings.view_transform = "Standard"
    scene.view_settings.look = "None"
    scene.display.render_aa = "16" if samples >= 16 else "8"
    if engine == CYCLES:
        scene.cycles.device = "CPU"
        scene.cycles.samples = samples
        scene.cycles.use_adaptive_sampling, scene.cycles.adaptive_threshold = True, 0.05
        scene.cycles.max_bounces = 4
        try:
            scene.cycles.denoiser = "OPENIMAGEDENOISE"
        except TypeError:  # this Blender was built without it
            scene.cycles.use_denoising = False
        else:
            scene.cycles.use_denoising = True
            scene.cycles.denoising_prefilter = "FAST"


def render(scene: bpy.types.Scene, width: int, height: int) -> Pixels:
    """Render with the scene's camera: (height, width, 4) uint8, straight alpha.

    Raises
    ------
    OutputError
        When the engine wrote no picture.
    """
    scene.render.resolution_x, scene.render.resolution_y = width, height
    scene.render.resolution_percentage = 100
    settings = scene.render.image_settings
    settings.file_format, settings.color_mode, settings.color_depth, settings.compression = "PNG", "RGBA", "8", 15
    with scratch() as folder:
        path = folder / "picture.png"
        scene.render.filepath = str(path)
        with _hushed():
            bpy.ops.render.render(write_still=True, scene=scene.name)
        if not path.exists():
            raise OutputError(f"{ENGINES[scene.render.engine]} drew no picture; expected one of {width} x {height} px.")
        return bridge.load_png(path)


@contextmanager
def _hushed() -> Iterator[None]:
    """In the background, keep the renderer's own progress lines out of the maker's terminal."""
    if not bpy.app.background:
        yield
        return
    sys.stdout.flush()
    sys.stderr.flush()
    kept = os.dup(1), os.dup(2)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        yield
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os.dup2(kept[0], 1)
        os.dup2(kept[1], 2)
        for handle in (*kept, nowhere):
            os.close(handle)
