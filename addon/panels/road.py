"""The road: what comes next, what was said last, and the steps one below the other, one of them unfolded."""

import bpy

from .. import jobs, log, readiness, signpost
from ..words import OURS
from . import cloth, compare, doll, draft, drape, fit, paper, results, tape
from .base import block, draw_amiss, filled, fold, sentence

STEPS = (
    ("doll", "Doll", doll.draw),
    ("tape", "Tape", tape.draw),
    ("draft", "Draft", draft.draw),
    ("cloth", "Cloth", cloth.draw),
    ("drape", "Drape", drape.draw),
    ("fit", "Fit", fit.draw),
    ("compare", "Compare", compare.draw),
    ("pictures", "Pictures", results.draw_pictures),
    ("paper", "Paper", paper.draw),
)
NEXT_LINES, SAID_LINES = 2, 3  # always as high, so that no row below moves under the mouse
BUTTON = 1.3  # of a usual button's height


class TOILE_PT_road(bpy.types.Panel):
    """The whole road."""

    bl_label = "Pocket Toile"
    bl_translation_context = OURS
    bl_space_type = "VIEW_3D"
    bl_region_type = "UI"
    bl_category = "Toile"

    def draw(self, context):
        """Draw."""
        layout = self.layout
        going, sign = jobs.current(), signpost.next_sign(context.scene)
        if going is not None:
            draw_progress(layout, context, going)
        else:
            draw_sign(layout, context, sign)
        draw_said(layout, context)
        for number, (step, title, draw) in enumerate(STEPS, start=1):
            icon = "CHECKMARK" if signpost.is_done(context.scene, step) else "BLANK1"
            icon = "FORWARD" if step == sign.step else icon
            body = fold(layout, context, step, f"{number}  {title}", icon, helped=True)
            if body is not None:
                body.enabled = going is None
                draw(body, context)
                amiss = readiness.of_step(context.scene, step)
                draw_amiss(body, context, [one for one in amiss if one.text != sign.text])  # each is said once
        draw_log(layout, context)


def draw_sign(layout, context, sign):
    """What comes next, with its button."""
    box = layout.column()  # no box: in the light theme its words stand out too little
    block(box, context, f"Next: {sign.text}", "FORWARD", NEXT_LINES)
    row = box.row()
    row.scale_y = BUTTON
    if sign.operator:
        row.operator(sign.operator)
    else:
        row.label(text="", translate=False)


def draw_progress(layout, context, going):
    """How far the work is, and the button that stops it; as high as the sign."""
    box = layout.column()
    stage = going.last.stage
    lines = block(box, context, f"{stage[:1].upper()}{stage[1:]}", "TIME", NEXT_LINES - 1)
    lines.progress(factor=going.last.share, text=going.how_far(), translate=False)
    row = box.row()
    row.scale_y = BUTTON
    row.operator("toile.stop", text="Stop (Esc)", icon="CANCEL")


def draw_said(layout, context):
    """What was said last; the whole of it is its tooltip."""
    line = log.last(context.scene)
    layout.separator(type="LINE")
    column = layout.column(align=True)
    column.emboss = "NONE"
    icon = "BLANK1" if line is None else ("ERROR" if line.wrong else "INFO")
    for text in filled(context, line.text if line else "", SAID_LINES):
        row = column.row()
        row.alignment = "LEFT"
        if text:
            row.operator("toile.told", text=text, icon=icon, translate=False)
        else:
            row.label(text="", translate=False)
        icon = "BLANK1"


def draw_log(layout, context):
    """What was done, the newest first."""
    body = fold(layout, context, "log", "What was done", "BLANK1")
    if body is not None:
        for line in reversed(log.lines):
            sentence(body, context, f"{line.at}  {line.text}", "ERROR" if line.wrong else "DOT")


CLASSES = (TOILE_PT_road,)
