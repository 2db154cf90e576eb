"""The cutting layout as a drawing: cloth, fold and selvedges, every piece with its name and grain, the sizes to cut.

The cloth's length runs across the sheet. A long layout is drawn in rows, parted where a straight cut meets no piece;
pieces of cloth of a set size are rows of their own.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from ..pattern.curve import signed_area
from ..pattern.inner import inside
from ..pattern.panel import FloatArray
from ..pattern.raster import sheet_png
from ..pattern.sheet import LETTER_WIDTH, Group, Lettering, Mark, Sheet, Stroke, sheet_svg
from ..units import format_length
from .layout import Layout, Placement
from .purchase import purchase, yards_text

LETTERS_ON_LONGEST = 110  # lettering heights on the longer side of the drawing
SMALLEST_LETTERING = 1.5  # mm
ROOM = 5.0  # lettering heights round the rows
ROW = 2.5  # a row may be so many times longer than the cloth is wide, if it can be parted

Row = tuple[float, float]


def layout_svg(layout: Layout, title: str, unit: str = "mm") -> str:
    """The cutting layout as SVG, millimetres at true size; `title` names the pattern."""
    return sheet_svg(layout_sheet(layout, title, unit))


def layout_png(layout: Layout, title: str, unit: str = "mm", longest_px: int = 2400) -> bytes:
    """The same drawing as a PNG file whose longer side has `longest_px` pixels."""
    return sheet_png(layout_sheet(layout, title, unit), longest_px)


def layout_sheet(layout: Layout, title: str, unit: str = "mm") -> Sheet:
    """The same drawing as a sheet of strokes and lettering."""
    rows = rows_of(layout)
    width, longest = layout.spread.table_width, max(end - start for start, end in rows)
    letter = max(SMALLEST_LETTERING, max(longest, len(rows) * width) / LETTERS_ON_LONGEST)
    words = [title, *_words(layout, unit)]
    sizes = [1.4, *[1.0] * (len(words) - 1)]
    heads = [
        Lettering(text, np.array([ROOM, 2.0 + 1.8 * i]) * letter, size * letter, anchor="start", bold=i == 0)
        for i, (text, size) in enumerate(zip(words, sizes, strict=True))
    ]
    top = (2.0 + 1.8 * len(words) + 2.0) * letter
    groups = [Group("title", tuple(heads))]
    for number, row in enumerate(rows):
        corner = np.array([ROOM * letter, top + number * (width + ROOM * letter)])
        groups += _row(layout, row, number, len(rows), letter, unit, corner)
    text_end = ROOM * letter + max(head.width for head in heads)
    sheet_width = max(longest + ROOM * letter, text_end) + 2 * letter
    return Sheet(sheet_width, top + len(rows) * (width + ROOM * letter), letter, title, tuple(groups))


def rows_of(layout: Layout) -> list[Row]:
    """From where to where along the cloth each row goes, mm."""
    spread, length = layout.spread, layout.length
    if math.isfinite(spread.length):
        return [(k * spread.length, (k + 1) * spread.length) for k in range(layout.sheets)]
    spans = np.array([[p.outline[:, 1].min(), p.outline[:, 1].max()] for p in layout.placements])
    ends = np.unique(np.round(spans[:, 1], 6))
    clear = [end for end in ends if not ((spans[:, 0] < end - 1e-6) & (spans[:, 1] > end + 1e-6)).any()]
    cuts = [0.0]
    for here, following in pairwise(clear):
        if following - cuts[-1] > ROW * spread.table_width:
            cuts.append(float(here))
    return list(pairwise([*cuts, length]))


def _words(layout: Layout, unit: str) -> list[str]:
    """What to buy, and how the cloth lies."""
    spread, bought = layout.spread, purchase(layout)
    if bought.sheets:
        needed = bought.words(unit)
    else:
        across = format_length(bought.width, unit)
        needed = f"{bought.metres:.1f} m or {yards_text(bought.yards)} yd of cloth {across} wide"
    how = ["folded lengthwise, right sides together" if spread.folded else "single, right side up"]
    how += ["one-way: nothing is turned"] * spread.one_way + ["both faces alike"] * spread.alike
    used = f"{format_length(layout.length, unit)}, {layout.used:.0%} of it garment"
    return [
        f"Buy {needed}, wash and press it before you cut. Used: {used}",
        f"Cloth: {', '.join(how)}. Arrows: the grain. Face down: turn the paper over",
    ]


def _row(layout: Layout, row: Row, number: int, rows: int, letter: float, unit: str, corner: FloatArray) -> list[Group]:
    start, end = row
    marks = _cloth(layout, row, number, rows, letter, unit)
    groups = [Group("cloth" if rows == 1 else f"cloth {number + 1}", tuple(mark.moved(corner) for mark in marks))]
    for placement in layout.placements:
        along = placement.outline[:, 1]
        if start - 1e-6 <= along.min() and along.max() <= end + 1e-6:
            moved = tuple(mark.moved(corner - [start, 0.0]) for mark in _piece(placement, layout, letter))
            groups.append(Group(placement.piece.name, moved))
    return groups


def _cloth(layout: Layout, row: Row, number: int, rows: int, letter: float, unit: str) -> list[Mark]:
    """The cloth's edges in one row, named, with its width and the length used."""
    spread, wide, long = layout.spread, layout.spread.table_width, row[1] - row[0]
    set_size, last = math.isfinite(spread.length), number == rows - 1
    side = "edge along the grain" if set_size else "selvedge"
    edge = np.array([[0.0, 0.0], [long, 0.0]])
    upper = Stroke(edge, "centre") if spread.folded else Stroke(edge)
    marks: list[Mark] = [
        upper,
        Stroke(edge + np.array([0.0, wide])),
        Stroke(np.array([[0.0, 0.0], [0.0, wide]])),
        Stroke(np.array([[long, 0.0], [long, wide]]), "thin" if set_size else "dashed"),
        Lettering("fold" if spread.folded else side, np.array([0.0, -0.8 * letter]), 0.9 * letter, anchor="start"),
        Lettering(side, np.array([0.0, wide + 0.8 * letter]), 0.9 * letter, anchor="start"),
    ]
    if spread.selvedge:
        lines = [wide - spread.selvedge, *([] if spread.folded else [spread.selvedge])]
        marks += [Stroke(edge + np.array([0.0, y]), "dashed") for y in lines]
    across = np.array([[-2.0 * letter, 0.0], [-2.0 * letter, wide]])
    marks += _dimension(across, format_length(wide, unit), letter)
    down = wide + 2.2 * letter
    text = format_length(long, unit) + ("" if last or set_size else ", cut across")
    return marks + _dimension(np.array([[0.0, down], [long, down]]), text, letter)


