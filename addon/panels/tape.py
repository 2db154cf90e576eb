"""Step 2: the tape."""

from functools import lru_cache

import bpy

from drafting.body.dimensions import TABLE
from drafting.errors import ToileError

from .. import doubts, session, table, tapes
from ..asked import length_of
from .base import block, length, plain, row_of, short

RULES = {row.name: row.rule for row in TABLE}
ROWS = 8
SHARES = (0.52, 0.24, 0.24)  # of the list's width: the name, the scan's figure, the maker's own
HEADS = (0.46, 0.22, 0.32)  # above them, clear of the list's scroll bar
RULE_LINES = 3


class TOILE_UL_tape(bpy.types.UIList):
    """All measures, those that the garment is drafted by first: the scan's figure, and the maker's own."""

    def draw_item(self, context, layout, _data, item, _icon, _active, _property):
        """One measure."""
        head = row_of(layout, (None, scans(context, item), own(context, item)), SHARES)
        head.label(text=plain(item.name), icon=sign_of(context.scene, item), translate=False)

    def filter_items(self, context, data, name):
        """All of them, in our order; the search field works as in any list."""
        rows = getattr(data, name)
        helpers = bpy.types.UI_UL_list
        shown = (
            helpers.filter_items_by_name(self.filter_name, self.bitflag_filter_item, rows) if self.filter_name else []
        )
        return shown, tapes.order([row.name for row in rows], tapes.used(context.scene))


def measured(scene, item):
    """What the scan says of a measure, None where it says nothing."""
    body = session.get(scene, "scanned") or session.get(scene, "body")
    return body.measures.get(item.name) if body else None


def scans(context, item):
    """The scan's figure."""
    known = measured(context.scene, item)
    return short(context, known.mm) if known else "-"


def own(context, item):
    """The maker's own figure, as she wrote it; without its unit where the list has the same."""
    return item.by_hand.strip().removesuffix(context.scene.toile.show).rstrip()


def sign_of(scene, item):
    """The icon of a measure with a figure of the maker's: one that cannot be read, one far from the scan's, or hers."""
    if fault_of(item.by_hand):
        return "ERROR"
    if item.by_hand.strip():
        known = measured(scene, item)
        far = known is not None and doubts.is_far(length_of(item.by_hand), known.mm)
        return "QUESTION" if far else "USER"
    return "NONE"


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
    column = layout.column(align=True)
    row_of(column, ("Measure", "Scan", "Own"), HEADS)
    column.template_list("TOILE_UL_tape", "", settings, "by_hand", settings, "lit", rows=ROWS)
    draw_lit(layout, context, settings.lit, body)
    column = layout.column(align=True)
    row = column.row(align=True)
    for role, operator, icon in (
        ("landmark", "toile.points", "EMPTY_AXIS"),
        ("tape", "toile.tapes", "DRIVER_DISTANCE"),
    ):
        thing = table.first(context.scene, role)
        words = "Show" if thing is not None and thing.hide_viewport else "Hide"
        row.operator(operator, text=f"{words} {operator.removeprefix('toile.')}", icon=icon)
    column.operator("toile.measure", text="Measure anew from the points", icon="DRIVER_DISTANCE")


def draw_lit(layout, context, index, body):
    """What the lit measure is, both its sides, and room for the maker's own figure; as high whatever is lit."""
    box = layout.column(align=True)
    rows = context.scene.toile.by_hand
    if not 0 <= index < len(rows):
        block(box, context, "Click a measure to show its tape on the doll.", "INFO", RULE_LINES)
        for _ in range(3):
            box.label(text="", translate=False)
        return
    item = rows[index]
    block(box, context, why(body, item), "INFO", RULE_LINES)
    box.label(text=places(context, body.measures.get(item.name)), icon="BLANK1", translate=False)
    row = box.row(align=True)
    row.alert = bool(fault_of(item.by_hand))
    row.prop(item, "by_hand", text="", icon="USER", placeholder="your own tape: 82.5mm, 3 1/4in")
    if item.by_hand.strip():
        row.operator("toile.forget_tape", text="", icon="X").index = index
    draw_meant(box, context, item, index)


def why(body, item):
    """What is doubtful about a measure, else its rule."""
    doubt = next((doubt.sentence for doubt in body.doubts if doubt.about == item.name), None)
    return doubt or RULES.get(item.name, "")


def places(context, measure):
    """Both sides of a measure and where it was taken, in one line."""
    if measure is None:
        return "not on the scan"
    told = []
    if measure.left is not None and measure.right is not None:
        told.append(f"left {length(context, measure.left)}, right {length(context, measure.right)}")
    elif measure.level_mm is not None:
        told.append(f"{length(context, measure.level_mm)} above the soles")
    return ", ".join(told)


def draw_meant(layout, context, item, index):
    """One line: what is wrong with the maker's figure, or what she may have meant by it."""
    known, fault = measured(context.scene, item), fault_of(item.by_hand)
    if fault or known is None or not item.by_hand.strip() or not doubts.is_far(length_of(item.by_hand), known.mm):
        layout.label(text="", translate=False)
        return
    meant = doubts.meant(item.by_hand, known.mm)
    if meant is None:
        layout.label(text=f"Far from the scan's {length(context, known.mm)}", icon="QUESTION", translate=False)
        return
    button = layout.operator("toile.take_meant", text=f"Did you mean {meant}?", icon="QUESTION")
    button.index, button.meant = index, meant


CLASSES = (TOILE_UL_tape,)
