"""The block on the first page: what this is, the test squares, the page map, what the lines mean, and the sizes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ..pattern.panel import FloatArray
from ..units import MM_PER_INCH, format_length
from .imposition import Imposition
from .ink import PAGE, TEXT, Ink, Line, Words, arrow_head, circle, rectangle
from .template import DRILL_MM, Size

SQUARES = ((50.0, "50 mm"), (2 * MM_PER_INCH, "2 in"))
WIDE_MM, HEAD_MM = 108.0, 24.0
MAP_HIGH_MM = 42.0
ROW_MM = 4.4
TABLE = ("height", "bust_girth", "waist_girth", "hip_girth")


def block_size(sizes: Sequence[Size]) -> tuple[float, float]:
    """Width and height of the block, mm."""
    return WIDE_MM, HEAD_MM + SQUARES[1][0] + 4 + MAP_HIGH_MM + 4 + 4 * ROW_MM + ROW_MM * (len(sizes) + 1.5)


def block(sizes: Sequence[Size], imposed: Imposition, unit: str) -> list[Ink]:
    """The block, its lower left corner at the origin."""
    top = block_size(sizes)[1]
    inks: list[Ink] = [Words(title(sizes, unit), np.array([0.0, top - 3]), 5.0, anchor="start", bold=True)]
    for k, line in enumerate(_head(imposed)):
        inks.append(Words(line, np.array([0.0, top - 9 - 3.8 * k]), 2.8, anchor="start"))
    y = top - HEAD_MM - SQUARES[1][0]
    x = 0.0
    for side, text in SQUARES:
        inks += test_square(np.array([x, y]), side, text)
        x += side + 4
    y -= 4 + MAP_HIGH_MM
    inks += _page_map(np.array([0.0, y]), imposed)
    y -= 4
    inks += _legend(y, len(sizes))
    y -= 4 * ROW_MM
    inks += _table(y, sizes, unit)
    return inks


def _head(imposed: Imposition) -> Iterator[str]:
    yield "Print at 100 %, not fitted to the page. Measure both squares before you cut."
    yield "Allowances are included: cut on the thick line, sew on the dashed one."
    if any(sheet.pages > 1 for sheet in imposed.sheets):
        yield "To join: cut the right or lower page on its long-dashed line, lay it on the same line"
        yield "of the other page, letter on letter, and glue."


def title(sizes: Sequence[Size], unit: str) -> str:
    """Such as "Robe for a doll of 270 mm"."""
    garment = sizes[0].pattern.garment.capitalize()
    heights = sorted(size.pattern.measures.get("height", 0.0) for size in sizes)
    if not heights[0]:
        return garment
    if len(sizes) == 1:
        return f"{garment} for a doll of {format_length(heights[0], unit)}"
    return f"{garment} for dolls of {format_length(heights[0], unit)} to {format_length(heights[-1], unit)}"


def test_square(at: FloatArray, side: float, text: str) -> list[Ink]:
    """A square of a known size, its lower left corner at `at`."""
    return [
        Line(rectangle(at, at + side), "square", PAGE, closed=True),
        Words(text, at + side / 2, 3.5, layer=PAGE),
        Words("test square", at + np.array([side / 2, side / 2 - 4.5]), 2.1, layer=PAGE),
    ]


def _page_map(at: FloatArray, imposed: Imposition) -> Iterator[Ink]:
    """Every sheet small, with its pages' numbers and what lies on them."""
    sizes = [imposed.size(sheet) for sheet in range(len(imposed.sheets))]
    wide, high = sum(size[0] for size in sizes), max(size[1] for size in sizes)
    scale = min((WIDE_MM - 4 * (len(sizes) - 1)) / wide, (MAP_HIGH_MM - 4) / high)
    yield Words("Pages", at + np.array([0.0, MAP_HIGH_MM - 1.5]), 2.5, anchor="start", bold=True)
    lefts = np.cumsum([0.0, *(size[0] * scale + 4 for size in sizes)])
    corners = [at + np.array([x, MAP_HIGH_MM - 4 - size[1] * scale]) for x, size in zip(lefts, sizes, strict=False)]
    for one in imposed.placed:
        widest = max(one.template.outlines, key=lambda outline: float(np.ptp(outline, axis=0).prod()))
        yield Line(one.on_sheet(widest) * scale + corners[one.sheet], "thin", PAGE, closed=True, grey=0.88)
    for tile in imposed.tiles:
        frame = rectangle(tile.at, tile.at + imposed.page.window) * scale + corners[tile.sheet]
        yield Line(frame, "thin", PAGE, closed=True)
        yield Words(str(tile.number), frame.mean(axis=0), 3.5, bold=True, layer=PAGE)


