"""Cloth: the maker's own."""

from pathlib import Path

import bpy

from .. import own_cloth, preferences
from ..words import OURS
from .edge import StepOperator

_items: list[tuple[str, str, str]] = []  # Blender does not hold the texts of a dynamic enum itself


def cloth_items(_self, _context):
    """The cloths of the fabric folder for a menu."""
    _items[:] = [(str(path), path.stem.replace("_", " ").capitalize(), str(path)) for path in own_cloth.files()]
    return _items


class TOILE_OT_own_cloth(StepOperator, bpy.types.Operator):
    """Drape one of your own cloths, from the fabric folder of the preferences"""

    bl_idname = "toile.own_cloth"
    bl_label = "Your own cloth"

    cloth: bpy.props.EnumProperty(name="Cloth", items=cloth_items, translation_context=OURS)

    @classmethod
    def hindrance(cls, context):
        """Only where there are any."""
        lacking = "" if own_cloth.files() else "Preferences, Add-ons, Pocket Toile: choose a folder with cloths (.toml)"
        return super().hindrance(context) or lacking

    def work(self, context):
        """Take it."""
        return f"{own_cloth.choose(context.scene, Path(self.cloth)).name} is the cloth now"


class TOILE_OT_fabric_folder(StepOperator, bpy.types.Operator):
    """Choose the folder in which your own cloths lie, a .toml file each"""

    bl_idname = "toile.fabric_folder"
    bl_label = "Folder with your own cloths"

    directory: bpy.props.StringProperty(subtype="DIR_PATH", options={"HIDDEN", "SKIP_SAVE"})
    filter_folder: bpy.props.BoolProperty(default=True, options={"HIDDEN"})

    @classmethod
    def hindrance(cls, context):
        """Only where there are preferences to keep it in."""
        lacking = "" if preferences.wishes() else "Enable Pocket Toile in Blender's preferences first"
        return super().hindrance(context) or lacking

    def invoke(self, context, _event):
        """Ask for the folder."""
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    def work(self, _context):
        """Keep it, as the preferences do."""
        found = len(own_cloth.choose_folder(Path(self.directory)))
        return f"{found} cloth{'' if found == 1 else 's'} of your own to choose from"


CLASSES = (TOILE_OT_own_cloth, TOILE_OT_fabric_folder)
