"""What is drawn over the 3D view and is no object: the lit tape, a drape while it goes on, the cut through a level, and
the legend. Nothing of it is in the scene.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import bpy
import numpy as np
from mathutils import Matrix

from drafting.fit.cross_section import CrossSection

from . import brush, fitting, jobs, legend, session, table, view
from .steps import Seen
from .studio.stage import normals
from .table import FloatArray

LIT = (1.0, 0.78, 0.12, 1.0)
SKIN_LINE, CLOTH_LINE, ROOM_LINE = (0.95, 0.62, 0.45, 1.0), (0.45, 0.68, 1.0, 1.0), (1.0, 0.9, 0.35, 1.0)
LAMP = np.array([-0.35, -0.75, 0.56])  # where the light of a drape that goes on comes from
SHADE = 0.45  # how dark its far side is

_handles: list[Any] = []
_kept: dict[str, tuple[object, Any]] = {}


def kept(name: str, key: object, make: Callable[[], Any]) -> Any:
    """A value that is made anew only when its key changes, so that drawing costs nothing."""
    if name not in _kept or _kept[name][0] != key:
        _kept[name] = (key, make())
    return _kept[name][1]


def place(scene: bpy.types.Scene) -> Matrix | None:
    """From the body's millimetres to the scene."""
    doll = table.doll_of(scene)
    return None if doll is None else doll.matrix_world @ Matrix.Scale(table.METRES, 4)


def shaded(vertices: FloatArray, faces: np.ndarray, colour: tuple[float, ...]) -> FloatArray:
    """(n, 4) float: a colour under one lamp, at each vertex."""
    light = np.clip(normals(vertices, faces) @ (LAMP / np.linalg.norm(LAMP)), 0.0, 1.0)
    return np.column_stack([np.outer(SHADE + (1.0 - SHADE) * light, colour[:3]), np.ones(len(vertices))])


def lit_tape(scene: bpy.types.Scene) -> FloatArray | None:
    """(k, 3) float: where the chosen measure's tape lies, mm; None where none is chosen, or it has no place."""
    settings, body = scene.toile, session.get(scene, "body")
    if body is None or not 0 <= settings.lit < len(settings.by_hand):
        return None
    measure = body.measures.get(settings.by_hand[settings.lit].name)
    return None if measure is None else measure.path


def shown_section(scene: bpy.types.Scene) -> CrossSection | None:
    """The cut through the chosen level."""
    key = (session.token(scene, "drape"), session.token(scene, "body"), scene.toile.level)
    found: CrossSection | None = kept("section", key, lambda: fitting.section(scene))
    return found


def draw_in_space() -> None:
    """Lines and surfaces where the doll stands."""
    context = bpy.context
    scene, going = context.scene, jobs.current()
    if view.shows_our_tab(context.area):
        brush.make_ready(context.region)
    at = place(scene)
    if at is None:
        return
    if going is not None and going.seen is not None:
        _drape(going.seen, at, tuple(scene.toile.colour))
        return
    path = lit_tape(scene)
    if path is not None:
        brush.line(context.region, path, LIT, 4.0, at)
    cut = shown_section(scene)
    if cut is not None:
        brush.pieces(context.region, cut.skin, SKIN_LINE, 2.0, at)
        brush.pieces(context.region, cut.cloth, CLOTH_LINE, 2.5, at)
        for room in cut.rooms:
            brush.line(context.region, np.array([room.skin, room.cloth]), ROOM_LINE, 2.0, at)


def _drape(seen: Seen, at: Matrix, colour: tuple[float, ...]) -> None:
    skin = shaded(seen.skin, seen.skin_faces, table.SKIN_COLOUR)
    brush.surface(seen.skin, seen.skin_faces, skin, at)
    brush.surface(seen.cloth, seen.cloth_faces, shaded(seen.cloth, seen.cloth_faces, colour), at)


def draw_on_glass() -> None:
    """Numbers and the legend, in front of everything."""
    context = bpy.context
    scene, going = context.scene, jobs.current()
    if going is not None and going.seen is not None:  # they are of the robe that is hidden meanwhile
        return
    ui = context.preferences.system.ui_scale
    low = 24.0 * ui
    scale = fitting.legend(scene)
    if scale is not None:
        low = legend.draw_scale(scale, low, ui, scene.toile.show)
    cut = shown_section(scene)
    if cut is not None:
        legend.draw_section(cut, low, ui, scene.toile.show)


def register() -> None:
    """Draw from now on; without a window there is nothing to draw on."""
    if bpy.app.background:
        return
    space = bpy.types.SpaceView3D
    _handles.append(space.draw_handler_add(draw_in_space, (), "WINDOW", "POST_VIEW"))
    _handles.append(space.draw_handler_add(draw_on_glass, (), "WINDOW", "POST_PIXEL"))


def unregister() -> None:
    """Draw no more."""
    while _handles:
        bpy.types.SpaceView3D.draw_handler_remove(_handles.pop(), "WINDOW")
    _kept.clear()
