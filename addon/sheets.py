"""The panels flat beside the doll, true to size: cloth to the cut line, a line to cut along and a dashed one to sew."""

from __future__ import annotations

from collections.abc import Sequence

import bmesh
import bpy
import numpy as np
from numpy.typing import NDArray

from drafting.body.body import Body
from drafting.paper.layout_pieces import cut_lines
from drafting.pattern.pattern import Pattern

from . import table
from .lettering import LETTER_WIDTH
from .sheet_marks import joined, ribbons, shapes_of
from .table import INK_COLOUR, METRES, FloatArray

PAPER_COLOUR = (0.93, 0.90, 0.82, 1.0)
SEW_COLOUR = (0.10, 0.25, 0.60, 1.0)
CUT_WIDE, SEW_WIDE = 1.0, 0.7  # mm, of a doll of 420 mm; wider on larger dolls
DASH, SPACE = 6.0, 3.0  # mm, likewise
DRAWN_AT = 420.0
GAP = 0.1  # of the doll's height between panels: the lengths of their edges stand there
BEFORE_MM = 0.4  # lines lie so far before the cloth


def lay_panels(scene: bpy.types.Scene, body: Body, pattern: Pattern) -> list[bpy.types.Object]:
    """All panels upright and facing forward like the doll, each with its name, its grain line and its notches."""
    table.clear(scene, ("panel",))
    cut, by = cut_lines(pattern), places(body, pattern)
    height, size = body.height_mm, body.height_mm / DRAWN_AT
    made, edges, outlines, marks = [], [], [], []
    for panel in pattern.panels:
        edge, outline = cut[panel.name] + by[panel.name], panel.outline + by[panel.name]
        title = f"{panel.name}, cut {panel.cut}"
        letters = _letters(title, outline, 0.03 * height)
        sheet = table.mesh(scene, "panel", title, _upright(edge), _fan(edge), PAPER_COLOUR)
        made += [sheet, _name(scene, title, outline, letters)]
        edges.append(edge)
        outlines.append(outline)
        marks += [shape + by[panel.name] for shape in shapes_of(panel, pattern, letters * len(title), letters, size)]
    made.append(_lines(scene, "Cut lines", "ink", edges, CUT_WIDE * size, INK_COLOUR))
    dash = (DASH * size, SPACE * size)
    made.append(_lines(scene, "Sew lines", "sew line", outlines, SEW_WIDE * size, SEW_COLOUR, dash))
    points, faces = joined(marks)
    before = _upright(points) - [0.0, BEFORE_MM, 0.0]
    made.append(table.mesh(scene, "panel", "Grain and notches", before, faces, INK_COLOUR, "ink"))
    return made


def places(body: Body, pattern: Pattern) -> dict[str, FloatArray]:
    """(2,) float for each panel: where the origin of its frame lies, across and up, mm."""
    cut, height = cut_lines(pattern), body.height_mm
    beside = float(body.skin.vertices[:, 0].max()) + 0.15 * height
    corners = shelves([np.ptp(cut[panel.name], axis=0) for panel in pattern.panels], 1.2 * height, GAP * height)
    return {
        panel.name: corner + np.array([beside, 0.0]) - cut[panel.name].min(axis=0)
        for panel, corner in zip(pattern.panels, corners, strict=True)
    }


def shelves(sizes: list[FloatArray], width: float, gap: float) -> list[FloatArray]:
    """Where rectangles lie on shelves at most `width` wide (wider ones alone), tallest first, from the floor up.

    Parameters
    ----------
    sizes : list of (2,) float
        Width and height of each.

    Returns
    -------
    list of (2,) float
        Lower left corners, in the order given.
    """
    places: dict[int, FloatArray] = {}
    along, floor, shelf = 0.0, 0.0, 0.0
    for index in sorted(range(len(sizes)), key=lambda index: -sizes[index][1]):
        if along > 0.0 and along + sizes[index][0] > width:
            along, floor, shelf = 0.0, floor + shelf + gap, 0.0
        places[index] = np.array([along, floor])
        along, shelf = along + sizes[index][0] + gap, max(shelf, float(sizes[index][1]))
    return [places[index] for index in range(len(sizes))]


