"""What is drawn over the 3D view and is no object: the lit tape, a drape while it goes on, the cut through a level, and
the legend. Nothing of it is in the scene.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import bpy
import numpy as np
from bpy_extras.view3d_utils import location_3d_to_region_2d
from mathutils import Matrix, Vector

from drafting.fit.cross_section import CrossSection

from . import brush, edges, fitting, jobs, legend, session, sheets, table, view
from .steps import Seen
from .studio.stage import normals
from .table import FloatArray

LIT = (1.0, 0.78, 0.12, 1.0)
SKIN_LINE, CLOTH_LINE, ROOM_LINE = (0.95, 0.62, 0.45, 1.0), (0.45, 0.68, 1.0, 1.0), (1.0, 0.9, 0.35, 1.0)
LAMP = np.array([-0.35, -0.75, 0.56])  # where the light of a drape that goes on comes from
LOW, CROSS = 24.0, 9.0  # pixels at a scale of 1: below the lowest card, and half the cross
FINE = (0.6, 0.6, 0.6, 0.8)
LEAST = 8.0  # pixels: letters that are lower are not drawn
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


def tapes_matter(scene: bpy.types.Scene) -> bool:
    """Whether tapes are looked at: their step is open, or no cloth hides them."""
    tape = table.first(scene, "tape")
    return bpy.context.window_manager.toile_folds.step == "tape" or (tape is not None and not tape.hide_viewport)


def shown_section(scene: bpy.types.Scene) -> CrossSection | None:
    """The cut through the chosen level."""
    key = (session.token(scene, "drape"), session.token(scene, "body"), scene.toile.level, fitting.is_worn(scene))
    found: CrossSection | None = kept("section", key, lambda: fitting.section(scene))
    return found


def panel_lines(scene: bpy.types.Scene) -> dict[edges.Place, FloatArray]:
    """The panels' edges where they lie; empty where nothing is drafted or the panels are hidden."""
    body, pattern, sheet = session.get(scene, "body"), session.get(scene, "pattern"), table.first(scene, "panel")
    if body is None or pattern is None or sheet is None or not sheet.visible_get():
        return {}
    key = (session.token(scene, "body"), session.token(scene, "pattern"))
    found: dict[edges.Place, FloatArray] = kept("edges", key, lambda: edges.lines(body, pattern))
    return found


def panel_labels(scene: bpy.types.Scene) -> list[edges.Label]:
    """The lengths beside them."""
    if not panel_lines(scene):
        return []
    body, pattern, unit = session.get(scene, "body"), session.get(scene, "pattern"), scene.toile.show
    key = (session.token(scene, "body"), session.token(scene, "pattern"), unit)
    found: list[edges.Label] = kept("lengths", key, lambda: edges.labels(body, pattern, unit))
    return found


def upright(point: FloatArray) -> Vector:
    """A place among the panels, across and up, in space, mm."""
    return Vector((point[0], -2.0 * sheets.BEFORE_MM, point[1]))


def _edges(scene: bpy.types.Scene, at: Matrix) -> None:
    """The edge that was clicked, and what it is sewn to."""
    place, drawn = edges.shown(scene), panel_lines(scene)
    if place is None or not drawn:
        return
    for line in edges.lit(session.get(scene, "pattern"), place, drawn):
        points = np.column_stack([line[:, 0], np.full(len(line), -2.0 * sheets.BEFORE_MM), line[:, 1]])
        brush.line(bpy.context.region, points, LIT, 6.0, at)


def _leaders(scene: bpy.types.Scene, at: Matrix) -> None:
    """A line from each edge to a length that stands far off."""
    found = _read_lengths(scene)
    ends = [label.leader for label in found if label.leader is not None]
    if ends:
        brush.pieces(bpy.context.region, np.array([[upright(point) for point in line] for line in ends]), FINE, 1.0, at)


def _read_lengths(scene: bpy.types.Scene) -> list[edges.Label]:
    """The lengths, while the draft's step is open."""
    return panel_labels(scene) if bpy.context.window_manager.toile_folds.step == "draft" else []


