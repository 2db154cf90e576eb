"""The pattern's pages: templates on sheets, sheets cut into pages that overlap and are glued mark to mark."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ..pattern.panel import FloatArray
from .arrange import Sheet, arrange, sheet_size
from .block import SQUARES, block, block_size, test_square, title
from .ink import PAGE, Ink, Line, Words
from .page import MARGIN_MM, OVERLAP_MM, Page
from .pdf import Leaf, Patch
from .template import Size, Template

GLUE_MM = 2.6  # half the width of a glue mark
CLEAR_MM = 3.0  # round a test square


@dataclass(frozen=True)
class Placed:
    """A template on its sheet.

    Attributes
    ----------
    sheet : int
        Place of the sheet in the set, from 0.
    shift : (2,) float
        A point p of the template lies on the sheet at `turn(p) + shift`, mm from its lower left corner.
    quarters : int
        How often it is turned by 90 degrees counter-clockwise.
    """

    template: Template
    sheet: int
    shift: FloatArray
    quarters: int

    def on_sheet(self, points: FloatArray) -> FloatArray:
        """(n, 2) float: points of the template as they lie on the sheet."""
        return Line(points).placed(self.shift, self.quarters).points


@dataclass(frozen=True)
class Tile:
    """One page of a sheet: its number, place in the grid from the top left, and lower left corner on the sheet."""

    number: int
    sheet: int
    column: int
    row: int
    at: FloatArray


@dataclass(frozen=True)
class Layout:
    """All sheets of a pattern, and where everything lies."""

    page: Page
    sheets: tuple[Sheet, ...]
    placed: tuple[Placed, ...]
    block_at: FloatArray
    block_size: FloatArray

    @property
    def tiles(self) -> list[Tile]:
        """All pages, sheet by sheet, row by row."""
        found: list[Tile] = []
        step = self.page.window - OVERLAP_MM
        for number, sheet in enumerate(self.sheets):
            top = sheet_size(sheet.columns, sheet.rows, self.page.window)[1] - self.page.window[1]
            for row in range(sheet.rows):
                for column in range(sheet.columns):
                    at = np.array([column * step[0], top - row * step[1]])
                    found.append(Tile(len(found) + 1, number, column, row, at))
        return found


def lay_out(sizes: Sequence[Size], drawn: Sequence[Template], page: Page) -> Layout:
    """Put the templates, and the block of the first page, on as few pages as possible."""
    boxes = [block_size(sizes)] + [tuple(np.ptp(one.extent, axis=0).tolist()) for one in drawn]
    sheets = arrange(boxes, page.window)
    placed = []
    block_at = np.zeros(2)
    for number, sheet in enumerate(sheets):
        for spot in sheet.spots:
            if spot.box == 0:
                block_at = spot.at
                continue
            template, quarters = drawn[spot.box - 1], int(spot.turned)
            low = Line(np.concatenate(template.outlines)).placed(np.zeros(2), quarters).extent[0]
            placed.append(Placed(template, number, spot.at - low, quarters))
    return Layout(page, tuple(sheets), tuple(placed), block_at, np.array(boxes[0]))


def leaves(sizes: Sequence[Size], drawn: Sequence[Template], layout: Layout, unit: str = "mm") -> list[Leaf]:
    """The pages to print."""
    page, tiles = layout.page, layout.tiles
    first = [ink.placed(layout.block_at) for ink in block(sizes, layout.sheets, drawn, page, unit)]
    found = []
    for tile in tiles:
        inks: list[Ink] = [*first] if tile.sheet == 0 else []
        for one in layout.placed:
            if one.sheet == tile.sheet:
                inks += [ink.placed(one.shift, one.quarters) for ink in one.template.inks]
        inks += _joins(layout, tile)
        if tile.number > 1:
            inks += _squares(layout, tile)
        shift = page.corner - tile.at
        window = np.array([page.corner, page.corner + page.window])
        shown = tuple(ink.placed(shift) for ink in inks)
        found.append(
            Leaf(page.width, page.height, (Patch(shown, window), Patch((_footer(sizes, layout, tile, unit),))))
        )
    return found


def _footer(sizes: Sequence[Size], layout: Layout, tile: Tile, unit: str) -> Words:
    sheet = layout.sheets[tile.sheet]
    text = f"{title(sizes, unit)}, page {tile.number} of {len(layout.tiles)}"
    if sheet.pages > 1:
        text += f", row {tile.row + 1}, column {tile.column + 1}"
    return Words(f"{text}. Print at 100 %.", np.array([MARGIN_MM, MARGIN_MM + 1.5]), 2.5, anchor="start", layer=PAGE)


def _joins(layout: Layout, tile: Tile) -> Iterator[Ink]:
    """Along every edge where another page is glued on: the line to cut or glue to, and marks that come together."""
    sheet = layout.sheets[tile.sheet]
    size = sheet_size(sheet.columns, sheet.rows, layout.page.window)
    step = layout.page.window - OVERLAP_MM
    for axis, count, place in ((0, sheet.columns, tile.column), (1, sheet.rows, tile.row)):
        for join in (place - 1, place):
            if not 0 <= join < count - 1:
                continue
            across = (join + 1) * step[axis] + OVERLAP_MM / 2
            level = across if axis == 0 else size[1] - across
            low, high = tile.at[1 - axis], tile.at[1 - axis] + layout.page.window[1 - axis]
            yield Line(_along(axis, level, np.array([low, high])), "join", PAGE)
            other = tile.row if axis == 0 else tile.column
            for share, letter in ((0.25, "a"), (0.75, "b")):
                middle = _along(axis, level, np.array([low + share * (high - low)]))[0]
                diamond = middle + GLUE_MM * np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])
                yield Line(diamond, "thin", PAGE, closed=True, grey=0.93)
                text = f"{'CR'[axis]}{join + 1}{other + 1}{letter}"
                yield Words(text, middle, 1.3, layer=PAGE)


def _along(axis: int, level: float, places: FloatArray) -> FloatArray:
    points = np.full((len(places), 2), level)
    points[:, 1 - axis] = places
    return points


def _squares(layout: Layout, tile: Tile) -> Iterator[Ink]:
    """A test square of each kind where the page has room for it."""
    taken = [
        Line(one.on_sheet(outline)).extent
        for one in layout.placed
        if one.sheet == tile.sheet
        for outline in one.template.outlines
    ]
    if tile.sheet == 0:
        taken.append(np.array([layout.block_at, layout.block_at + layout.block_size]))
    for side, text in SQUARES:
        at = _free(layout, tile, taken, side)
        if at is not None:
            taken.append(np.array([at, at + side]))
            yield from test_square(at, side, text)


def _free(layout: Layout, tile: Tile, taken: Sequence[FloatArray], side: float) -> FloatArray | None:
    """A free place for a square within a page, away from its glued edges."""
    inner = OVERLAP_MM + 1.0
    low, high = tile.at + inner, tile.at + layout.page.window - inner - side
    for y in np.arange(low[1], high[1], 3.0):
        for x in np.arange(low[0], high[0], 3.0):
            box = np.array([[x, y], [x + side, y + side]]) + np.array([[-CLEAR_MM], [CLEAR_MM]])
            if not any((box[0] < other[1]).all() and (other[0] < box[1]).all() for other in taken):
                return np.array([x, y])
    return None
