"""Step 5: the drape. The cloth is seen moving; Escape or the panel's button stops it and leaves all as it was."""

import bpy

from .. import readiness, signpost, workshop
from .seen import SeenOperator


class TOILE_OT_drape(SeenOperator, bpy.types.Operator):
    """Sew the panels round the doll and let the cloth settle; Escape stops and leaves all as it was"""

    bl_idname = "toile.drape"
    bl_label = "Drape"
    needs = ("body", "pattern")
    step_name = "drape"

    @classmethod
    def hindrance(cls, context):
        """As every step, and the cloth must be one that can be laid on."""
        wrong = next((one.text for one in readiness.of_cloth(context.scene)), "")
        return super().hindrance(context) or wrong

    def long_work(self, context):
        """Drape."""
        return workshop.draping(context.scene)

    def done(self, context, _draped):
        """What a finished drape says."""
        signpost.unfold(context, "fit")
        return "Draped"


CLASSES = (TOILE_OT_drape,)
