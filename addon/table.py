"""The work table in the maker's scene: the doll, and the tape and points on it, true to size.

All objects lie in a collection of ours and carry a mark, so that they are found again and replaced, whatever they have
been renamed to. Meshes are in metres; the doll is scaled by the scene's own unit, and all else hangs on the doll, so
that it follows where she is moved.
"""

from __future__ import annotations

from collections.abc import Iterable

import bpy
import numpy as np
from mathutils import Vector
from numpy.typing import NDArray

from drafting.body.body import Body
from drafting.words import plain, title

from . import bridge

FloatArray = NDArray[np.float64]

METRES = 0.001
MARK = "toile_role"
POINT = "toile_landmark"
SKIN_COLOUR = (0.80, 0.62, 0.52, 1.0)
TAPE_COLOUR = (0.95, 0.35, 0.10, 1.0)
INK_COLOUR = (0.05, 0.05, 0.05, 1.0)
ON_DOLL = ("doll", "tape", "landmark", "panel", "robe", "under", "earlier", "variant")


def collection(scene: bpy.types.Scene) -> bpy.types.Collection:
    """Our collection in this scene, with the doll that is worked on; made if there is none."""
    for child in scene.collection.children:
        if child.get(MARK) == "table" and child.library is None:
            return child
    made = bpy.data.collections.new("Pocket Toile")
    made[MARK] = "table"
    scene.collection.children.link(made)
    return made


def ours(scene: bpy.types.Scene, *roles: str) -> list[bpy.types.Object]:
    """Our objects on the table, of these roles or of all; nothing that is linked from another file."""
    found = (child for child in scene.collection.children if child.get(MARK) == "table" and child.library is None)
    things = [thing for child in found for thing in child.all_objects if thing.get(MARK) and thing.library is None]
    return [thing for thing in things if not roles or thing[MARK] in roles]


def first(scene: bpy.types.Scene, role: str) -> bpy.types.Object | None:
    """One of our objects of this role; quick, for what is drawn often."""
    for child in scene.collection.children:
        if child.get(MARK) == "table" and child.library is None:
            for thing in child.objects:
                if thing.get(MARK) == role and thing.library is None:
                    return thing
    return None


def doll_of(scene: bpy.types.Scene) -> bpy.types.Object | None:
    """The doll's skin on the table."""
    return first(scene, "doll")


def clear(scene: bpy.types.Scene, roles: Iterable[str]) -> None:
    """Remove our objects of these roles and what only they used."""
    for thing in ours(scene, *roles):
        data = thing.data
        bpy.data.objects.remove(thing)
        if data is not None and data.users == 0:
            (bpy.data.meshes if isinstance(data, bpy.types.Mesh) else bpy.data.curves).remove(data)


def in_the_way(scene: bpy.types.Scene, objects: Iterable[bpy.types.Object]) -> list[bpy.types.Object]:
    """Those of these objects, not ours, that reach into the doll's space, such as a new file's cube."""
    dolls = [_reach(thing) for thing in ours(scene, "doll")]
    others = [
        thing for thing in objects if thing.get(MARK) is None and thing.type in {"MESH", "CURVE", "SURFACE", "META"}
    ]
    return [
        thing
        for thing in others
        for low, high in [_reach(thing)]
        if any((low < doll_high).all() and (high > doll_low).all() for doll_low, doll_high in dolls)
    ]


def space_of_doll(scene: bpy.types.Scene) -> tuple[float, ...]:
    """Lowest and highest corner of the doll in space, scene units; nothing where there is none."""
    doll = doll_of(scene)
    return () if doll is None else tuple(np.concatenate(_reach(doll)).tolist())


def _reach(thing: bpy.types.Object) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest corner in space, scene units."""
    corners = np.array([thing.matrix_world @ Vector(corner) for corner in thing.bound_box])
    return corners.min(axis=0), corners.max(axis=0)


def lay_doll(scene: bpy.types.Scene, body: Body) -> bpy.types.Object:
    """The doll's skin where the one before stood; all that was made for that one goes."""
    before = doll_of(scene)
    place = before.location.copy() if before else Vector((scene.get("toile_place", 0.0), 0.0, 0.0))
    clear(scene, ON_DOLL)
    doll = mesh(scene, "doll", "Doll", body.skin.vertices, body.skin.faces, SKIN_COLOUR)
    doll.location = place
    doll.scale = (1.0 / scene.unit_settings.scale_length,) * 3
    return doll


