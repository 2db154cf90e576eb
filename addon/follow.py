"""Tapes follow their points: when the maker has dragged one and let go, the doll is measured anew from it.

Moving a point and measuring from it are two steps of Blender's undo history and one of the maker's: who takes back the
measuring takes back the move as well, and who wants it again gets both.
"""

from __future__ import annotations

from typing import Any

import bpy

from . import jobs, session, table, view, workshop

PATIENCE = 0.6  # s after the last move
_alone: list[bool] = []  # something in it: before this undo or redo a point lay where nothing was measured from


def moved(scene: bpy.types.Scene) -> bool:
    """Whether a point lies elsewhere than where the tapes were taken from."""
    return session.has(scene, "scanned") and bool(workshop.moved_points(scene))


@bpy.app.handlers.persistent
def _watch(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    """After each change: start to wait once a point of ours was among what changed."""
    if jobs.current() is not None or not session.has(scene, "scanned"):
        return
    if any(isinstance(one.id, bpy.types.Object) and one.id.get(table.POINT) for one in depsgraph.updates):
        _forget_waiting()
        bpy.app.timers.register(_measure, first_interval=PATIENCE)


def _measure() -> None:
    """Measure as the button does, in the first window that shows the scene."""
    context = bpy.context
    for window, area in view.areas():
        if jobs.current() is None and moved(window.scene) and not _dragging(window):
            with context.temp_override(window=window, area=area, region=view.region_of(area, "WINDOW")):
                bpy.ops.toile.measure("INVOKE_DEFAULT")
            return


@bpy.app.handlers.persistent
def _before(scene: bpy.types.Scene, _depsgraph: object = None) -> None:
    """Before an undo or a redo: a move that was never measured from is a step of its own."""
    _alone[:] = [True] if moved(scene) else []


@bpy.app.handlers.persistent
def _undone(scene: bpy.types.Scene, _depsgraph: object = None) -> None:
    """After an undo: nothing is measured from a point whose measuring was taken back; its move goes as well."""
    _forget_waiting()
    if moved(scene) and not _alone:
        bpy.app.timers.register(_undo_move, first_interval=0.0)


@bpy.app.handlers.persistent
def _redone(scene: bpy.types.Scene, _depsgraph: object = None) -> None:
    """After a redo of a move: its measuring comes back too."""
    _forget_waiting()
    if moved(scene) and not _alone:
        bpy.app.timers.register(_redo_measure, first_interval=0.0)


def _undo_move() -> None:
    """One step further back, to before the move; where there is none, the points lie where the tapes are."""
    _step(bpy.ops.ed.undo)
    for window, _ in view.areas():
        if moved(window.scene):
            table.lay_landmarks(window.scene, session.get(window.scene, "scanned"))


def _redo_measure() -> None:
    """One step further on, to the measuring; where there is none, the doll is measured as after a drag."""
    _step(bpy.ops.ed.redo)
    _measure()


def _step(through_history: Any) -> None:
    """A step through the undo history, in the first window; none where the history ends."""
    for window, area in view.areas():
        with bpy.context.temp_override(window=window, area=area, region=view.region_of(area, "WINDOW")):
            if through_history.poll():
                through_history()
        return


def _forget_waiting() -> None:
    """Measure nothing that was waited for."""
    if bpy.app.timers.is_registered(_measure):
        bpy.app.timers.unregister(_measure)


def _dragging(window: bpy.types.Window) -> bool:
    """Whether a point is still being dragged; then its next move starts the waiting anew."""
    return any(operator.bl_idname.startswith("TRANSFORM_OT") for operator in window.modal_operators)


HANDLERS = {
    "depsgraph_update_post": _watch,
    "undo_pre": _before,
    "redo_pre": _before,
    "undo_post": _undone,
    "redo_post": _redone,
}


def register() -> None:
    """Watch from now on; without a window there is nobody who drags."""
    if not bpy.app.background:
        watch()


def watch() -> None:
    """Look at each change, undo and redo."""
    for name, handler in HANDLERS.items():
        getattr(bpy.app.handlers, name).append(handler)


def unregister() -> None:
    """Watch no more."""
    for name, handler in HANDLERS.items():
        if handler in getattr(bpy.app.handlers, name):
            getattr(bpy.app.handlers, name).remove(handler)
    _forget_waiting()
