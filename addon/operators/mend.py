"""Puts right what was changed by hand: the buttons beside what `readiness` tells."""

import bpy

from .. import readiness, restore
from .edge import LongOperator, StepOperator, look_at


class TOILE_OT_lay_again(LongOperator, bpy.types.Operator):
    """Lay out again what is kept and no longer in the scene: the doll, her tapes, the panels, the robe"""

    bl_idname = "toile.lay_again"
    bl_label = "Lay out again"
    step_name = "doll"
    needs = ("body",)
    as_it_is = True

    @classmethod
    def hindrance(cls, context):
        """Only where something lacks."""
        lacks = any(one.operator == cls.bl_idname for one in readiness.of_objects(context.scene))
        return super().hindrance(context) or ("" if lacks else "Nothing is missing from the scene")

    def long_work(self, context):
        """Lay it out."""
        return restore.laying_again(context.scene)

    def done(self, context, _nothing):
        """Look at her."""
        context.view_layer.update()
        look_at(context, "doll")
        return "Laid out again, as it is kept"


class TOILE_OT_true_size(StepOperator, bpy.types.Operator):
    """Give the doll her true size again, where she stands"""

    bl_idname = "toile.true_size"
    bl_label = "True size again"
    needs = ("body",)
    as_it_is = True

    def work(self, context):
        """Scale her."""
        restore.true_size(context.scene)
        context.view_layer.update()
        look_at(context, "doll")
        return "The doll has her true size again"


CLASSES = (TOILE_OT_lay_again, TOILE_OT_true_size)
