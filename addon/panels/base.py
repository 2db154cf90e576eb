"""What all parts of the sidebar share: folding, and how lengths and long sentences are set."""

import re
from functools import lru_cache

import blf

from drafting.units import format_length

FONT = 0  # the window's own typeface
TOGETHER = "\N{NO-BREAK SPACE}"
UNIT = re.compile(r"(?<=\d) (?=(?:mm|cm|m|in|g|s|min)\b|%)")
TAKEN = 92.0  # pixels at a scale of 1 beside a line: tabs, margins, a box's edges, the icon, the scroll bar
MORE = "\N{HORIZONTAL ELLIPSIS}"


def fold(layout, context, name, title, icon="NONE"):
    """A part that can be folded: where to draw what is in it, None while it is folded."""
    header, body = layout.panel_prop(context.window_manager.toile_folds, name)
    header.label(text=title, icon=icon, translate=False)
    return body


def sentence(layout, context, text, icon="NONE"):
    """A sentence broken into lines that fit the sidebar."""
    column = layout.column(align=True)
    for index, line in enumerate(lines_in(context, text)):
        column.label(text=line, icon=icon if index == 0 else ("BLANK1" if icon != "NONE" else "NONE"), translate=False)


def block(layout, context, text, icon, high):
    """A sentence in exactly so many lines: what is longer is cut, and a shorter one leaves the rest free."""
    column = layout.column(align=True)
    for index, line in enumerate(filled(context, text, high)):
        column.label(text=line, icon="BLANK1" if index else icon, translate=False)


def filled(context, text, high):
    """Exactly so many lines of a sentence: the last one says by three dots that there is more."""
    lines = lines_in(context, text)
    if len(lines) > high:
        wide, size = room(context)
        lines = (*lines[: high - 1], cut(" ".join(lines[high - 1 :]), wide, size))
    return (*lines, *[""] * (high - len(lines)))


def lines_in(context, text):
    """A sentence in lines that fit the sidebar as wide as it is now."""
    return lines_of(text, *room(context))


def room(context):
    """How wide a line of text may be, pixels, and how large its letters are."""
    scale = context.preferences.system.ui_scale
    return context.region.width - TAKEN * scale, context.preferences.ui_styles[0].widget.points * scale


@lru_cache(maxsize=512)
def lines_of(text, wide, size):
    """A sentence in lines at most so many pixels wide, no number without its unit; each sentence is broken once."""
    lines = [""]
    for word in UNIT.sub(TOGETHER, " ".join(text.split())).split(" "):
        longer = f"{lines[-1]} {word}".lstrip()
        if width_of(longer, size) <= wide:
            lines[-1] = longer
        else:
            lines += [word] if lines[-1] else []
            lines[-1:] = pieces_of(word, wide, size)
    return tuple(line.replace(TOGETHER, " ") for line in lines)


def pieces_of(word, wide, size):
    """A word in pieces that fit a line, such as a file's long name."""
    pieces = [""]
    for letter in word:
        if pieces[-1] and width_of(pieces[-1] + letter, size) > wide:
            pieces.append("")
        pieces[-1] += letter
    return pieces


@lru_cache(maxsize=128)
def cut(text, wide, size):
    """As much of a text as fits a line, with three dots."""
    while text and width_of(text + MORE, size) > wide:
        text = text[:-1].rstrip()
    return text + MORE


def width_of(text, size):
    """How many pixels wide a text is in the window's typeface."""
    blf.size(FONT, size)
    return blf.dimensions(FONT, text)[0]


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
