"""Strokes on the graphics card: the only place that knows how Blender draws what is no object."""

from __future__ import annotations

import blf
import bpy
import gpu
import numpy as np
from gpu_extras.batch import batch_for_shader
from mathutils import Matrix

from .table import FloatArray

INK = (0.94, 0.94, 0.94, 1.0)
SHADOW = (0.0, 0.0, 0.0, 0.8)
FONT = 0  # Blender's own


_ready: list[bool] = []


def make_ready(region: bpy.types.Region) -> None:
    """Use each kind of stroke once, on nothing: the first time a graphics driver translates it, which is felt."""
    if not _ready:
        _ready.append(True)
        nothing = np.zeros((3, 3))
        pieces(region, nothing[None, :2], SHADOW, 1.0)
        surface(nothing, np.array([[0, 1, 2]]), np.zeros((3, 4)), Matrix())


def line(
    region: bpy.types.Region, points: FloatArray, colour: tuple[float, ...], wide: float, at: Matrix | None = None
) -> None:
    """A line through (k, 3) float points, seen through everything."""
    pieces(region, np.stack([points[:-1], points[1:]], axis=1), colour, wide, at)


def pieces(
    region: bpy.types.Region, ends: FloatArray, colour: tuple[float, ...], wide: float, at: Matrix | None = None
) -> None:
    """Straight pieces, (k, 2, 3) float, seen through everything."""
    if not len(ends):
        return
    shader = gpu.shader.from_builtin("POLYLINE_UNIFORM_COLOR")
    batch = batch_for_shader(shader, "LINES", {"pos": ends.reshape(-1, 3).astype(np.float32)})
    gpu.state.blend_set("ALPHA")
    with gpu.matrix.push_pop():
        if at is not None:
            gpu.matrix.multiply_matrix(at)
        shader.uniform_float("viewportSize", (region.width, region.height))
        shader.uniform_float("lineWidth", wide)
        shader.uniform_float("color", colour)
        batch.draw(shader)
    gpu.state.blend_set("NONE")


def surface(vertices: FloatArray, faces: np.ndarray, colours: FloatArray, at: Matrix) -> None:
    """Triangles in space with a colour a vertex; what is nearer hides what is farther."""
    shader = gpu.shader.from_builtin("SMOOTH_COLOR")
    parts = {"pos": vertices.astype(np.float32), "color": colours.astype(np.float32)}
    batch = batch_for_shader(shader, "TRIS", parts, indices=faces.astype(np.int32))
    gpu.state.depth_test_set("LESS_EQUAL")
    gpu.state.depth_mask_set(True)
    with gpu.matrix.push_pop():
        gpu.matrix.multiply_matrix(at)
        batch.draw(shader)
    gpu.state.depth_mask_set(False)
    gpu.state.depth_test_set("NONE")


def box(x: float, y: float, wide: float, high: float, colour: tuple[float, ...]) -> None:
    """A filled rectangle on the glass."""
    ramp(x, y, wide, high, np.array([colour, colour]))


def ramp(x: float, y: float, wide: float, high: float, colours: FloatArray) -> None:
    """A rectangle on the glass that runs through (k, 4) float colours from left to right."""
    across = x + wide * np.linspace(0.0, 1.0, len(colours))
    low = np.column_stack([across, np.full(len(colours), y), np.zeros(len(colours))])
    corners = np.concatenate([low, low + np.array([0.0, high, 0.0])])
    k = np.arange(len(colours) - 1)
    count = len(colours)
    faces = np.concatenate([np.column_stack([k, k + 1, k + count]), np.column_stack([k + 1, k + 1 + count, k + count])])
    shader = gpu.shader.from_builtin("SMOOTH_COLOR")
    parts = {"pos": corners.astype(np.float32), "color": np.tile(colours, (2, 1)).astype(np.float32)}
    batch = batch_for_shader(shader, "TRIS", parts, indices=faces.astype(np.int32))
    gpu.state.blend_set("ALPHA")
    batch.draw(shader)
    gpu.state.blend_set("NONE")


def wide_of(words: str, size: float) -> float:
    """How many pixels wide a text is."""
    blf.size(FONT, size)
    return float(blf.dimensions(FONT, words)[0])


def text(words: str, x: float, y: float, size: float, anchor: str = "left") -> None:
    """A line of text on the glass, with a soft shadow, so that it reads on any ground."""
    x -= {"left": 0.0, "middle": 0.5, "right": 1.0}[anchor] * wide_of(words, size)
    blf.size(FONT, size)
    blf.enable(FONT, blf.SHADOW)
    blf.shadow(FONT, 5, *SHADOW)
    blf.position(FONT, x, y, 0.0)
    blf.color(FONT, *INK)
    blf.draw(FONT, words)
    blf.disable(FONT, blf.SHADOW)
