"""Printed pages as a buyer's printer would put them on paper, for the tests."""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np
import pypdfium2
from robes import DOLL

from drafting.garments import ROBE
from drafting.paper.block import block_size
from drafting.paper.imposition import Imposition, impose
from drafting.paper.ink import Line
from drafting.paper.issue import sizes_of
from drafting.paper.page import OVERLAP_MM, read_page
from drafting.paper.pdf import About, Leaf, Patch, pdf_bytes
from drafting.paper.sheets import leaves
from drafting.paper.template import Size
from drafting.pattern.pattern import Pattern

PX = 10  # pixels a millimetre: 254 dpi
SCALES = {"sixth": 270 / 420, "quarter": 1.0, "third": 600 / 420}


@dataclass(frozen=True)
class Printed:
    """A pattern on its pages."""

    sizes: tuple[Size, ...]
    imposed: Imposition
    leaves: tuple[Leaf, ...]

    @functools.cached_property
    def pdf(self) -> bytes:
        labels = tuple(size.label for size in self.sizes) if len(self.sizes) > 1 else ()
        return pdf_bytes(self.leaves, About("probe", "probe", sizes=labels))

    @functools.cached_property
    def rasters(self) -> list[np.ndarray]:
        return pixels(self.pdf)

    @functools.cached_property
    def cut_rasters(self) -> list[np.ndarray]:
        """The same pages with nothing but the cut lines on them."""

        def bare(patch: Patch) -> Patch:
            return Patch(tuple(i for i in patch.inks if isinstance(i, Line) and i.pen.startswith("cut")), patch.window)

        pages = [Leaf(leaf.width, leaf.height, tuple(map(bare, leaf.patches))) for leaf in self.leaves]
        return pixels(pdf_bytes(pages, About("bare", "bare")))

    def glued(self, number: int) -> np.ndarray:
        """A sheet's cut lines: its pages cut on the join lines, half of the overlap off each, laid edge to edge."""
        grid, page = self.imposed.sheets[number], self.imposed.page
        wide, high = np.ceil(self.imposed.size(number) * PX).astype(int) + 1
        sheet = np.zeros((high, wide), np.float32)
        for tile in (tile for tile in self.imposed.tiles if tile.sheet == number):
            before = np.array([tile.column > 0, tile.row < grid.rows - 1]) * OVERLAP_MM / 2
            after = np.array([tile.column < grid.columns - 1, tile.row > 0]) * OVERLAP_MM / 2
            begin = ((page.corner + before) * PX).round().astype(int)
            end = ((page.corner + page.window - after) * PX).round().astype(int)
            left, low = ((tile.at + before) * PX).round().astype(int)
            part = self.cut_rasters[tile.number - 1][begin[1] : end[1], begin[0] : end[0]]
            part = part[: high - low, : wide - left]
            sheet[low : low + part.shape[0], left : left + part.shape[1]] = part
        return sheet


@functools.cache
def robe(scale: str) -> Pattern:
    return ROBE.draft({name: mm * SCALES[scale] for name, mm in DOLL.items()}, {})


@functools.cache
def printed(scales: str, page: str) -> Printed:
    """One doll's pages, or with several names those of a set."""
    sizes = sizes_of([(name, robe(name)) for name in scales.split()])
    imposed = impose(sizes, read_page(page), block_size(sizes))
    return Printed(tuple(sizes), imposed, tuple(leaves(sizes, imposed)))


def pixels(pdf: bytes) -> list[np.ndarray]:
    """Darkness of every page, 0 to 1, at 254 dpi, the first row lowest."""
    document = pypdfium2.PdfDocument(pdf)
    rendered = (page.render(scale=PX * 25.4 / 72, grayscale=True).to_numpy() for page in document)
    return [1 - page[::-1].reshape(page.shape[:2]).astype(np.float32) / 255 for page in rendered]
