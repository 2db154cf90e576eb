"""Steps 1 and 2: the doll, and the tape."""

import bpy

from .. import session
from .base import StepPanel, length, plain, row_of, sentence

MAIN = ("bust_girth", "waist_girth", "hip_girth", "arm_length")  # what a maker checks first


class TOILE_PT_doll(StepPanel, bpy.types.Panel):
    """The scan on the table."""

    bl_label = "1  Doll"

    def draw(self, context):
        """Draw."""
        layout, settings = self.layout, context.scene.toile
        layout.prop(settings, "height", placeholder="42cm, 16 1/2in")
        column = layout.column(align=True)
        column.operator("toile.open_scan", icon="FILE_FOLDER")
        column.operator_menu_enum("toile.sample_doll", "doll", icon="OUTLINER_OB_ARMATURE")
        body = session.get(context.scene, "body")
        if body is None:
            sentence(layout, context, "Write the doll's true height, then open its scan.", "INFO")
            return
        layout.label(text=f"Height {length(context, body.height_mm)}", icon="CHECKMARK")
        for note in body.skin.notes:
            sentence(layout, context, note, "DOT")


class TOILE_PT_tape(StepPanel, bpy.types.Panel):
    """The body's measures."""

    bl_label = "2  Tape"

    def draw(self, context):
        """Draw."""
        layout, settings = self.layout, context.scene.toile
        layout.operator("toile.measure", icon="DRIVER_DISTANCE")
        body = session.get(context.scene, "body")
        if body is None:
            return
        layout.prop(settings, "show", expand=True)
        table = layout.column(align=True)
        for name in MAIN:
            if name in body.measures:
                row_of(table, plain(name), length(context, body.measures[name].mm))


class TOILE_PT_measures(StepPanel, bpy.types.Panel):
    """All measures, with room for those taken by hand."""

    bl_label = "All measures, and your own"
    bl_parent_id = "TOILE_PT_tape"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012  Blender reads it as it is

    def draw(self, context):
        """Draw."""
        layout = self.layout
        body = session.get(context.scene, "body")
        if body is None:
            layout.label(text="Open a doll first", icon="INFO")
            return
        sentence(layout, context, "Write your own tape's figure where you trust it more, then measure again.", "INFO")
        table = layout.column(align=True)
        for hand in context.scene.toile.by_hand:
            known = body.measures.get(hand.name)
            split = table.split(factor=0.68, align=True)
            row_of(split, plain(hand.name), length(context, known.mm) if known else "missing")
            split.prop(hand, "by_hand", text="")


CLASSES = (TOILE_PT_doll, TOILE_PT_tape, TOILE_PT_measures)
