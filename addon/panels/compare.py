"""Step 7: compare."""

from .. import outlook, session, workshop
from .base import before, fields, plain, row_of, short

SHARES = (0.46, 0.18, 0.18, 0.18)  # of the table's width


def draw(layout, context):
    """Which option, its values, the button, and a table of what came of it."""
    settings = context.scene.toile
    column = fields(layout)
    column.prop(settings, "vary")
    choices = next(option.choices for option in workshop.garment().options if option.name == settings.vary)
    column.prop(settings, "values", placeholder=", ".join(choices) or "60mm, 90mm, 140mm")
    before(layout, context, outlook.of_compare(context.scene))
    layout.operator("toile.compare", icon="MOD_CLOTH")
    compared = session.get(context.scene, "compared")
    if compared is None:
        return
    option, made = compared
    table = layout.column(align=True)
    row_of(table, (plain(option), "Bust", "Waist", "Hip"), SHARES)
    for index, (value, _, fit) in enumerate(made):
        eases = {level.name: level.ease_mm for level in fit.levels}
        shown = [eases.get(name) for name in ("bust", "waist", "hip")]
        head = row_of(table, (None, *("-" if mm is None else short(context, mm) for mm in shown)), SHARES)
        icon = "CHECKMARK" if fit.verdict == "fits" else "ERROR"
        head.operator("toile.take_variant", text=value, icon=icon).index = index
    unit = "mm" if settings.show == "mm" else "in"
    table.label(text=f"ease in {unit}; click a value to take it", translate=False)
    fields(layout).prop(settings, "folder")
    layout.operator("toile.compare_sheet", icon="IMAGE_DATA")
    layout.operator("toile.clear_variants", icon="X")
