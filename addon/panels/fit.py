"""Step 6: the fit. The verdict first, then the levels, the picture on the cloth, and what to change."""

from drafting.fit.level import FITS

from .. import fitting, session, table
from ..properties import MOST_ADVICE
from .base import block, fold, length, list_button, plain, row_of, sentence, short

SIGNS = {"fits": "CHECKMARK", "tight": "ERROR", "loose": "INFO", "does not close": "CANCEL"}
HEADLINES = {"fits": "It fits", "tight": "It is tight", "loose": "It is loose", "does not close": "It does not close"}
NAMES = {"upper_arm": "Arm"}  # where a level's own name is too wide for its column
SHARES = (0.25, 0.18, 0.18, 0.18, 0.21)  # of the table's width
CAPTION_LINES = 2


def draw(layout, context):
    """All of it."""
    scene = context.scene
    fit = session.get(scene, "fit")
    if fit is None:
        layout.operator("toile.read_fit", icon="ZOOM_ALL")
        before = session.get(scene, "earlier")
        if before is not None:
            layout.label(text=f"Before: {HEADLINES[before.verdict].lower()}", icon="TIME", translate=False)
        return
    if fitting.shown(scene) is None:
        sentence(layout, context, "The robe that was read is not on the doll as it was draped.", "ERROR")
        return
    headline = layout.row()
    headline.scale_y = 1.2
    headline.label(text=HEADLINES[fit.verdict], icon=SIGNS[fit.verdict], translate=False)
    draw_levels(layout, context, fit, session.get(scene, "earlier"))
    layout.row(align=True).prop(scene.toile, "picture", expand=True)
    before = table.first(scene, "earlier") if session.has(scene, "earlier") else None
    if before is not None:
        words = "Show the robe before" if before.hide_viewport else "Show this robe again"
        layout.operator("toile.show_before", text=words, icon="LOOP_BACK")
    draw_under(layout, context, fit.under)
    lists = layout.row(align=True)
    if fit.reasons:
        list_button(lists, "reasons", "Why", len(fit.reasons), "ERROR")
    if fit.cautions:
        list_button(lists, "cautions", "Read with care", len(fit.cautions), "ERROR")
    draw_advice(layout, context, fit, session.get(scene, "pattern"))


def draw_levels(layout, context, fit, before):
    """Girths and ease at each level, beside the ease before; a click cuts through and tells what is wanted."""
    grid = layout.column(align=True)
    unit = "mm" if context.scene.toile.show == "mm" else "inches"
    row_of(grid, (unit, "Body", "Robe", "Ease", "Before"), SHARES)
    for row in fitting.rows(fit, before):
        level, ease_before = row.level, row.before.ease_mm if row.before else None
        lengths = (level.body_girth_mm, level.garment_girth_mm, level.ease_mm, ease_before)
        head = row_of(grid, (None, *("-" if mm is None else short(context, mm) for mm in lengths)), SHARES)
        icon, chosen = "NONE" if level.verdict == FITS else "ERROR", context.scene.toile.level == level.name
        words = NAMES.get(level.name, plain(level.name))
        head.operator("toile.show_level", text=words, depress=chosen, icon=icon).level = level.name
    block(grid, context, caption(context, fit), "NONE", CAPTION_LINES)


def caption(context, fit):
    """What is wanted at the level that is cut through."""
    shown = next((level for level in fit.levels if level.name == context.scene.toile.level), None)
    if shown is None:
        return "Click a level to cut through it."
    low, high = (length(context, mm) for mm in shown.wanted_mm)
    missing = "; the cloth does not reach it" if shown.ease_mm is None else ""
    return f"{plain(shown.name)}: {low} to {high} of ease is wanted{missing}."


def draw_under(layout, context, under):
    """What an under-robe takes of the robe's room."""
    if under is None:
        return
    taken = length(context, under.layer.takes_mm)
    sentence(layout, context, f"Ease is over the under-robe of {under.layer.fabric}, which takes {taken}.", "INFO")


def draw_advice(layout, context, fit, pattern):
    """What to change, each with a button where the draft can follow."""
    for index, advice in enumerate(fit.advice[:MOST_ADVICE]):
        change = f"{'+' if advice.change_mm > 0 else '-'}{length(context, abs(advice.change_mm))}"
        can = pattern is not None and fitting.can_apply(pattern, advice.option)
        title = f"{plain(advice.option)} {change}" if can else "What to change"
        body = fold(layout, context, f"advice_{index}", title, "TOOL_SETTINGS")
        if body is not None:
            sentence(body, context, advice.sentence)
            if can:
                body.operator("toile.apply_advice", text=f"Apply: {title[:1].lower()}{title[1:]}").index = index