def dashes(outline: FloatArray, dash: tuple[float, float] | None) -> list[tuple[FloatArray, FloatArray]]:
    """Straight runs along a closed outline: all of it, or dashes of a length with spaces between.

    Each side has whole dashes and begins and ends with half a one, so that every corner is drawn.
    """
    runs = []
    for start, end in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        length = float(np.linalg.norm(end - start))
        if dash is None or length <= sum(dash):
            runs.append((start, end))
            continue
        count = max(1, round(length / sum(dash)))
        step, drawn = 1.0 / count, dash[0] / sum(dash) / count
        for k in range(count + 1):
            low, high = max(0.0, k * step - drawn / 2), min(1.0, k * step + drawn / 2)
            runs.append((start + low * (end - start), start + high * (end - start)))
    return runs


def _lines(
    scene: bpy.types.Scene,
    name: str,
    kind: str,
    outlines: Sequence[FloatArray],
    wide: float,
    colour: tuple[float, ...],
    dash: tuple[float, float] | None = None,
) -> bpy.types.Object:
    runs = [run for outline in outlines for run in dashes(outline, dash)]
    corners, faces = ribbons(runs, wide)
    return table.mesh(scene, "panel", name, _upright(corners) - [0.0, BEFORE_MM, 0.0], faces, colour, kind)


def _letters(title: str, flat: FloatArray, most_mm: float) -> float:
    """How high the letters of a panel's name are: no larger than `most_mm` and than the panel, mm."""
    wide, high = np.ptp(flat, axis=0)
    return float(min(most_mm, 0.6 * high, 0.9 * wide / (LETTER_WIDTH * len(title))))


def _name(scene: bpy.types.Scene, title: str, flat: FloatArray, size_mm: float) -> bpy.types.Object:
    """A panel's name, written on its middle."""
    middle = 0.5 * (flat.min(axis=0) + flat.max(axis=0))
    return written(scene, "panel", title, size_mm, f"{title} (name)", np.array([middle[0], 2.0 * BEFORE_MM, middle[1]]))


def written(
    scene: bpy.types.Scene,
    role: str,
    text: str,
    size_mm: float,
    name: str,
    place_mm: FloatArray,
    colour: tuple[float, ...] = INK_COLOUR,
) -> bpy.types.Object:
    """Text that stands upright and faces forward, centred at x and height of a place and so far before it as its y.

    The text is moved within its object, whose own place is the doll's: else Blender draws a line between the two.
    """
    curve = bpy.data.curves.new(name, "FONT")
    curve.body, curve.size = text, size_mm * METRES
    curve.align_x, curve.align_y = "CENTER", "CENTER"
    curve.offset_x, before, curve.offset_y = place_mm * METRES
    curve.materials.append(table.material("ink" if colour == INK_COLOUR else "label", colour))
    made = bpy.data.objects.new(name, curve)
    made.color = colour
    made.location.y = -before
    made.rotation_euler = (np.pi / 2.0, 0.0, 0.0)
    return table.link(scene, role, made)


def _upright(flat: FloatArray) -> FloatArray:
    """(n, 3) float: flat points in the plane that faces forward."""
    return np.column_stack([flat[:, 0], np.zeros(len(flat)), flat[:, 1]])


def _fan(outline: FloatArray) -> NDArray[np.int64]:
    """(m, 3) int: triangles of a simple polygon, by Blender's own cutter."""
    cut = bmesh.new()
    try:
        corners = [cut.verts.new(point) for point in _upright(outline)]
        cut.verts.index_update()
        cut.faces.new(corners)
        loops = cut.calc_loop_triangles()
        return np.array([[loop.vert.index for loop in triangle] for triangle in loops])
    finally:
        cut.free()
