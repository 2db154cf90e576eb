"""Step 3: the draft and its options, group by group."""

from drafting.fit.level import FITS

from .. import edges, session, workshop
from ..operators.draft import fault_of
from .base import fold, length, list_button, plain, row_of, short

UNITS = {"mm": "mm", "in": "inches"}
EXPECTED = (0.3, 0.25, 0.2, 0.25)  # how the columns of the expected ease share the width


def draw(layout, context):
    """The button, what was drafted, the options, and all rules on demand."""
    pattern = session.get(context.scene, "pattern")
    row = layout.row(align=True)
    row.operator("toile.draft", icon="MOD_LATTICE")
    if pattern is not None:
        cut = sum(panel.cut for panel in pattern.panels)
        layout.label(
            text=f"{len(pattern.panels)} panels, {cut} pieces to cut, edges in {UNITS[context.scene.toile.show]}",
            icon="CHECKMARK",
            translate=False,
        )
        draw_expected(layout, context)
        layout.operator("toile.show_partner", icon="LINKED", depress=edges.going())
    row = layout.row(align=True)
    row.menu("TOILE_MT_draft_presets", text="Presets", translate=False)
    row.operator("toile.save_preset", text="", icon="ADD")
    row.operator("toile.save_preset", text="", icon="REMOVE").remove_active = True
    row.operator("toile.clear_options", text="", icon="LOOP_BACK")
    layout.prop(context.scene.toile, "live")
    for group in GROUPS:
        body = fold(layout, context, f"group_{group.lower()}", group)
        if body is not None:
            draw_options(body, context, group, pattern)
    if pattern is not None:
        list_button(layout, "rules", "Where the numbers come from", len(pattern.rules), "INFO")


def draw_expected(layout, context):
    """What the draft leaves of room at each level, before anything is draped; folded, the verdict of them all."""
    levels = workshop.expected(context.scene)
    off = [f"{plain(level.name).lower()} {level.verdict}" for level in levels if level.verdict != FITS]
    title = f"Expected: {', '.join(off) or FITS}"
    table = fold(layout, context, "expected", title, "ERROR" if off else "CHECKMARK")
    if table is None:
        return
    table = table.column(align=True)
    row_of(table, ("", "Robe", "Ease", ""), EXPECTED)
    for level in levels:
        cells = ("-" if mm is None else short(context, mm) for mm in (level.garment_girth_mm, level.ease_mm))
        row_of(table, (plain(level.name), *cells, level.verdict), EXPECTED)


def draw_options(layout, context, group, pattern):
    """The options of one group: a text for each length, with the worked out one as a hint, and its rule."""
    settings = context.scene.toile.options
    drafted = {rule.name: rule.mm for rule in pattern.rules} if pattern else {}
    column = layout.column()
    for option in workshop.garment().options:
        if option.group != group:
            continue
        line = column.split(factor=0.5)
        line.label(text=option.label, translate=False)
        row = line.row(align=True)
        if option.kind == "length":
            fault = fault_of(option, getattr(settings, option.name))
            hint = length(context, drafted[option.name]) if option.name in drafted else "by the rule"
            row.alert = bool(fault)
            row.prop(settings, option.name, text="", placeholder=hint)
        else:
            fault = ""
            row.prop(settings, option.name, text="")
        row.operator("toile.rule", text="", icon="ERROR" if fault else "INFO", emboss=False).option = option.name


GROUPS = tuple(dict.fromkeys(option.group for option in workshop.garment().options))
