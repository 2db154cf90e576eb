"""The edge between the road and Blender's window: what a step needs, and how an error is told."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import bpy

from drafting.errors import ToileError

from .. import table

WANTED = {
    "body": "Open a doll first",
    "pattern": "Draft first",
    "drape": "Drape first",
    "fit": "Read the fit first",
}


class StepOperator:
    """A step of the road as an operator: `needs` names what it stands on, `work` does it and says what was done."""

    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012  Blender reads it as it is
    needs: tuple[str, ...] = ()

    if TYPE_CHECKING:  # Blender's operator brings the first two, each step the third
        poll_message_set: Callable
        report: Callable
        work: Callable

    @classmethod
    def poll(cls, context):
        """True when all that the step needs is there; else the button says what is missing."""
        if context.scene.toile.stage:
            cls.poll_message_set("The cloth is being draped; press Escape in the 3D view to stop it")
            return False
        for step in cls.needs:
            if f"toile_{step}_token" not in context.scene:
                cls.poll_message_set(WANTED[step])
                return False
        return True

    def execute(self, context):
        """Do the work; an error becomes a report."""
        try:
            self.report({"INFO"}, self.work(context))
        except ToileError as error:
            return refuse(self, error)
        return {"FINISHED"}


def refuse(operator, error):
    """Report an error and leave."""
    operator.report({"ERROR"}, str(error))
    return {"CANCELLED"}


def look_at(context, *roles):
    """Turn the 3D view to our objects of these roles, from the front, where there is a view."""
    if context.area is None or context.area.type != "VIEW_3D":
        return
    chosen = [thing for thing in table.collection(context.scene).all_objects if thing.get(table.MARK) in roles]
    region = next(region for region in context.area.regions if region.type == "WINDOW")
    for thing in context.view_layer.objects:
        thing.select_set(thing in chosen)
    with context.temp_override(region=region):
        bpy.ops.view3d.view_axis(type="FRONT")
        bpy.ops.view3d.view_selected()
    for thing in chosen:
        thing.select_set(False)