def _legend(top: float, count: int) -> Iterator[Ink]:
    """What each line and mark means."""
    rows: list[tuple[list[Ink], str]] = [
        (
            [Line(np.array([[0.0, 0.0], [12.0, 0.0]]), "cut0")],
            "cut here" if count == 1 else "cut here: by size, see below",
        ),
        ([Line(np.array([[0.0, 0.0], [12.0, 0.0]]), "sew")], "sew here"),
        ([Line(np.array([[0.0, 0.0], [12.0, 0.0]]), "fold")], "fold"),
        ([Line(np.array([[0.0, 0.0], [12.0, 0.0]]), "centre")], "centre, waist"),
        ([Line(np.array([[0.0, 0.0], [12.0, 0.0]]), "place")], "edges of the sash"),
        (
            [
                Line(np.array([[0.0, 0.0], [12.0, 0.0]]), "mark"),
                arrow_head(np.array([12.0, 0.0]), np.array([1.0, 0.0])),
                arrow_head(np.array([0.0, 0.0]), np.array([-1.0, 0.0])),
            ],
            "grain: along the selvedge",
        ),
        ([Line(np.array([[5.0, 1.2], [7.0, 1.2], [6.0, -1.2]]), closed=True, grey=0.0)], "notch: match its partner"),
        (
            [
                Line(circle(np.array([6.0, 0.0]), DRILL_MM), "mark", closed=True),
                Line(np.array([[6 - DRILL_MM, 0.0], [6 + DRILL_MM, 0.0]])),
                Line(np.array([[6.0, -DRILL_MM], [6.0, DRILL_MM]])),
            ],
            "tie or snap",
        ),
    ]
    for k, (marks, text) in enumerate(rows):
        at = np.array([54.0 * (k // 4), top - ROW_MM * (k % 4 + 0.5)])
        yield from (mark.placed(at) for mark in marks)
        yield Words(text, at + np.array([15.0, 0.0]), 2.5, anchor="start")


def _table(top: float, sizes: Sequence[Size], unit: str) -> Iterator[Ink]:
    """The sizes with the body measures that they were drafted for."""
    columns = (0.0, 16.0, 44.0, 64.0, 84.0)
    heads = ("", "height", "bust", "waist", "hip")
    for x, head in zip(columns, heads, strict=True):
        yield Words(head, np.array([x, top - ROW_MM]), 2.5, anchor="start", bold=True)
    for k, size in enumerate(sizes, 1):
        y = top - ROW_MM * (k + 1)
        if len(sizes) > 1:
            yield Line(np.array([[0.0, y], [14.0, y]]), f"cut{size.place}", size=size.label)
        else:
            yield Words("doll", np.array([0.0, y]), 2.5, anchor="start")
        for x, name in zip(columns[1:], TABLE, strict=True):
            mm = size.pattern.measures.get(name)
            shown = "-" if mm is None else format_length(mm, unit)
            shown = size.label if name == "height" and len(sizes) > 1 else shown
            yield Words(shown, np.array([x, y]), 2.5, anchor="start", layer=TEXT)
