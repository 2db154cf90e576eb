"""Pictures: front, back and side of the draped robe, written into a folder."""

import bpy

from .. import workshop
from .edge import StepOperator


class TOILE_OT_pictures(StepOperator, bpy.types.Operator):
    """Take pictures of the draped robe from all sides and write them into the folder"""

    bl_idname = "toile.pictures"
    bl_label = "Take pictures"
    needs = ("body", "pattern", "drape", "fit")

    @classmethod
    def poll(cls, context):
        """As every step, and a folder must be chosen."""
        if not super().poll(context):
            return False
        if not context.scene.toile.folder:
            cls.poll_message_set("Choose a folder for the pictures first")
            return False
        return True

    def work(self, context):
        """Take them."""
        written = workshop.pictures(context.scene)
        return f"{len(written)} files written into {written[0].parent}"


CLASSES = (TOILE_OT_pictures,)
