"""Step 2: the tape."""

from functools import lru_cache

import bpy

from drafting.body.dimensions import TABLE
from drafting.errors import ToileError

from .. import session, table
from ..asked import length_of
from .base import length, plain, sentence

RULES = {row.name: row.rule for row in TABLE}


class TOILE_UL_tape(bpy.types.UIList):
    """All measures and what is drafted by; the maker's own figures are marked."""

    def draw_item(self, context, layout, _data, item, _icon, _active, _property):
        """One measure."""
        body = session.get(context.scene, "body")
        known = body.measures.get(item.name) if body else None
        split = layout.split(factor=0.6, align=True)
        split.label(text=plain(item.name), icon=mark_of(item.by_hand), translate=False)
        cell = split.row()
        cell.alignment = "RIGHT"
        cell.label(text=length(context, known.mm) if known else "missing", translate=False)


def mark_of(by_hand):
    """The icon of a measure: the maker's own, one of hers that cannot be read, or the scan's."""
    if fault_of(by_hand):
        return "ERROR"
    return "USER" if by_hand.strip() else "BLANK1"


@lru_cache(maxsize=256)
def fault_of(by_hand):
    """What is wrong with the maker's own figure, "" if nothing."""
    try:
        length_of(by_hand)
    except ToileError as error:
        return str(error)
    return ""


def draw(layout, context):
    """The list, the lit measure's rule and sides, and the points."""
    settings = context.scene.toile
    body = session.get(context.scene, "body")
    if body is None:
        layout.label(text="Open a doll first (step 1)", icon="INFO", translate=False)
        return
    layout.row().prop(settings, "show", expand=True)
    layout.template_list("TOILE_UL_tape", "", settings, "by_hand", settings, "lit", rows=7)
    if 0 <= settings.lit < len(settings.by_hand):
        draw_lit(layout, context, settings.lit, body)
    else:
        sentence(layout, context, "Click a measure to light its tape on the doll.", "INFO")
    column = layout.column(align=True)
    point = table.first(context.scene, "landmark")
    hidden = point is not None and point.hide_viewport
    column.operator("toile.points", text="Show the points" if hidden else "Hide the points", icon="EMPTY_AXIS")
    column.operator("toile.measure", text="Measure anew from the points", icon="DRIVER_DISTANCE")


def draw_lit(layout, context, index, body):
    """What the lit measure is, both its sides, and room for the maker's own figure."""
    item = context.scene.toile.by_hand[index]
    measure, hers = body.measures.get(item.name), bool(item.by_hand.strip())
    box = layout.box().column(align=True)
    sentence(box, context, RULES.get(item.name, ""))
    if measure is not None and measure.left is not None and measure.right is not None:
        box.label(text=f"Left {length(context, measure.left)}, right {length(context, measure.right)}", translate=False)
    if measure is not None and measure.level_mm is not None:
        box.label(text=f"{length(context, measure.level_mm)} above the soles", translate=False)
    row, fault = box.row(align=True), fault_of(item.by_hand)
    row.alert = bool(fault)
    row.prop(item, "by_hand", text="", icon="USER", placeholder="your own tape: 82.5mm, 3 1/4in")
    if hers:
        row.operator("toile.forget_tape", text="", icon="X").index = index
    if fault:
        sentence(box, context, fault, "ERROR")


CLASSES = (TOILE_UL_tape,)
