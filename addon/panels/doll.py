"""Steps 1 and 2: the doll, and the tape."""

import bpy

from .. import session
from .base import StepPanel, length, plain, sentence


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
        for hand in settings.by_hand:
            row = table.row(align=True)
            split = row.split(factor=0.68, align=True)
            line = split.row()
            line.label(text=plain(hand.name))
            value = line.row()
            value.alignment = "RIGHT"
            known = body.measures.get(hand.name)
            value.label(text=length(context, known.mm) if known else "missing")
            split.prop(hand, "by_hand", text="")
        sentence(layout, context, "To the right: your own tape's figures, where you trust them more.", "INFO")


CLASSES = (TOILE_PT_doll, TOILE_PT_tape)
