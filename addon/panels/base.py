"""What all parts of the sidebar share: folding, and how lengths and long sentences are set."""

import re
import textwrap
from functools import lru_cache

from drafting.units import format_length

LETTER = 7.0  # pixels, a cautious mean of the window's typeface at a scale of 1
TOGETHER = "\N{NO-BREAK SPACE}"
UNIT = re.compile(r"(?<=\d) (?=(?:mm|cm|m|in|g|s|min)\b|%)")
MARGIN = 8  # letters taken by the icon, the edges and the scroll bar


def fold(layout, context, name, title, icon="NONE"):
    """A part that can be folded: where to draw what is in it, None while it is folded."""
    header, body = layout.panel_prop(context.window_manager.toile_folds, name)
    header.label(text=title, icon=icon, translate=False)
    return body


def sentence(layout, context, text, icon="NONE", alert=False):
    """A sentence broken into lines that fit the sidebar."""
    letters = max(20, int(context.region.width / (LETTER * context.preferences.system.ui_scale)) - MARGIN)
    column = layout.column(align=True)
    column.alert = alert
    for index, line in enumerate(lines_of(text, letters)):
        column.label(text=line, icon=icon if index == 0 else ("BLANK1" if icon != "NONE" else "NONE"), translate=False)


@lru_cache(maxsize=512)
def lines_of(text, letters):
    """A sentence in lines of at most so many letters, no number without its unit; each sentence is broken once."""
    return tuple(line.replace(TOGETHER, " ") for line in textwrap.wrap(UNIT.sub(TOGETHER, text), letters))


def row_of(layout, first, *texts, share=0.4):
    """One row of a table: where to draw its first cell, the other texts to the right in columns of one width."""
    split = layout.split(factor=share, align=True)
    if first is not None:
        split.label(text=first, translate=False)
        head = split
    else:
        head = split.row(align=True)
    cells = split.grid_flow(row_major=True, columns=len(texts), even_columns=True, align=True)
    for text in texts:
        cell = cells.row()
        cell.alignment = "RIGHT"
        cell.label(text=text, translate=False)
    return head


def fields(layout):
    """A column of fields with their names to the left."""
    column = layout.column()
    column.use_property_split = True
    column.use_property_decorate = False
    return column


def length(context, mm):
    """A length in the maker's unit."""
    return format_length(mm, context.scene.toile.show)


def short(context, mm):
    """The same where the unit stands above."""
    return length(context, mm).removesuffix(" mm").removesuffix(" in")


def plain(name):
    """A name as words: bust_girth is "Bust girth"."""
    return name.replace("_", " ").capitalize()
