"""Step 3: draft, and say the rule behind a number."""

import textwrap
from functools import lru_cache

import bpy

from drafting.errors import ToileError
from drafting.garments.options import read_option
from drafting.units import format_length

from .. import session, signpost, workshop
from ..words import OURS
from .edge import StepOperator, look_at


class TOILE_OT_draft(StepOperator, bpy.types.Operator):
    """Draft the robe for this doll and lay the panels beside it, true to size"""

    bl_idname = "toile.draft"
    bl_label = "Draft the robe"
    needs = ("body",)

    def work(self, context):
        """Draft."""
        pattern = workshop.draft(context.scene)
        context.view_layer.update()
        look_at(context, "doll", "panel")
        signpost.unfold(context, "draft")
        context.window_manager.toile_folds.expected = True
        return f"{len(pattern.panels)} panels, {len(pattern.seams)} seams"


@lru_cache(maxsize=256)
def fault_of(option, text):
    """What is wrong with a length's text, "" if nothing."""
    try:
        read_option(option, text if text.strip() else None)
    except ToileError as error:
        return str(error)
    return ""


def rule_of(context, name):
    """What is wrong with an option's text; else how its number came about, in words, or the trade's rule where it is
    not drafted yet.
    """
    option = next(option for option in workshop.garment().options if option.name == name)
    fault = fault_of(option, getattr(context.scene.toile.options, name)) if option.kind == "length" else ""
    if fault:
        return fault
    pattern = session.get(context.scene, "pattern")
    rule = next((rule for rule in pattern.rules if rule.name == name), None) if pattern else None
    if rule is None:
        return option.tip
    return f"{format_length(rule.mm, context.scene.toile.show)}: {rule.reason}. {option.tip}"


class TOILE_OT_rule(bpy.types.Operator):
    """Where this number comes from"""

    bl_idname = "toile.rule"
    bl_label = "Where it comes from"
    bl_translation_context = OURS
    bl_options = {"INTERNAL"}  # noqa: RUF012  Blender reads it as it is

    option: bpy.props.StringProperty(options={"HIDDEN"})

    @classmethod
    def description(cls, context, properties):
        """The rule itself, as the tooltip."""
        return rule_of(context, properties.option).removesuffix(".")

    def invoke(self, context, _event):
        """Show it."""
        lines = textwrap.wrap(rule_of(context, self.option), 52)
        label = next(option.label for option in workshop.garment().options if option.name == self.option)

        def draw(menu, _context):
            for line in lines:
                menu.layout.label(text=line, translate=False)

        context.window_manager.popup_menu(draw, title=label, icon="INFO")
        return {"FINISHED"}


CLASSES = (TOILE_OT_draft, TOILE_OT_rule)
