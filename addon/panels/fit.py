"""Step 6: the fit. The verdict first, then the levels, the picture on the cloth, and what to change."""

from drafting.fit.level import FITS

from .. import fitting, session, table
from .base import length, plain, row_of, sentence, short

SIGNS = {"fits": "CHECKMARK", "tight": "ERROR", "loose": "INFO", "does not close": "CANCEL"}
HEADLINES = {"fits": "It fits", "tight": "It is tight", "loose": "It is loose", "does not close": "It does not close"}


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
    headline = layout.box().row()
    headline.scale_y = 1.4
    headline.label(text=HEADLINES[fit.verdict], icon=SIGNS[fit.verdict], translate=False)
    for text in fit.reasons:
        sentence(layout, context, text, "ERROR")
    draw_levels(layout, context, fit, session.get(scene, "earlier"))
    draw_under(layout, context, fit.under)
    layout.label(text="Show on the cloth:", translate=False)
    grid = layout.grid_flow(columns=3, align=True, even_columns=True)
    grid.prop(scene.toile, "picture", expand=True)
    before = table.first(scene, "earlier") if session.has(scene, "earlier") else None
    if before is not None:
        words = "Show the robe before" if before.hide_viewport else "Show this robe again"
        layout.operator("toile.show_before", text=words, icon="LOOP_BACK")
    draw_advice(layout, context, fit, session.get(scene, "pattern"))
    for text in fit.cautions:
        sentence(layout, context, text, "ERROR")


def draw_levels(layout, context, fit, before):
    """Ease at each level, beside the fit before; a click cuts through and tells the rest."""
    settings = context.scene.toile
    grid = layout.box().column(align=True)
    roomy = settings.show == "mm" and not before  # fractions of an inch, or a column more, leave no room for the body
    row_of(grid, "Level", *(("Body",) if roomy else ()), "Robe", "Ease", *(("Before",) if before else ()))
    for row in fitting.rows(fit, before):
        level = row.level
        lengths: list[float | None] = [level.body_girth_mm] if roomy else []
        lengths += [level.garment_girth_mm, level.ease_mm]
        lengths += [row.before.ease_mm if row.before else None] if before else []
        head = row_of(grid, None, *("-" if mm is None else short(context, mm) for mm in lengths))
        icon = "NONE" if level.verdict == FITS else "ERROR"
        chosen = settings.level == level.name
        head.operator("toile.show_level", text=plain(level.name), depress=chosen, icon=icon).level = level.name
    unit = "mm" if settings.show == "mm" else "inches"
    shown = next((level for level in fit.levels if level.name == settings.level), None)
    if shown is None:
        sentence(grid, context, f"In {unit}. Click a level to cut through it.")
        return
    low, high = (length(context, mm) for mm in shown.wanted_mm)
    reached = "not reached" if shown.ease_mm is None else f"ease {length(context, shown.ease_mm)}"
    body = f"body {length(context, shown.body_girth_mm)}"
    sentence(grid, context, f"{plain(shown.name)}: {body}, {reached}; {low} to {high} is wanted.")


def draw_under(layout, context, under):
    """What an under-robe takes of the robe's room."""
    if under is None:
        return
    taken = length(context, under.layer.takes_mm)
    sentence(layout, context, f"Ease is over the under-robe of {under.layer.fabric}, which takes {taken}.", "INFO")


def draw_advice(layout, context, fit, pattern):
    """What to change, each with a button where the draft can follow."""
    layout.label(text="What to change:", translate=False)
    for index, advice in enumerate(fit.advice):
        box = layout.box().column()
        sentence(box, context, advice.sentence)
        if pattern is not None and fitting.can_apply(pattern, advice.option):
            words = f"Apply: {plain(advice.option).lower()} {'+' if advice.change_mm > 0 else '-'}"
            box.operator("toile.apply_advice", text=f"{words}{length(context, abs(advice.change_mm))}").index = index
