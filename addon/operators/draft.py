"""Draft: the panels for the doll on the table."""

import bpy

from .. import workshop
from .edge import StepOperator, look_at


class TOILE_OT_draft(StepOperator, bpy.types.Operator):
    """Draft the robe for this doll and lay the panels beside it, true to size"""

    bl_idname = "toile.draft"
    bl_label = "Draft the robe"
    needs = ("body",)

    def work(self, context):
        """Draft."""
        pattern = workshop.draft(context.scene)
        look_at(context, "doll", "panel")
        return f"{len(pattern.panels)} panels, {len(pattern.seams)} seams"


CLASSES = (TOILE_OT_draft,)
