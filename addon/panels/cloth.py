"""Step 4: the cloth."""

from pathlib import Path

import bpy

from drafting.cloth.fabric import FABRICS
from drafting.cloth.home_tests import faults, read_tests
from drafting.errors import ToileError
from drafting.units import format_length

from .. import drapes, own_cloth, session, workshop
from ..asked import length_of
from ..words import OURS
from .base import fields, fold, sentence

HINTS = {
    "square": "100mm, 4in",
    "square_g": "0.8",
    "overhang_warp": "31mm",
    "overhang_weft": "25mm",
    "thickness": "from the weight",
}
BIG, EACH = 4.0, 5.0  # of a line's height: the picture beside the menu, and one among all
THINGS = (  # up to which width, mm, a repeat is likened to what: common practice, no source; A4 is ISO 216's
    (5.0, "less than a pencil's width"),
    (13.0, "about a pencil's width"),
    (30.0, "about a thumb's width"),
    (60.0, "about three fingers' width"),
    (130.0, "about a palm's width"),
    (250.0, "about the width of a sheet of A4"),
    (360.0, "about the height of a sheet of A4"),
    (float("inf"), "more than the height of a sheet of A4"),
)


def draw(layout, context):
    """Which cloth, what it does at this size, its colour and print."""
    settings = context.scene.toile
    row = layout.row()
    if not settings.own_cloth:
        row.template_icon(drapes.icon(drapes.file_of(settings.fabric)), scale=BIG)
    column = row.column()
    column.prop(settings, "fabric", text="")
    column.popover("TOILE_PT_cloths", text="See how each drapes", translate=False)
    if own_cloth.files():
        layout.operator_menu_enum("toile.own_cloth", "cloth", icon="FILE_FOLDER")
    else:  # a menu would be empty
        layout.operator("toile.fabric_folder", icon="FILE_FOLDER")
    if settings.own_cloth:
        layout.label(text=f"Your own: {workshop.fabric(context.scene).name}", icon="CHECKMARK", translate=False)
    fabric, body = workshop.fabric(context.scene), session.get(context.scene, "body")
    facts = f"{fabric.mass_g_m2:g} g/m², {fabric.thickness_mm:g} mm thick"
    layout.label(text=facts, icon="BLANK1", translate=False)
    if body is not None:
        sentence(layout, context, workshop.words_of(fabric, body.height_mm, settings.show), "INFO")
    draw_own(layout, context)
    column = fields(layout)
    column.prop(settings, "lining")
    column.prop(settings, "under")
    column.prop(settings, "colour")
    column.prop(settings, "printed")
    if settings.printed:
        column.prop(settings, "printed_width", placeholder="200mm, 8in")
        draw_print(layout, context)


def draw_print(layout, context):
    """The print, small, and how wide one repeat is in things that one knows."""
    settings = context.scene.toile
    icon = drapes.icon(Path(bpy.path.abspath(settings.printed)))
    try:
        wide = length_of(settings.printed_width)
    except ToileError:
        wide = None
    if not icon:
        return  # that it is no picture is told below
    layout.template_icon(icon, scale=BIG)
    if wide:
        sentence(layout, context, f"One repeat is {format_length(wide, settings.show)}, {likened(wide)}.")


def likened(wide):
    """A width, mm, in a thing at hand."""
    return next(words for most, words in THINGS if wide < most)


def draw_own(layout, context):
    """The figures of a cloth of her own, what they give at once, and the button that saves it."""
    body = fold(layout, context, "own", "Measure a cloth of yours")
    if body is None:
        return
    settings = context.scene.toile
    tests = own_cloth.tests_of(settings)
    wrong = faults(tests)
    column = fields(body)
    for name, key in zip(own_cloth.FIELDS, HINTS, strict=True):
        row = column.row()
        row.alert = key in wrong
        row.prop(settings, name, placeholder=HINTS[key])
        if key in wrong:
            sentence(column, context, wrong[key], "ERROR")
    if not wrong and not own_cloth.lacking(settings):
        sentence(body, context, told(read_tests(tests, "cloth"), context), "INFO")
    elif not wrong:
        sentence(body, context, "Fill in the square, its weight and both overhangs.", "INFO")
    body.operator("toile.save_cloth", icon="FILE_TICK")


def told(fabric, context):
    """What the figures give: weight, bending length, and what such cloth does on this doll."""
    show, body = context.scene.toile.show, session.get(context.scene, "body")
    ways = " along, ".join(format_length(mm, show) for mm in (fabric.warp_mm, fabric.weft_mm))
    facts = f"{fabric.mass_g_m2:.3g} g/m², {fabric.thickness_mm:.2g} mm thick; bending length {ways} across."
    return facts if body is None else f"{facts} {workshop.words_of(fabric, body.height_mm, show)}."


class TOILE_PT_cloths(bpy.types.Panel):
    """How each cloth drapes: a round of 300 mm over a disc of 180 mm"""

    bl_label = "How each cloth drapes"
    bl_translation_context = OURS
    bl_space_type, bl_region_type = "TOPBAR", "HEADER"  # shown by a button alone
    bl_options = {"INSTANCED"}  # noqa: RUF012  Blender reads it as it is
    bl_ui_units_x = 18

    def draw(self, _context):
        """Each with the button that takes it."""
        self.layout.label(text="A round of 300 mm over a disc of 180 mm", translate=False)
        grid = self.layout.grid_flow(row_major=True, columns=3, even_columns=True)
        for name in FABRICS:
            cell = grid.column()
            cell.template_icon(drapes.icon(drapes.file_of(name)), scale=EACH)
            cell.operator("toile.take_cloth", text=name.capitalize(), translate=False).cloth = name


CLASSES = (TOILE_PT_cloths,)
