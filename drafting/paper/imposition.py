"""Where every template lies: on which sheet, and which pages make up that sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..pattern.panel import FloatArray
from .arrange import Box, Sheet, arrange, sheet_size
from .ink import Line
from .page import OVERLAP_MM, Page
from .template import Size, Template, templates

RIM_MM = 0.5  # round a template, so that its line is printed in its whole width


@dataclass(frozen=True)
class Placed:
    """A template on its sheet.

    Attributes
    ----------
    sheet : int
        Place of the sheet in the set, from 0.
    shift : (2,) float
        A template's point lies on the sheet, mm from its lower left corner, at the point turned and then shifted.
    quarters : int
        How often it is turned by 90 degrees counter-clockwise.
    """

    template: Template
    sheet: int
    shift: FloatArray
    quarters: int

    def on_sheet(self, points: FloatArray) -> FloatArray:
        """(n, 2) float: points of the template as they lie on the sheet, mm."""
        return Line(points).placed(self.shift, self.quarters).points


@dataclass(frozen=True)
class Tile:
    """One page of a sheet: its number, its place in the grid from the top left, its lower left corner on the sheet."""

    number: int
    sheet: int
    column: int
    row: int
    at: FloatArray


@dataclass(frozen=True)
class Imposition:
    """All sheets of a pattern.

    Attributes
    ----------
    block : (2, 2) float
        Lower left and upper right corner, on the first sheet, of the block that every pattern begins with.
    """

    page: Page
    sheets: tuple[Sheet, ...]
    placed: tuple[Placed, ...]
    block: FloatArray

    @property
    def tiles(self) -> list[Tile]:
        """All pages, sheet by sheet, row by row."""
        found: list[Tile] = []
        step = self.page.window - OVERLAP_MM
        for number, sheet in enumerate(self.sheets):
            top = self.size(number)[1] - self.page.window[1]
            for row in range(sheet.rows):
                for column in range(sheet.columns):
                    at = np.array([column * step[0], top - row * step[1]])
                    found.append(Tile(len(found) + 1, number, column, row, at))
        return found

    def size(self, sheet: int) -> FloatArray:
        """(2,) float: width and height of a sheet, mm."""
        return sheet_size(self.sheets[sheet].columns, self.sheets[sheet].rows, self.page.window)


def impose(sizes: Sequence[Size], page: Page, block: Box, unit: str = "mm") -> Imposition:
    """Put the templates, and the block of the first page, on as few pages as possible.

    Panels are drawn to a fold only where that saves a page, or where the whole does not fit on one.
    """
    ways = [_imposed(page, templates(sizes, page.window, unit, folded=folded), block) for folded in (False, True)]
    return min(ways, key=lambda way: len(way.tiles))


def _imposed(page: Page, drawn: Sequence[Template], block: Box) -> Imposition:
    sheets = arrange([block, *(_box(one) for one in drawn)], page.window)
    placed: list[Placed] = []
    corner = np.zeros(2)
    for number, sheet in enumerate(sheets):
        for spot in sheet.spots:
            if spot.box == 0:
                corner = spot.at
                continue
            template, quarters = drawn[spot.box - 1], int(spot.turned)
            low = Line(np.concatenate(template.outlines)).placed(np.zeros(2), quarters).extent[0]
            placed.append(Placed(template, number, spot.at + RIM_MM - low, quarters))
    return Imposition(page, tuple(sheets), tuple(placed), np.array([corner, corner + block]))


def _box(template: Template) -> Box:
    wide, high = np.ptp(template.extent, axis=0) + 2 * RIM_MM
    return float(wide), float(high)
