"""The legend of the cloth's colours, and the cut through a level seen from above: cards in the view's lower left.

Sizes are pixels times the window's own scale.
"""

from __future__ import annotations

import bpy
import numpy as np

from drafting.fit.cross_section import CrossSection
from drafting.fit.level import TRUNK_LEVELS
from drafting.units import format_length

from . import brush
from .rack import Scale
from .studio.colour import cividis
from .table import FloatArray

GROUND = (0.10, 0.10, 0.11, 0.86)
LEFT, GAP = 74.0, 12.0  # clear of the tool bar; from one card to the next
CARD, BAR = 330.0, 18.0
LETTERS, PAD = 12.0, 12.0
MAP = 230.0  # side of the square that a cut is drawn into
SKIN, CLOTH, ROOM = (0.95, 0.62, 0.45, 1.0), (0.45, 0.68, 1.0, 1.0), (1.0, 0.9, 0.35, 1.0)


def mark_text(value: float | str, unit: str, last: bool) -> str:
    """What stands under a mark of the scale; the last length means that or more."""
    if isinstance(value, str):
        return value
    return format_length(value, unit) + (" +" if last else "")


def draw_scale(scale: Scale, low: float, ui: float, unit: str) -> float:
    """Draw the legend with its lower edge at `low`; returns where the next card may begin."""
    high = (3.2 * LETTERS + BAR + 2.0 * PAD) * ui
    left, wide = LEFT * ui, CARD * ui
    brush.box(left, low, wide, high, GROUND)
    x, across = left + 2.5 * PAD * ui, wide - 5.0 * PAD * ui
    y = low + (PAD + 1.4 * LETTERS) * ui
    brush.text(scale.title, left + PAD * ui, low + high - (PAD + LETTERS) * ui, LETTERS * ui)
    shares = np.linspace(0.0, 1.0, 64)
    shares = np.round(shares) if scale.two else shares
    brush.ramp(x, y, across, BAR * ui, np.column_stack([cividis(shares), np.ones(64)]))
    for share, value in scale.marks:
        words = mark_text(value, unit, share == 1.0)
        brush.text(words, x + share * across, low + PAD * ui, 0.88 * LETTERS * ui, "middle")
    return low + high + GAP * ui


def extent(cut: CrossSection) -> FloatArray:
    """(2, 2) float: the lowest and the highest corner of all that is cut, mm from the cut's middle."""
    points = np.concatenate([cut.flat(cut.skin).reshape(-1, 2), cut.flat(cut.cloth).reshape(-1, 2)])
    return np.array([points.min(axis=0), points.max(axis=0)])


def on_card(cut: CrossSection, points: FloatArray, middle: tuple[float, float], side: float) -> FloatArray:
    """(..., 3) float: points of the cut within a square on the card, the body's front below, its left to the right."""
    low, high = extent(cut)
    flat = (cut.flat(points) - 0.5 * (low + high)) * side / float((high - low).max()) + np.asarray(middle)
    return np.concatenate([flat, np.zeros((*flat.shape[:-1], 1))], axis=-1)


def draw_section(cut: CrossSection, low: float, ui: float, unit: str) -> None:
    """Draw the cut seen from above, each room with its length, and what the colours mean."""
    region = bpy.context.region
    side, left = MAP * ui, LEFT * ui
    wide, high = CARD * ui, side + (3.0 * PAD + 3.0 * LETTERS) * ui
    brush.box(left, low, wide, high, GROUND)
    seen = "from above" if cut.level in TRUNK_LEVELS else "along the arm"
    title = f"{cut.level.replace('_', ' ').capitalize()}: cut through, seen {seen}"
    brush.text(title, left + PAD * ui, low + high - (PAD + LETTERS) * ui, LETTERS * ui)
    middle = (left + wide / 2.0, low + PAD * ui + 1.6 * LETTERS * ui + side / 2.0)
    inner = 0.8 * side
    brush.pieces(region, on_card(cut, cut.skin, middle, inner), SKIN, 1.8 * ui)
    brush.pieces(region, on_card(cut, cut.cloth, middle, inner), CLOTH, 2.2 * ui)
    for room in cut.rooms:
        ends = on_card(cut, np.array([room.skin, room.cloth]), middle, inner)
        brush.line(region, ends, ROOM, 1.8 * ui)
        brush.text(format_length(room.mm, unit), *_beside(room.way, ends[1], ui))
    for words, colour, share in (("skin", SKIN, 0.10), ("cloth", CLOTH, 0.38), ("room", ROOM, 0.66)):
        x = left + share * wide
        brush.box(x, low + PAD * ui, 14.0 * ui, 4.0 * ui, colour)
        brush.text(words, x + 20.0 * ui, low + (PAD - 3.0) * ui, 0.88 * LETTERS * ui)


def _beside(way: str, end: FloatArray, ui: float) -> tuple[float, float, float, str]:
    """Where a room's length stands: outside the cloth, on its own side."""
    x, y, _ = end
    size = 0.88 * LETTERS * ui
    off = {"front": (0.0, -1.3, "middle"), "back": (0.0, 0.5, "middle"), "left": (0.5, -0.4, "left")}
    right, up, anchor = off.get(way, (-0.5, -0.4, "right"))
    return x + right * size, y + up * size, size, anchor
