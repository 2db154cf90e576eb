"""Step 8: pictures of the draped robe, written into a folder."""

import bpy

from .. import picturing
from .edge import LongOperator


class FolderOperator(LongOperator):
    """A step that writes into the folder, which must be chosen."""

    @classmethod
    def hindrance(cls, context):
        """As every step, and a folder."""
        return super().hindrance(context) or ("" if context.scene.toile.folder else "Choose a folder first")

    def done(self, _context, written):
        """What was written, and where."""
        return f"{len(written)} files written into {written[0].parent}"


class TOILE_OT_pictures(FolderOperator, bpy.types.Operator):
    """Take pictures of the draped robe and write them into the folder"""

    bl_idname = "toile.pictures"
    bl_label = "Take pictures"
    needs = ("body", "pattern", "drape", "fit")
    step_name = "pictures"

    def long_work(self, context):
        """Take them."""
        return picturing.picturing(context.scene)


CLASSES = (TOILE_OT_pictures,)
