"""The work table in the maker's scene: doll, tape, the flat panels beside it, the robe on it, all true to size.

One scene unit is a metre. All objects lie in a collection of ours and carry a mark, so that they are found again
and replaced, whatever they have been renamed to.
"""

from __future__ import annotations

from collections.abc import Iterable

import bmesh
import bpy
import numpy as np
from mathutils import Vector
from numpy.typing import NDArray

from drafting.body.body import Body
from drafting.cloth.draped import Draped
from drafting.pattern.pattern import Pattern

from . import bridge

FloatArray = NDArray[np.float64]

METRES = 0.001
MARK = "toile_role"
SKIN_COLOUR = (0.80, 0.62, 0.52, 1.0)
TAPE_COLOUR = (0.95, 0.35, 0.10, 1.0)
INK_COLOUR = (0.05, 0.05, 0.05, 1.0)
PAPER_COLOUR = (0.93, 0.90, 0.82, 1.0)


def collection(scene: bpy.types.Scene) -> bpy.types.Collection:
    """Our collection in this scene; made if there is none."""
    for child in scene.collection.children:
        if child.get(MARK) == "table":
            return child
    made = bpy.data.collections.new("Pocket Toile")
    made[MARK] = "table"
    scene.collection.children.link(made)
    return made


def clear(scene: bpy.types.Scene, roles: Iterable[str]) -> None:
    """Remove our objects of these roles and what only they used."""
    roles = set(roles)
    for thing in [thing for thing in collection(scene).all_objects if thing.get(MARK) in roles]:
        data = thing.data
        bpy.data.objects.remove(thing)
        if data is not None and data.users == 0:
            (bpy.data.meshes if isinstance(data, bpy.types.Mesh) else bpy.data.curves).remove(data)


def in_the_way(scene: bpy.types.Scene, objects: Iterable[bpy.types.Object]) -> list[bpy.types.Object]:
    """Those of these objects, not ours, that reach into the doll's space, such as a new file's cube."""
    ours = {thing.name: thing for thing in collection(scene).all_objects}
    dolls = [_reach(thing) for thing in ours.values() if thing.get(MARK) == "doll"]
    others = [
        thing for thing in objects if thing.name not in ours and thing.type in {"MESH", "CURVE", "SURFACE", "META"}
    ]
    return [
        thing
        for thing in others
        for low, high in [_reach(thing)]
        if any((low < doll_high).all() and (high > doll_low).all() for doll_low, doll_high in dolls)
    ]


def _reach(thing: bpy.types.Object) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest corner in space, scene units."""
    corners = np.array([thing.matrix_world @ Vector(corner) for corner in thing.bound_box])
    return corners.min(axis=0), corners.max(axis=0)


def lay_doll(scene: bpy.types.Scene, body: Body) -> bpy.types.Object:
    """The doll's skin; all that was made for another doll goes."""
    clear(scene, ("doll", "tape", "panel", "robe"))
    return _mesh(scene, "doll", "Doll", body.skin.vertices, body.skin.faces, SKIN_COLOUR)


def lay_tape(scene: bpy.types.Scene, body: Body) -> list[bpy.types.Object]:
    """A line for each measure, where the tape lies on the skin."""
    clear(scene, ("tape",))
    return [
        _line(scene, measure.name.replace("_", " "), measure.path, body.height_mm / 500.0)
        for measure in body.measures.values()
        if measure.path is not None
    ]


def lay_panels(scene: bpy.types.Scene, body: Body, pattern: Pattern) -> list[bpy.types.Object]:
    """The panels flat beside the doll, upright and facing forward like the doll, each with its name."""
    clear(scene, ("panel", "robe"))
    outlines = [panel.outline for panel in pattern.panels]
    height = body.height_mm
    beside = float(body.skin.vertices[:, 0].max()) + 0.15 * height
    places = shelves([np.ptp(outline, axis=0) for outline in outlines], 1.2 * height, 0.06 * height)
    made = []
    for panel, outline, place in zip(pattern.panels, outlines, places, strict=True):
        flat = outline - outline.min(axis=0) + place + [beside, 0.0]
        title = f"{panel.name}, cut {panel.cut}"
        thing = _mesh(scene, "panel", title, _upright(flat), _fan(flat), PAPER_COLOUR)
        made += [thing, _text(scene, title, flat, 0.03 * height)]
    return made


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


def lay_robe(scene: bpy.types.Scene, draped: Draped, colour: tuple[float, float, float]) -> bpy.types.Object:
    """The draped garment; its UV map holds the flat panels, one unit a metre."""
    clear(scene, ("robe",))
    cloth = draped.cloth
    robe = _mesh(scene, "robe", "Robe", cloth.vertices, cloth.faces, (*colour, 1.0))
    bridge.corner_uv(robe.data, "flat", cloth.flat * METRES)
    return robe


def _mesh(
    scene: bpy.types.Scene,
    role: str,
    name: str,
    vertices: FloatArray,
    faces: NDArray[np.int64],
    colour: tuple[float, ...],
) -> bpy.types.Object:
    made = bridge.mesh_object(
        name, vertices, faces, collection=collection(scene), scale=METRES, smooth=role in {"doll", "robe"}
    )
    made[MARK] = role
    made.color = colour
    made.data.materials.append(material(role, colour))
    return made


def material(role: str, colour: tuple[float, ...]) -> bpy.types.Material:
    """Our plain material for a role, in this colour."""
    for known in bpy.data.materials:
        if known.get(MARK) == role:
            break
    else:
        known = bpy.data.materials.new(f"Toile {role}")
        known[MARK] = role
    known.diffuse_color = colour
    return known


def _line(scene: bpy.types.Scene, name: str, path: FloatArray, thickness_mm: float) -> bpy.types.Object:
    curve = bpy.data.curves.new(name, "CURVE")
    curve.dimensions = "3D"
    curve.bevel_depth = thickness_mm * METRES
    spline = curve.splines.new("POLY")
    spline.points.add(len(path) - 1)
    spline.points.foreach_set("co", np.column_stack([path * METRES, np.ones(len(path))]).astype(np.float32).ravel())
    return _link(scene, curve, name, "tape", TAPE_COLOUR)


def _text(scene: bpy.types.Scene, title: str, flat: FloatArray, most_mm: float) -> bpy.types.Object:
    """A panel's name, written on it, no larger than `most_mm` and than the panel."""
    low, high = flat.min(axis=0), flat.max(axis=0)
    size_mm = min(most_mm, 0.6 * (high[1] - low[1]), 0.9 * (high[0] - low[0]) / (0.55 * len(title)))
    curve = bpy.data.curves.new(title, "FONT")
    curve.body = title
    curve.size = size_mm * METRES
    curve.align_x, curve.align_y = "CENTER", "CENTER"
    made = _link(scene, curve, f"{title} (name)", "panel", INK_COLOUR)
    x, z = 0.5 * (low + high) * METRES
    made.location = (x, -0.5 * METRES, z)  # half a millimetre before the paper
    made.rotation_euler = (np.pi / 2.0, 0.0, 0.0)
    return made


def _link(
    scene: bpy.types.Scene, curve: bpy.types.Curve, name: str, role: str, colour: tuple[float, ...]
) -> bpy.types.Object:
    made = bpy.data.objects.new(name, curve)
    made[MARK] = role
    made.color = colour
    curve.materials.append(material("tape" if role == "tape" else "ink", colour))
    collection(scene).objects.link(made)
    return made


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
