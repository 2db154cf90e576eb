"""A sheet of paper with lines and lettering on it, in millimetres: what every drawing of ours is made of."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from .panel import FloatArray

# Widths in units of the sheet's lettering height; dashes as in technical drawing (ISO 128: hidden lines dashed,
# centre lines in long and short dashes; from memory).
PENS: dict[str, tuple[float, tuple[float, ...]]] = {
    "sew": (0.16, ()),
    "thin": (0.06, ()),
    "dashed": (0.07, (1.0, 0.5)),
    "centre": (0.07, (3.0, 0.5, 0.4, 0.5)),
}
LETTER_WIDTH = 0.56  # of the lettering's height, on average for a plain sans serif


@dataclass(frozen=True)
class Stroke:
    """A line drawn with one of the `PENS`, or an area filled with ink.

    Attributes
    ----------
    points : (k, 2) float
        Millimetres from the sheet's top left corner, y downwards.
    """

    points: FloatArray
    pen: str = "thin"
    closed: bool = False
    filled: bool = False

    @property
    def extent(self) -> FloatArray:
        """(2, 2) float: smallest and largest x and y, mm."""
        return np.array([self.points.min(axis=0), self.points.max(axis=0)])

    def moved(self, by: FloatArray) -> Stroke:
        """The same line elsewhere."""
        return replace(self, points=self.points + by)


@dataclass(frozen=True)
class Lettering:
    """A line of text.

    Attributes
    ----------
    at : (2,) float
        On the middle of the text's height, mm.
    angle : float
        Degrees, counter-clockwise as seen.
    anchor : {"start", "middle", "end"}
        Which part of the text stands at `at`.
    """

    text: str
    at: FloatArray
    height: float
    angle: float = 0.0
    anchor: str = "middle"
    bold: bool = False

    @property
    def width(self) -> float:
        """About how long the text is, mm."""
        return LETTER_WIDTH * self.height * len(self.text)

    @property
    def extent(self) -> FloatArray:
        """(2, 2) float: about the smallest and largest x and y, mm."""
        start = {"start": 0.0, "middle": -0.5, "end": -1.0}[self.anchor] * self.width
        box = np.array([[x, y] for x in (start, start + self.width) for y in (-self.height / 2, self.height / 2)])
        cos, sin = np.cos(np.radians(self.angle)), np.sin(np.radians(self.angle))
        corners = box @ np.array([[cos, -sin], [sin, cos]])
        return self.at + np.array([corners.min(axis=0), corners.max(axis=0)])

    def moved(self, by: FloatArray) -> Lettering:
        """The same text elsewhere."""
        return replace(self, at=self.at + by)


Mark = Stroke | Lettering


def extent(marks: Iterable[Mark]) -> FloatArray:
    """(2, 2) float: smallest and largest x and y of them all, mm."""
    extents = np.array([mark.extent for mark in marks])
    return np.array([extents[:, 0].min(axis=0), extents[:, 1].max(axis=0)])


def overlap(a: Mark, b: Mark) -> bool:
    """Whether the upright boxes round two marks overlap."""
    one, two = a.extent, b.extent
    return bool((one[0] < two[1]).all() and (two[0] < one[1]).all())


@dataclass(frozen=True)
class Group:
    """Marks that belong together, such as those of one panel."""

    name: str
    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class Sheet:
    """A drawing of `width` by `height` mm; `unit` is its usual lettering height, which line widths follow."""

    width: float
    height: float
    unit: float
    title: str
    groups: tuple[Group, ...]


def sheet_svg(sheet: Sheet) -> str:
    """The sheet as SVG of true size, one group for each panel."""
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{sheet.width:g}mm" height="{sheet.height:g}mm" '
            f'viewBox="0 0 {sheet.width:g} {sheet.height:g}">',
            f"<title>{escape(sheet.title)}</title>",
            '<rect width="100%" height="100%" fill="white"/>',
            '<g fill="none" stroke="black" stroke-linejoin="round" font-family="sans-serif">',
            *_groups(sheet),
            "</g>",
            "</svg>\n",
        ]
    )


def _groups(sheet: Sheet) -> Iterable[str]:
    for group in sheet.groups:
        yield f"<g id={quoteattr(group.name)}>"
        for mark in group.marks:
            yield _stroke(mark, sheet.unit) if isinstance(mark, Stroke) else _text(mark)
        yield "</g>"


def _stroke(stroke: Stroke, unit: float) -> str:
    width, dashes = PENS[stroke.pen]
    tag = "polygon" if stroke.closed else "polyline"
    points = " ".join(f"{_number(x)},{_number(y)}" for x, y in stroke.points)
    dash = f' stroke-dasharray="{" ".join(_number(d * unit) for d in dashes)}"' if dashes else ""
    fill = ' fill="black"' if stroke.filled else ""
    return f'<{tag} points="{points}" stroke-width="{_number(width * unit)}"{dash}{fill}/>'


def _text(text: Lettering) -> str:
    x, y = (_number(v) for v in text.at)
    turn = f' transform="rotate({_number(-text.angle)} {x} {y})"' if text.angle else ""
    bold = ' font-weight="bold"' if text.bold else ""
    # dy lowers the baseline by about half of a capital's height; not every viewer knows dominant-baseline.
    return (
        f'<text x="{x}" y="{y}" dy="{_number(0.36 * text.height)}" font-size="{_number(text.height)}" '
        f'text-anchor="{text.anchor}" fill="black" stroke="none"{bold}{turn}>{escape(text.text)}</text>'
    )


def _number(value: float) -> str:
    return f"{np.round(value, 3) + 0.0:g}" if abs(value) < 100 else f"{np.round(value, 3):.3f}".rstrip("0").rstrip(".")
