"""Presets of the draft's options, by Blender's own preset menu."""

import bpy
from bl_operators.presets import AddPresetBase

from drafting.garments.styles import STYLES, style_of

from .. import live, session
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

    def draw(self, context):
        """The robes that come with the tool, then the maker's own."""
        for style in STYLES.values():
            name = style.name.capitalize()
            self.layout.operator("toile.take_style", text=name, translate=False).style = style.name
        self.layout.separator()
        self.draw_preset(context)


class TOILE_OT_take_style(StepOperator, bpy.types.Operator):
    """Take this robe's options over, in proportion to the doll; all others go back to their rules"""

    bl_idname = "toile.take_style"
    bl_label = "Take the style"
    needs = ("body",)

    style: bpy.props.StringProperty(options={"HIDDEN"})

    @classmethod
    def description(cls, context, properties):
        """What it looks like."""
        about = STYLES[properties.style].about if properties.style in STYLES else "a robe that comes with the tool"
        return about[0].upper() + about[1:]

    def work(self, context):
        """Set them all, then draft once."""
        options, body = context.scene.toile.options, session.get(context.scene, "body")
        texts = style_of(self.style).texts(body.height_mm)
        with live.held():
            for name in TOILE_PG_options.__annotations__:
                options.property_unset(name)
            for name, text in texts.items():
                setattr(options, name, text)
        live.draft(context.scene)
        return f"Options of the {self.style} robe taken"


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


CLASSES = (
    TOILE_MT_draft_presets,
    TOILE_OT_take_style,
    TOILE_OT_save_preset,
    TOILE_OT_take_preset,
    TOILE_OT_clear_options,
)
