"""What all parts of the sidebar share: folding, and how lengths and long sentences are set."""

import re
from functools import lru_cache

import blf

from drafting.units import format_length
from drafting.words import title

FONT = 0  # the window's own typeface
TOGETHER = "\N{NO-BREAK SPACE}"
UNIT = re.compile(r"(?<=\d) (?=(?:mm|cm|m|in|g|s|min)\b|%)")
TAKEN = 80.0  # pixels at a scale of 1 beside a line: tabs, margins, the icon, the scroll bar
FRACTION = re.compile(r" ?(\d+)/(\d+)$")
RAISED, LOWERED = (str.maketrans("0123456789", figures) for figures in ("⁰¹²³⁴⁵⁶⁷⁸⁹", "₀₁₂₃₄₅₆₇₈₉"))
BEFORE_LINES = 2
MORE = "\N{HORIZONTAL ELLIPSIS}"


def fold(layout, context, name, title, icon="NONE", helped=False):
    """A part that can be folded: where to draw what is in it, None while it is folded; with a button to its page of
    help where it has one.
    """
    header, body = layout.panel_prop(context.window_manager.toile_folds, name)
    header.label(text=title, icon=icon, translate=False)
    if helped and body is not None:
        header.operator("toile.help", text="", icon="HELP", emboss=False).step = name
    return body


def sentence(layout, context, text, icon="NONE"):
    """A sentence broken into lines that fit the sidebar."""
    column = layout.column(align=True)
    for index, line in enumerate(lines_in(context, text)):
        column.label(text=line, icon=icon if index == 0 else ("BLANK1" if icon != "NONE" else "NONE"), translate=False)


def block(layout, context, text, icon, high):
    """A sentence in exactly so many lines: what is longer is cut, and a shorter one leaves the rest free; returns their
    column.
    """
    column = layout.column(align=True)
    for index, line in enumerate(filled(context, text, high)):
        column.label(text=line, icon="BLANK1" if index and icon != "NONE" else icon, translate=False)
    return column


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


def before(layout, context, text):
    """What a button will make of what, above it."""
    block(layout, context, text, "INFO" if text else "NONE", BEFORE_LINES)


def draw_amiss(layout, context, wrong):
    """What stands in a step's way, each with the button that puts it right; at the step's end, so that no row moves."""
    for one in wrong:
        sentence(layout, context, one.text, "ERROR")
        if one.operator:
            layout.operator(one.operator)


def list_button(layout, name, title, count, icon):
    """The button that shows a list too long for the sidebar, with how many there are."""
    layout.operator("toile.list", text=f"{title} ({count})", icon=icon, translate=False).name = name


def row_of(layout, texts, shares):
    """One row of a table, each text in its share of the width, the numbers at the right of theirs; returns where the
    first cell is drawn, left empty where its text is None.
    """
    cells, left = [], 1.0
    for share in shares[:-1]:
        layout = layout.split(factor=share / left, align=True)
        cells.append(layout.row(align=True))
        left -= share
    cells.append(layout.row(align=True))
    for cell, text in zip(cells, texts, strict=True):
        cell.alignment = "EXPAND" if cell is cells[0] else "RIGHT"
        if text is not None:
            cell.label(text=text, translate=False)
    return cells[0]


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
    """The same where the unit stands above, fractions set as small as on a tape."""
    return FRACTION.sub(small, length(context, mm).removesuffix(" mm").removesuffix(" in"))


def small(fraction):
    """A fraction in raised and lowered figures, which take half the room."""
    return fraction[1].translate(RAISED) + "\N{FRACTION SLASH}" + fraction[2].translate(LOWERED)


def plain(name):
    """A name as words: bust_girth is "Bust girth"."""
    return title(name)
