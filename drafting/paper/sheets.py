"""The pattern's pages as they are printed: templates, test squares, and the marks by which pages are glued."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ..pattern.panel import FloatArray
from .block import SQUARES, block, test_square, title
from .imposition import Imposition, Tile
from .ink import PAGE, Ink, Line, Words
from .page import MARGIN_MM, OVERLAP_MM
from .pdf import Leaf, Patch
from .space import is_clear
from .template import Size

GLUE_MM = 3.2  # half the width of a glue mark
CLEAR_MM = 3.0  # round a test square
PLACES = (0.5, 0.45, 0.55, 0.4, 0.6, 0.35, 0.65, 0.3, 0.7, 0.27, 0.73)  # along a join, for the other page's number
STEP_MM = 3.0  # between the places tried for a test square


def leaves(sizes: Sequence[Size], imposed: Imposition, unit: str = "mm") -> list[Leaf]:
    """The pages to print."""
    page = imposed.page
    first = [ink.placed(imposed.block[0]) for ink in block(sizes, imposed, unit)]
    window = np.array([page.corner, page.corner + page.window])
    found = []
    for tile in imposed.tiles:
        inks: list[Ink] = list(first) if tile.sheet == 0 else []
        for one in imposed.placed:
            if one.sheet == tile.sheet:
                inks += [ink.placed(one.shift, one.quarters) for ink in one.template.inks]
        if tile.number > 1:
            inks += _squares(imposed, tile)
        inks += _joins(imposed, tile, _drawn_lines(inks))
        shown = tuple(ink.placed(page.corner - tile.at) for ink in inks)
        footer = _footer(sizes, imposed, tile, unit)
        found.append(Leaf(page.width, page.height, (Patch(shown, window), Patch((footer,)))))
    return found


def _footer(sizes: Sequence[Size], imposed: Imposition, tile: Tile, unit: str) -> Words:
    text = f"{title(sizes, unit)}, page {tile.number} of {len(imposed.tiles)}"
    if imposed.sheets[tile.sheet].pages > 1:
        text += f", row {tile.row + 1}, column {tile.column + 1}"
    return Words(f"{text}. Print at 100 %.", np.array([MARGIN_MM, MARGIN_MM + 1.5]), 2.5, anchor="start", layer=PAGE)


def _drawn_lines(inks: Sequence[Ink]) -> list[FloatArray]:
    """All lines, and the boxes round all words, as open polylines."""
    return [
        np.concatenate([points, points[:1]]) if closed else points
        for points, closed in (
            (ink.points, ink.closed) if isinstance(ink, Line) else (ink.corners, True) for ink in inks
        )
    ]


def _joins(imposed: Imposition, tile: Tile, drawn: Sequence[FloatArray]) -> Iterator[Ink]:
    """Along every edge where another page is glued on: the line to cut on or glue to, and marks that come together."""
    sheet, step, window = imposed.sheets[tile.sheet], imposed.page.window - OVERLAP_MM, imposed.page.window
    for axis, count, place in ((0, sheet.columns, tile.column), (1, sheet.rows, tile.row)):
        for join in (place - 1, place):
            if not 0 <= join < count - 1:
                continue
            across = (join + 1) * step[axis] + OVERLAP_MM / 2
            level = across if axis == 0 else float(imposed.size(tile.sheet)[1]) - across
            low, high = tile.at[1 - axis], tile.at[1 - axis] + window[1 - axis]
            yield Line(_points(axis, level, [low, high]), "join", PAGE)
            beyond = 1.0 if (join == place) == (axis == 0) else -1.0  # to the other page
            other = tile.number + (1 if join == place else -1) * (1 if axis == 0 else sheet.columns)
            tries = [
                Words(f"page {other}", at, 2.1, 90.0 if axis == 0 else 0.0, layer=PAGE)
                for at in _points(axis, level + 2.5 * beyond, low + np.array(PLACES) * (high - low))
            ]
            yield next((words for words in tries if is_clear(words.extent, drawn)), tries[0])
            for share, after in ((0.2, 1), (0.8, 0)):
                middle = _points(axis, level, [low + share * (high - low)])[0]
                diamond = middle + GLUE_MM * np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])
                yield Line(diamond, "thin", PAGE, closed=True, grey=1.0)
                yield Words(_letter(imposed, tile, axis, join, after), middle, 2.6, bold=True, layer=PAGE)


def _points(axis: int, level: float, along: Sequence[float] | FloatArray) -> FloatArray:
    points = np.full((len(along), 2), level)
    points[:, 1 - axis] = along
    return points


def _letter(imposed: Imposition, tile: Tile, axis: int, join: int, after: int) -> str:
    """A glue mark's letter, the same on both pages: A to Z, then AA to ZZ."""
    number = 0
    for k, sheet in enumerate(imposed.sheets):
        upright, level = (sheet.columns - 1) * sheet.rows, sheet.columns * (sheet.rows - 1)
        if k == tile.sheet:
            own = tile.row * (sheet.columns - 1) + join if axis == 0 else upright + join * sheet.columns + tile.column
            number += 2 * own + after
            break
        number += 2 * (upright + level)
    first, second = divmod(number, 26)
    return (chr(ord("A") + first - 1) if first else "") + chr(ord("A") + second)


def _squares(imposed: Imposition, tile: Tile) -> Iterator[Ink]:
    """A test square of each kind where the page has room for it."""
    taken = [
        Line(one.on_sheet(outline)).extent
        for one in imposed.placed
        if one.sheet == tile.sheet
        for outline in one.template.outlines
    ]
    if tile.sheet == 0:
        taken.append(imposed.block)
    for side, text in SQUARES:
        at = _free(imposed, tile, taken, side)
        if at is not None:
            taken.append(np.array([at, at + side]))
            yield from test_square(at, side, text)


def _free(imposed: Imposition, tile: Tile, taken: Sequence[FloatArray], side: float) -> FloatArray | None:
    """A free place for a square within a page, away from glued edges, as high and as far left as can be."""
    inner = OVERLAP_MM + 1.0 if imposed.sheets[tile.sheet].pages > 1 else CLEAR_MM
    low, high = tile.at + inner, tile.at + imposed.page.window - inner - side
    for y in np.arange(high[1], low[1], -STEP_MM):
        for x in np.arange(low[0], high[0], STEP_MM):
            box = np.array([[x, y], [x + side, y + side]]) + np.array([[-CLEAR_MM], [CLEAR_MM]])
            if not any((box[0] < other[1]).all() and (other[0] < box[1]).all() for other in taken):
                return np.array([x, y])
    return None
