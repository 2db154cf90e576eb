"""Presets of the draft's options, by Blender's own preset menu."""

import bpy
from bl_operators.presets import AddPresetBase

from .. import live
from ..properties import TOILE_PG_options
from ..words import OURS
from .edge import StepOperator

FOLDER = "pocket_toile/robe"


class TOILE_MT_draft_presets(bpy.types.Menu):
    """Options saved under a name"""

    bl_label = "Presets"
    bl_translation_context = OURS
    preset_subdir = FOLDER
    preset_operator = "toile.take_preset"
    draw = bpy.types.Menu.draw_preset


class TOILE_OT_save_preset(AddPresetBase, bpy.types.Operator):
    """Save all options of the draft under a name, or remove a saved one"""

    bl_idname = "toile.save_preset"
    bl_label = "Save the options"
    bl_translation_context = OURS
    preset_menu = "TOILE_MT_draft_presets"
    preset_subdir = FOLDER
    preset_defines = ["options = bpy.context.scene.toile.options"]  # noqa: RUF012  Blender reads them as they are
    preset_values = [f"options.{name}" for name in TOILE_PG_options.__annotations__]  # noqa: RUF012


class TOILE_OT_take_preset(StepOperator, bpy.types.Operator):
    """Take these options over"""

    bl_idname = "toile.take_preset"
    bl_label = "Take the options"

    filepath: bpy.props.StringProperty(subtype="FILE_PATH", options={"SKIP_SAVE"})
    menu_idname: bpy.props.StringProperty(name="Menu", options={"SKIP_SAVE"})

    def work(self, context):
        """Set them all, then draft once."""
        with live.held():
            bpy.ops.script.execute_preset(filepath=self.filepath, menu_idname="TOILE_MT_draft_presets")
        live.draft(context.scene)
        return f"Options of {bpy.path.display_name(self.filepath)} taken"


class TOILE_OT_clear_options(StepOperator, bpy.types.Operator):
    """Set all options of the draft back to their rules"""

    bl_idname = "toile.clear_options"
    bl_label = "Back to the rules"

    def work(self, context):
        """Unset them all, then draft once."""
        options = context.scene.toile.options
        for name in TOILE_PG_options.__annotations__:
            options.property_unset(name)
        live.draft(context.scene)
        return "All options follow their rules again"


CLASSES = (TOILE_MT_draft_presets, TOILE_OT_save_preset, TOILE_OT_take_preset, TOILE_OT_clear_options)
