"""Ways in for a scan beside the sidebar's button: File, Import, and a file dropped onto the 3D view."""

from pathlib import Path

import bpy

from .. import workshop
from .doll import SCANS, opened
from .edge import LongOperator

ENDINGS = SCANS.replace("*", "")


class TOILE_OT_drop_scan(LongOperator, bpy.types.Operator):
    """Open the doll's scan that was dropped onto the 3D view"""

    bl_idname = "toile.drop_scan"
    bl_label = "Open as a doll's scan"

    step_name = "doll"

    filepath: bpy.props.StringProperty(subtype="FILE_PATH", options={"SKIP_SAVE"})

    def long_work(self, context):
        """Open it."""
        return workshop.opening(context.scene, Path(self.filepath))

    done = staticmethod(opened)


class TOILE_FH_scan(bpy.types.FileHandler):
    """A scan dropped onto the 3D view."""

    bl_idname = "TOILE_FH_scan"
    bl_label = "Doll's scan"
    bl_import_operator = "toile.drop_scan"
    bl_file_extensions = ENDINGS

    @classmethod
    def poll_drop(cls, context):
        """In the 3D view only."""
        return context.area is not None and context.area.type == "VIEW_3D"


def draw_import(menu, _context):
    """The line in File, Import."""
    menu.layout.operator("toile.open_scan", text=f"Doll's scan ({ENDINGS.replace(';', ', ')})")


CLASSES = (TOILE_OT_drop_scan, TOILE_FH_scan)


def register() -> None:
    """Put the line into the menu."""
    bpy.types.TOPBAR_MT_file_import.append(draw_import)


def unregister() -> None:
    """Take it out."""
    bpy.types.TOPBAR_MT_file_import.remove(draw_import)
