"""What is printed: lines and words in millimetres, y upwards, each on a layer and, in a set, for one size."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from ..pattern.panel import FloatArray
from .font import text_width

CUT, SEW, MARKS, TEXT, PAGE = "Cut lines", "Sew lines", "Marks", "Texts", "Page and glue marks"
LAYERS = (CUT, SEW, MARKS, TEXT, PAGE)

# Width and dashes, mm. Cut lines solid and sew lines dashed: common practice, no source. Centre lines in long and short
# dashes as in technical drawing (ISO 128, from memory).
PENS: dict[str, tuple[float, tuple[float, ...]]] = {
    "sew": (0.2, (1.6, 1.0)),
    "thin": (0.15, ()),
    "mark": (0.25, ()),
    "bold": (0.8, ()),
    "centre": (0.2, (6.0, 1.2, 1.0, 1.2)),
    "fold": (0.3, (4.0, 1.5)),
    "place": (0.2, (0.4, 1.0)),
    "join": (0.2, (3.0, 2.0)),
    "square": (0.25, ()),
}
# The cut line of each size of a set: told apart without colour.
DASHES: tuple[tuple[float, ...], ...] = (
    (),
    (5.0, 2.0),
    (6.0, 1.5, 0.8, 1.5),
    (0.8, 1.2),
    (9.0, 1.5, 0.8, 1.5, 0.8, 1.5),
    (2.5, 1.2),
)
CUT_WIDTH = 0.45
PENS |= {f"cut{k}": (CUT_WIDTH, dashes) for k, dashes in enumerate(DASHES)}


@dataclass(frozen=True)
class Line:
    """A line drawn with one of the `PENS`, or an area.

    Attributes
    ----------
    points : (k, 2) float
    grey : float or None
        Fills the area: 0 is black, 1 white. None: not filled.
    size : str
        In a set, the size that it belongs to; empty for all of them.
    """

    points: FloatArray
    pen: str = "thin"
    layer: str = MARKS
    closed: bool = False
    grey: float | None = None
    size: str = ""

    @property
    def extent(self) -> FloatArray:
        """(2, 2) float: smallest and largest x and y."""
        return np.array([self.points.min(axis=0), self.points.max(axis=0)])

    def placed(self, by: FloatArray, quarters: int = 0, scale: float = 1.0) -> Line:
        """Scaled, turned by quarters counter-clockwise about the origin, then moved."""
        return replace(self, points=_turned(self.points * scale, quarters) + by)


@dataclass(frozen=True)
class Words:
    """A line of text.

    Attributes
    ----------
    at : (2,) float
        On the middle of a capital's height.
    height : float
        Type size, mm.
    angle : float
        Degrees, counter-clockwise.
    anchor : {"start", "middle", "end"}
        Which part of the text stands at `at`.
    """

    text: str
    at: FloatArray
    height: float = 2.5
    angle: float = 0.0
    anchor: str = "middle"
    bold: bool = False
    layer: str = TEXT
    size: str = ""

    @property
    def width(self) -> float:
        """How long the text is, mm."""
        return text_width(self.text, self.height, self.bold)

    @property
    def corners(self) -> FloatArray:
        """(4, 2) float: the box round the text, counter-clockwise, from its lower left corner."""
        start = {"start": 0.0, "middle": -0.5, "end": -1.0}[self.anchor] * self.width
        x, y = np.array([start, start + self.width]), self.height * np.array([-0.6, 0.5])
        box = np.array([[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]])
        cos, sin = math.cos(math.radians(self.angle)), math.sin(math.radians(self.angle))
        return self.at + box @ np.array([[cos, sin], [-sin, cos]])

    @property
    def extent(self) -> FloatArray:
        """(2, 2) float: smallest and largest x and y."""
        return np.array([self.corners.min(axis=0), self.corners.max(axis=0)])

    def placed(self, by: FloatArray, quarters: int = 0, scale: float = 1.0) -> Words:
        """Scaled, turned by quarters counter-clockwise about the origin, then moved; never upside down."""
        angle = (self.angle + 90 * quarters + 80) % 360 - 80
        anchor = self.anchor
        if angle > 100:
            angle, anchor = angle - 180, {"start": "end", "end": "start"}.get(anchor, anchor)
        at = _turned(self.at * scale, quarters) + by
        return replace(self, at=at, height=self.height * scale, angle=angle, anchor=anchor)


Ink = Line | Words


def extent(inks: Iterable[Ink]) -> FloatArray:
    """(2, 2) float: smallest and largest x and y of them all."""
    extents = np.array([ink.extent for ink in inks])
    return np.array([extents[:, 0].min(axis=0), extents[:, 1].max(axis=0)])


def overlap(a: Ink, b: Ink) -> bool:
    """Whether the upright boxes round two inks overlap."""
    one, two = a.extent, b.extent
    return bool((one[0] < two[1]).all() and (two[0] < one[1]).all())


def rectangle(low: FloatArray, high: FloatArray) -> FloatArray:
    """(4, 2) float: a rectangle's corners, counter-clockwise."""
    return np.array([low, [high[0], low[1]], high, [low[0], high[1]]])


def arrow_head(tip: FloatArray, way: FloatArray, length: float = 2.5) -> Line:
    """A filled arrow head that points along a direction."""
    way = way / np.linalg.norm(way) * length
    square = np.array([-way[1], way[0]])
    return Line(np.array([tip, tip - way + 0.28 * square, tip - way - 0.28 * square]), "thin", closed=True, grey=0.0)


def circle(centre: FloatArray, radius: float, count: int = 32) -> FloatArray:
    """(count, 2) float: points on a circle, counter-clockwise."""
    angles = np.arange(count) * 2 * math.pi / count
    return np.asarray(centre) + radius * np.column_stack([np.cos(angles), np.sin(angles)])


def _turned(points: FloatArray, quarters: int) -> FloatArray:
    cos, sin = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarters % 4]
    return points @ np.array([[cos, sin], [-sin, cos]], dtype=float)