def lay_tape(scene: bpy.types.Scene, body: Body) -> list[bpy.types.Object]:
    """A line for each measure, where the tape lies on the skin; beneath cloth they are hidden."""
    clear(scene, ("tape",))
    made = [
        _line(scene, plain(measure.name), measure.path, body.height_mm / 500.0)
        for measure in body.measures.values()
        if measure.path is not None
    ]
    show_tapes(scene, not any(not robe.hide_viewport for robe in ours(scene, "robe")))
    return made


def show_tapes(scene: bpy.types.Scene, shown: bool) -> None:
    """Show or hide all tapes."""
    for tape in ours(scene, "tape"):
        tape.hide_viewport = tape.hide_render = not shown


def lay_landmarks(scene: bpy.types.Scene, body: Body) -> None:
    """A small ball of lines at each point that the tapes start from, to be dragged; those there already only move."""
    there = {thing.get(POINT): thing for thing in ours(scene, "landmark")}
    for name, point in body.landmarks.items():
        ball = there.pop(name, None) or _ball(scene, name, body.height_mm)
        ball.location = Vector(point) * METRES
    for gone in there.values():
        bpy.data.objects.remove(gone)


def _ball(scene: bpy.types.Scene, name: str, height_mm: float) -> bpy.types.Object:
    ball = bpy.data.objects.new(title(name), None)
    ball.empty_display_type, ball.empty_display_size = "SPHERE", height_mm / 150.0 * METRES
    ball.show_in_front = ball.hide_viewport = True  # shown when asked for
    ball[POINT] = name
    ball.lock_rotation = ball.lock_scale = (True, True, True)
    return link(scene, "landmark", ball)


def landmarks(scene: bpy.types.Scene) -> dict[str, FloatArray]:
    """(3,) float for each point as it lies now, in the body's frame, mm."""
    return {thing[POINT]: np.array(thing.location) / METRES for thing in ours(scene, "landmark") if POINT in thing}


def link(scene: bpy.types.Scene, role: str, thing: bpy.types.Object) -> bpy.types.Object:
    """Put an object of ours on the table; all but the doll hang on her."""
    thing[MARK] = role
    if role != "doll":
        thing.parent = doll_of(scene)
    collection(scene).objects.link(thing)
    return thing


def mesh(
    scene: bpy.types.Scene,
    role: str,
    name: str,
    vertices: FloatArray,
    faces: NDArray[np.int64],
    colour: tuple[float, ...],
    kind: str = "",
) -> bpy.types.Object:
    """A mesh of ours; `kind` names its material where that is not the role's."""
    made = bridge.mesh_object(
        name, vertices, faces, collection=collection(scene), scale=METRES, smooth=role not in {"panel"}
    )
    made[MARK] = role
    made.parent = None if role == "doll" else doll_of(scene)
    made.color = colour
    made.data.materials.append(material(kind or role, colour))
    return made


def material(kind: str, colour: tuple[float, ...]) -> bpy.types.Material:
    """Our plain material of this kind, in this colour."""
    for known in bpy.data.materials:
        if known.get(MARK) == kind and known.library is None:
            break
    else:
        known = bpy.data.materials.new(f"Toile {kind}")
        known[MARK] = kind
    known.diffuse_color = colour
    return known


def _line(scene: bpy.types.Scene, name: str, path: FloatArray, thickness_mm: float) -> bpy.types.Object:
    curve = bpy.data.curves.new(name, "CURVE")
    curve.dimensions = "3D"
    curve.bevel_depth = thickness_mm * METRES
    spline = curve.splines.new("POLY")
    spline.points.add(len(path) - 1)
    spline.points.foreach_set("co", np.column_stack([path * METRES, np.ones(len(path))]).astype(np.float32).ravel())
    curve.materials.append(material("tape", TAPE_COLOUR))
    made = bpy.data.objects.new(name, curve)
    made.color = TAPE_COLOUR
    return link(scene, "tape", made)
