"""Step 1: answer how tall she is, and look at her."""

import bpy

from drafting.words import title

from .. import session, signpost, table, workshop
from ..asked import tall
from ..words import OURS
from .edge import LongOperator, StepOperator, look_at


class TOILE_OT_answer_height(LongOperator, bpy.types.Operator):
    """She is as tall as this: the scan is read with it"""

    bl_idname = "toile.answer_height"
    bl_label = "She is as tall as this"
    step_name = "doll"

    height: bpy.props.StringProperty(options={"HIDDEN"}, translation_context=OURS)

    def long_work(self, context):
        """Measure anew with it; stopped or refused, the height is what it was."""
        settings = context.scene.toile
        before = settings.height, settings.sure
        settings.height = settings.sure = self.height
        if not session.has(context.scene, "body"):
            return None
        try:
            return (yield from workshop.measuring(context.scene))
        except BaseException:
            settings.height, settings.sure = before
            raise

    def done(self, context, body):
        """How tall she is now."""
        if body is None:
            return f"{self.height} tall; open her scan"
        context.view_layer.update()
        look_at(context, "doll")
        signpost.unfold(context, "tape")
        return f"{tall(context.scene, body)} tall, {len(body.measures)} measures taken"


class TOILE_OT_look_at_her(StepOperator, bpy.types.Operator):
    """Turn the view to the doll, from the front"""

    bl_idname = "toile.look_at_her"
    bl_label = "Look at her"
    needs = ("body",)
    bl_options = {"REGISTER"}  # noqa: RUF012  nothing of the file changes

    @classmethod
    def hindrance(cls, context):
        """Only where she is."""
        return super().hindrance(context) or ("" if table.doll_of(context.scene) else "The doll is not there")

    def work(self, context):
        """Look."""
        look_at(context, "doll")
        return "Looking at the doll"


class TOILE_OT_take_meant(StepOperator, bpy.types.Operator):
    """Write this figure in place of yours; the tape follows"""

    bl_idname = "toile.take_meant"
    bl_label = "Take this"
    needs = ("body",)

    index: bpy.props.IntProperty(min=0, options={"HIDDEN"})
    meant: bpy.props.StringProperty(options={"HIDDEN"}, translation_context=OURS)

    def work(self, context):
        """Write it."""
        row = context.scene.toile.by_hand[self.index]
        row.by_hand = self.meant
        return f"{title(row.name)} {self.meant}"


CLASSES = (TOILE_OT_answer_height, TOILE_OT_look_at_her, TOILE_OT_take_meant)
