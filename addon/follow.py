"""Tapes follow their points: when the maker has dragged one and let go, the doll is measured anew from it."""

from __future__ import annotations

import bpy

from . import jobs, session, table, view, workshop

PATIENCE = 0.6  # s after the last move


def moved(scene: bpy.types.Scene) -> bool:
    """Whether a point lies elsewhere than where the tapes were taken from."""
    return session.has(scene, "scanned") and bool(workshop.moved_points(scene))


@bpy.app.handlers.persistent
def _watch(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    """After each change: start to wait once a point of ours was among what changed."""
    if jobs.current() is not None or not session.has(scene, "scanned"):
        return
    if any(isinstance(one.id, bpy.types.Object) and one.id.get(table.POINT) for one in depsgraph.updates):
        if bpy.app.timers.is_registered(_measure):
            bpy.app.timers.unregister(_measure)
        bpy.app.timers.register(_measure, first_interval=PATIENCE)


def _measure() -> None:
    """Measure as the button does, in the first window that shows the scene."""
    context = bpy.context
    for window, area in view.areas():
        if jobs.current() is None and moved(window.scene) and not _dragging(window):
            with context.temp_override(window=window, area=area, region=view.region_of(area, "WINDOW")):
                bpy.ops.toile.measure("INVOKE_DEFAULT")
            return


def _dragging(window: bpy.types.Window) -> bool:
    """Whether a point is still being dragged; then its next move starts the waiting anew."""
    return any(operator.bl_idname.startswith("TRANSFORM_OT") for operator in window.modal_operators)


def register() -> None:
    """Watch from now on; without a window there is nobody who drags."""
    if not bpy.app.background:
        bpy.app.handlers.depsgraph_update_post.append(_watch)


def unregister() -> None:
    """Watch no more."""
    if _watch in bpy.app.handlers.depsgraph_update_post:
        bpy.app.handlers.depsgraph_update_post.remove(_watch)
    if bpy.app.timers.is_registered(_measure):
        bpy.app.timers.unregister(_measure)