def _piece(placement: Placement, layout: Layout, letter: float) -> list[Mark]:
    """A piece with its grain and name, on the sheet before it is moved to its row."""
    outline = _on_sheet(placement.outline)
    marks: list[Mark] = [Stroke(outline, "sew", closed=True)]
    line, room = _roomiest(outline)
    long = float(line[1, 0] - line[0, 0])
    texts = [text for text in (placement.piece.name.replace(".", " "), _note(placement, layout)) if text]
    size = min(1.3 * letter, 0.8 * long / (LETTER_WIDTH * max(map(len, texts))), room / (1.3 * len(texts) + 1.6))
    grain = line.mean(axis=0) + np.array([[-0.35 * long, 0.0], [0.35 * long, 0.0]])
    marks.append(Stroke(grain))
    # The arrow's head shows the top of the panel, which a one-way print must follow.
    tip, back = (grain[0], 1.0) if placement.turned else (grain[1], -1.0)
    head = np.array([[0.0, 0.0], [1.2 * back, 0.3], [1.2 * back, -0.3]]) * min(size, long / 4)
    marks.append(Stroke(tip + head, "thin", True, True))
    down = np.array([0.0, 1.0]) * size
    marks.append(Lettering(texts[0], line.mean(axis=0) - 0.8 * down, size, bold=True))
    return marks + [Lettering(text, line.mean(axis=0) + 0.8 * down, 0.85 * size) for text in texts[1:]]


def _note(placement: Placement, layout: Layout) -> str:
    if placement.piece.on_fold:
        return "half, on the fold"
    if layout.spread.folded:
        return "both layers" if placement.piece.layers == 2 else "upper layer only"
    return "face down" if placement.mirrored else ""


def _roomiest(outline: FloatArray) -> tuple[FloatArray, float]:
    """The line across the sheet with most room for words: (2, 2) float, and about the height free round it."""
    low, high = outline[:, 1].min(), outline[:, 1].max()
    # Where the outline is far smaller than its box, what is above and below a line is less than its box says.
    full = max(0.3, abs(signed_area(outline)) / float(np.prod(np.ptp(outline, axis=0))))
    best, most, room = np.array([outline.min(axis=0), outline.max(axis=0)]), 0.0, high - low
    for level in low + np.linspace(0.15, 0.85, 15) * (high - low):
        free = 2 * full * min(level - low, high - level)
        for line in inside(outline, 1, float(level)):
            if (line[1, 0] - line[0, 0]) * free > most:
                best, most, room = line, float(line[1, 0] - line[0, 0]) * free, free
    return best, room


def _dimension(line: FloatArray, text: str, letter: float) -> list[Mark]:
    way = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    across = np.array([-way[1], way[0]])
    upright = abs(way[1]) > 0.5
    ticks = [Stroke(end + np.outer([-0.6, 0.6], across) * letter) for end in line]
    at = line.mean(axis=0) + (np.array([-1.0, 0.0]) if upright else np.array([0.0, 1.1])) * letter
    return [Stroke(line), *ticks, Lettering(text, at, letter, 90.0 if upright else 0.0)]


def _on_sheet(points: FloatArray) -> FloatArray:
    """The cloth turned a quarter clockwise: its length to the right, x = 0 uppermost; y downwards on the sheet."""
    return points[:, ::-1]