def _lengths(scene: bpy.types.Scene, at: Matrix) -> None:
    """Each edge's length while the draft's step is open, where the view is near enough to read it."""
    context = bpy.context
    region, seen = context.region, context.region_data
    if not (found := _read_lengths(scene)):
        return
    letters = edges.LETTERS * session.get(scene, "body").height_mm
    for label in found:
        middle = label.box.mean(axis=0)
        ends = [
            location_3d_to_region_2d(region, seen, at @ upright(middle + np.array([0.0, by * letters])))
            for by in (-0.5, 0.5)
        ]
        if ends[0] is None or ends[1] is None or (size := float((ends[1] - ends[0]).length)) < LEAST:
            continue
        brush.text(label.text, float(ends[0].x), float(ends[0].y), size, "middle")


def draw_in_space() -> None:
    """Lines and surfaces where the doll stands."""
    context = bpy.context
    scene, going, at = context.scene, jobs.current(), place(context.scene)
    if (
        at is not None and going is not None and going.shown is not None
    ):  # it stands in for objects: seen wherever they are
        _drape(going.shown, at, tuple(scene.toile.colour))
        return
    if not view.shows_ours(context.area):
        return
    brush.make_ready(context.region)
    if at is None:
        return
    _leaders(scene, at)
    _edges(scene, at)
    path = lit_tape(scene)
    if path is not None and tapes_matter(scene):
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
    if not view.shows_ours(context.area) or (going is not None and going.shown is not None):
        return  # while another is draped, they would be of the robe that is hidden
    ui, at = context.preferences.system.ui_scale, place(scene)
    if at is not None:
        _lengths(scene, at)
    if (chosen := edges.shown(scene)) is not None:
        legend.draw_told(edges.told(session.get(scene, "pattern"), chosen, scene.toile.show), context.region, ui)
    scale, cut = fitting.legend(scene), shown_section(scene)
    if scale is not None:
        legend.draw_scale(scale, LOW * ui, ui, scene.toile.show)
    if cut is not None:
        legend.draw_section(cut, above_scale(scene, ui), ui, scene.toile.show)


def above_scale(scene: bpy.types.Scene, ui: float) -> float:
    """Where the cut's card begins: above the legend where there is one, pixels."""
    return LOW * ui + (0.0 if fitting.legend(scene) is None else legend.scale_high(ui))


class TOILE_GGT_close(bpy.types.GizmoGroup):  # noqa: N801  Blender's way to name its classes
    """The cross on the cut's card: a click closes it."""

    bl_label = "Close the cut"
    bl_space_type = "VIEW_3D"
    bl_region_type = "WINDOW"
    bl_options = {"PERSISTENT", "SCALE"}  # noqa: RUF012  Blender reads it as it is

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Where the card is drawn."""
        shown = bool(context.scene.toile.level) and jobs.current() is None and view.shows_ours(context.area)
        return shown and shown_section(context.scene) is not None

    def setup(self, _context: bpy.types.Context) -> None:
        """Make the cross."""
        self.cross = self.gizmos.new("GIZMO_GT_button_2d")
        self.cross.icon, self.cross.draw_options = "BLANK1", {"BACKDROP", "OUTLINE"}
        self.cross.color, self.cross.alpha = (0.3, 0.3, 0.3), 0.6
        self.cross.color_highlight, self.cross.alpha_highlight = (0.6, 0.6, 0.6), 0.9
        self.cross.scale_basis = CROSS
        self.cross.target_set_operator("toile.close_level")

    def draw_prepare(self, context: bpy.types.Context) -> None:
        """Put it into the card's corner."""
        ui = context.preferences.system.ui_scale
        x, y = legend.cross(above_scale(context.scene, ui), ui)
        self.cross.matrix_basis = Matrix.Translation((x, y, 0.0))


def register() -> None:
    """Draw from now on; without a window there is nothing to draw on."""
    if bpy.app.background:
        return
    space = bpy.types.SpaceView3D
    _handles.append(space.draw_handler_add(draw_in_space, (), "WINDOW", "POST_VIEW"))
    _handles.append(space.draw_handler_add(draw_on_glass, (), "WINDOW", "POST_PIXEL"))
    bpy.utils.register_class(TOILE_GGT_close)


def unregister() -> None:
    """Draw no more."""
    if _handles:
        bpy.utils.unregister_class(TOILE_GGT_close)
    while _handles:
        bpy.types.SpaceView3D.draw_handler_remove(_handles.pop(), "WINDOW")
    _kept.clear()
