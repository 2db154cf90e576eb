"""The road: what comes next, the steps one below the other, and what was said last."""

import bpy

from .. import jobs, log, signpost
from ..words import OURS
from . import cloth, compare, doll, draft, drape, fit, paper, results, tape
from .base import fold, sentence

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
        for number, (step, title, draw) in enumerate(STEPS, start=1):
            icon = "CHECKMARK" if signpost.is_done(context.scene, step) else "BLANK1"
            icon = "FORWARD" if step == sign.step else icon
            body = fold(layout, context, step, f"{number}  {title}", icon)
            if body is not None:
                body.enabled = going is None
                draw(body, context)
        draw_log(layout, context)


def draw_sign(layout, context, sign):
    """What comes next, with its button."""
    box = layout.box().column()
    sentence(box, context, f"Next: {sign.text}", "FORWARD")
    if sign.operator:
        row = box.row()
        row.scale_y = 1.3
        row.operator(sign.operator)


def draw_progress(layout, context, going):
    """How far the work is, and the button that stops it."""
    box = layout.box().column()
    stage = going.last.stage
    sentence(box, context, f"{stage[:1].upper()}{stage[1:]}", "TIME")
    box.progress(factor=going.last.share, text=going.how_far(), translate=False)
    row = box.row()
    row.scale_y = 1.3
    row.operator("toile.stop", text="Stop (Esc)", icon="CANCEL")


def draw_log(layout, context):
    """The last line, and the ones before it on demand."""
    line = log.last()
    if line is None:
        return
    layout.separator()
    sentence(layout, context, line.text, "ERROR" if line.wrong else "INFO", alert=line.wrong)
    body = fold(layout, context, "log", "What was done", "BLANK1")
    if body is not None:
        for line in reversed(log.lines):
            sentence(body, context, f"{line.at}  {line.text}", "ERROR" if line.wrong else "DOT")


CLASSES = (TOILE_PT_road,)
