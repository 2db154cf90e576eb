"""Step 3: the draft and its options, group by group."""

import bpy

from drafting.errors import ToileError
from drafting.garments.options import read_option

from .. import session, workshop
from .base import StepPanel, length, sentence


class TOILE_PT_draft(StepPanel, bpy.types.Panel):
    """The draft."""

    bl_label = "3  Draft"

    def draw(self, context):
        """Draw."""
        layout = self.layout
        layout.operator("toile.draft", icon="MOD_LATTICE")
        pattern = session.get(context.scene, "pattern")
        if pattern is not None:
            cut = sum(panel.cut for panel in pattern.panels)
            layout.label(text=f"{len(pattern.panels)} panels, {cut} pieces to cut", icon="CHECKMARK")


def draw_options(layout, context, group):
    """The options of one group: a text for each length, with the worked out one as a hint."""
    settings = context.scene.toile.options
    pattern = session.get(context.scene, "pattern")
    layout.use_property_split = True
    layout.use_property_decorate = False
    for option in workshop.garment().options:
        if option.group != group:
            continue
        if option.kind != "length":
            layout.prop(settings, option.name)
            continue
        worked_out = pattern.options.get(option.name) if pattern else None
        hint = length(context, worked_out) if isinstance(worked_out, float | int) else "worked out"
        text = getattr(settings, option.name)
        fault = fault_of(option, text)
        row = layout.row()
        row.alert = bool(fault)
        row.prop(settings, option.name, placeholder=hint)
        if fault:
            sentence(layout, context, fault, "ERROR")


def fault_of(option, text):
    """What is wrong with a length's text, "" if nothing."""
    try:
        read_option(option, text if text.strip() else None)
    except ToileError as error:
        return str(error)
    return ""


def group_panel(group):
    """A folding panel for one group of options."""

    def draw(self, context):
        draw_options(self.layout, context, group)

    words = {
        "__doc__": f"Options: {group}.",
        "bl_label": group,
        "bl_parent_id": "TOILE_PT_draft",
        "bl_options": {"DEFAULT_CLOSED"},
        "draw": draw,
    }
    return type(f"TOILE_PT_draft_{group.lower()}", (StepPanel, bpy.types.Panel), words)


class TOILE_PT_rules(StepPanel, bpy.types.Panel):
    """Where each number comes from."""

    bl_label = "Where the numbers come from"
    bl_parent_id = "TOILE_PT_draft"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012  Blender reads it as it is

    def draw(self, context):
        """Draw."""
        pattern = session.get(context.scene, "pattern")
        if pattern is None:
            self.layout.label(text="Draft first", icon="INFO")
            return
        for rule in pattern.rules:
            sentence(self.layout, context, f"{rule.name}: {rule.reason}", "DOT")


GROUPS = tuple(dict.fromkeys(option.group for option in workshop.garment().options))
CLASSES = (TOILE_PT_draft, *(group_panel(group) for group in GROUPS), TOILE_PT_rules)
