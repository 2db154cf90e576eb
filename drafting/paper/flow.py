"""Text, tables and drawings set below one another on pages."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .font import wrapped
from .ink import Ink, Line, Words, extent
from .page import Page
from .pdf import Leaf, Patch

EDGE_MM = 18.0  # white round the text
TYPE_MM, LEADING = 3.5, 1.42  # 10 pt type; lines this many type sizes apart
HEADS = {1: 7.0, 2: 5.0, 3: 3.9}


class Flow:
    """Pages that fill from the top; what does not fit goes on the next page."""

    def __init__(self, page: Page, footer: str) -> None:
        self.page, self.footer = page, footer
        self.wide = page.width - 2 * EDGE_MM
        self.pages: list[list[Ink]] = [[]]
        self.y = page.height - EDGE_MM

    def heading(self, text: str, level: int = 2, keep: float = 20.0) -> None:
        """A heading, with room for at least `keep` mm of what follows."""
        size = HEADS[level]
        self.space(0.9 * size if self.pages[-1] else 0.0)
        self.room(1.5 * size + keep)
        for line in wrapped(text, size, self.wide, bold=True):
            self._line(line, size, bold=True)
        self.space(0.3 * size)

    def text(self, words: str, *, bullet: bool = False) -> None:
        """A paragraph."""
        indent = 5.0 if bullet else 0.0
        lines = wrapped(words, TYPE_MM, self.wide - indent)
        self.room(min(len(lines), 3) * LEADING * TYPE_MM)
        for k, line in enumerate(lines):
            self.room(LEADING * TYPE_MM)
            if bullet and k == 0:
                self._put(Words("\u2022", np.array([EDGE_MM + 1.0, self.y - TYPE_MM / 2]), TYPE_MM, anchor="start"))
            self._line(line, TYPE_MM, indent=indent)
        self.space(0.45 * TYPE_MM)

    def table(self, rows: Sequence[Sequence[str]], shares: Sequence[float]) -> None:
        """Rows of cells, the first one bold; `shares` are the columns' parts of the width."""
        lefts = EDGE_MM + np.concatenate([[0.0], np.cumsum(shares[:-1])]) * self.wide / sum(shares)
        high = 1.5 * TYPE_MM
        for k, row in enumerate(rows):
            self.room(high * (3 if k == 0 else 1))
            for x, cell in zip(lefts, row, strict=True):
                at = np.array([float(x), self.y - high / 2])
                self._put(Words(cell, at, TYPE_MM * 0.92, anchor="start", bold=k == 0))
            self.y -= high
            if k == 0:
                self._put(Line(np.array([[EDGE_MM, self.y], [EDGE_MM + self.wide, self.y]])))
        self.space(TYPE_MM)

    def drawing(self, inks: Sequence[Ink], most_high: float) -> None:
        """A drawing in the middle, as large as it fits the width and `most_high` mm."""
        low, high = extent(inks)
        scale = min(1.0, self.wide / float(high[0] - low[0]), most_high / float(high[1] - low[1]))
        tall = scale * float(high[1] - low[1])
        self.room(tall + 2)
        at = np.array([EDGE_MM + (self.wide - scale * float(high[0] - low[0])) / 2, self.y - tall]) - scale * low
        for ink in inks:
            self._put(ink.placed(at, 0, scale))
        self.y -= tall
        self.space(TYPE_MM)

    def room(self, high: float) -> None:
        """Begin a new page unless so much is left on this one, mm."""
        if self.y - high < EDGE_MM and self.pages[-1]:
            self.pages.append([])
            self.y = self.page.height - EDGE_MM

    def space(self, high: float) -> None:
        """White, mm."""
        self.y -= high

    def leaves(self) -> list[Leaf]:
        """The pages, numbered."""
        found = []
        for number, inks in enumerate(self.pages, 1):
            words = f"{self.footer}, page {number} of {len(self.pages)}"
            foot = Words(words, np.array([EDGE_MM, EDGE_MM / 2]), 2.5, anchor="start")
            found.append(Leaf(self.page.width, self.page.height, (Patch((*inks, foot)),)))
        return found

    def _line(self, text: str, size: float, *, bold: bool = False, indent: float = 0.0) -> None:
        self._put(Words(text, np.array([EDGE_MM + indent, self.y - size / 2]), size, anchor="start", bold=bold))
        self.y -= LEADING * size

    def _put(self, ink: Ink) -> None:
        self.pages[-1].append(ink)
