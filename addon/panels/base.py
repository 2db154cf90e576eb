"""What all panels share: their place in the sidebar, and how lengths and long sentences are set."""

import textwrap

from drafting.units import format_length


class StepPanel:
    """A step in the sidebar of the 3D view."""

    bl_space_type = "VIEW_3D"
    bl_region_type = "UI"
    bl_category = "Toile"


def sentence(layout, context, text, icon="NONE"):
    """A sentence broken into lines that fit the sidebar."""
    letters = max(20, int(context.region.width / (7.2 * context.preferences.system.ui_scale)) - 4)
    column = layout.column(align=True)
    for index, line in enumerate(textwrap.wrap(text, letters)):
        column.label(text=line, icon=icon if index == 0 else ("BLANK1" if icon != "NONE" else "NONE"))


def row_of(layout, *texts):
    """One row of a table: the first text to the left, the others to the right."""
    row = layout.row(align=True)
    row.label(text=texts[0])
    for text in texts[1:]:
        cell = row.row()
        cell.alignment = "RIGHT"
        cell.label(text=text)


def length(context, mm):
    """A length in the maker's unit."""
    return format_length(mm, context.scene.toile.show)


def plain(name):
    """A name as words: bust_girth is "Bust girth"."""
    return name.replace("_", " ").capitalize()
