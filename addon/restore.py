"""Puts right what was deleted, scaled or edited by hand: what is kept is laid out again, the doll has her true size."""

from __future__ import annotations

import bpy
from mathutils import Matrix, Vector

from drafting.body.body import Body

from . import comparing, fitting, rack, readiness, session, sheets, table, workshop
from .steps import Work, finish


def true_size(scene: bpy.types.Scene) -> None:
    """Give the doll her true size where she stands; all else hangs on her and follows."""
    doll = table.doll_of(scene)
    if doll is not None:
        place, turn, _ = doll.matrix_world.decompose()
        doll.matrix_world = Matrix.LocRotScale(place, turn, Vector((1.0, 1.0, 1.0)) / scene.unit_settings.scale_length)


def lay_again(scene: bpy.types.Scene) -> None:
    """Lay out what is kept and is no longer in the scene, or was edited."""
    finish(laying_again(scene))


def laying_again(scene: bpy.types.Scene) -> Work[None]:
    """The same, a step at a time: the doll with all that hangs on her, or only the panels, the tapes or the robe."""
    body: Body | None = session.get(scene, "body")
    if body is None:
        return
    cloth = workshop.cloth(scene) if session.has(scene, "drape") else None
    if any(one.step == "doll" and one.operator == "toile.lay_again" for one in readiness.of_objects(scene)):
        table.lay_doll(scene, body)
        table.lay_landmarks(scene, body)
    if table.first(scene, "tape") is None:
        table.lay_tape(scene, body)
    if session.has(scene, "pattern") and table.first(scene, "panel") is None:
        sheets.lay_panels(scene, body, session.get(scene, "pattern"))
    if cloth is not None and table.first(scene, "robe") is None:
        rack.lay_robe(scene, session.get(scene, "drape"), cloth)
        if session.has(scene, "fit"):
            fitting.show_surface(scene, (yield from fitting.feeling(scene, session.get(scene, "drape"))))
    if session.has(scene, "compared") and table.first(scene, "variant") is None:
        comparing.stand(scene)
