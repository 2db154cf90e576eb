"""Step 9: the pattern to cut from, and the folder with all results."""

import bpy

from .. import papering
from .edge import StepOperator
from .pictures import FolderOperator


class TOILE_OT_paper(FolderOperator, bpy.types.Operator):
    """Write the pattern to cut from: pages true to scale, a sewing guide, and the layout on the cloth"""

    bl_idname = "toile.paper"
    bl_label = "Write the pattern"
    needs = ("body", "pattern")
    step_name = "paper"

    def long_work(self, context):
        """Write it."""
        return papering.papering(context.scene)

    def done(self, context, written):
        """What was written, and what to mind."""
        return f"{super().done(context, written)}. Print pattern.pdf at 100 %, not fitted to the page"


class TOILE_OT_open_folder(StepOperator, bpy.types.Operator):
    """Open the folder with the results"""

    bl_idname = "toile.open_folder"
    bl_label = "Open the folder"
    bl_options = {"INTERNAL"}  # noqa: RUF012  Blender reads it as it is

    @classmethod
    def hindrance(cls, context):
        """Only where there is one."""
        return super().hindrance(context) or ("" if context.scene.toile.folder else "Choose a folder first")

    def work(self, context):
        """Open it with the system's own program."""
        folder = bpy.path.abspath(context.scene.toile.folder)
        bpy.ops.wm.path_open(filepath=folder)
        return f"Results lie in {folder}"


CLASSES = (TOILE_OT_paper, TOILE_OT_open_folder)
