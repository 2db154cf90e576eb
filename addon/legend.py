"""The legend of the cloth's colours, and the cut through a level seen from above: cards in the view's lower left.

Sizes are pixels times the window's own scale.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import bpy
import numpy as np

from drafting.fit.cross_section import CrossSection
from drafting.fit.level import TRUNK_LEVELS
from drafting.units import format_length
from drafting.words import title

from . import brush
from .placing import place_label
from .shades import Scale, mark_text
from .studio.colour import cividis
from .table import FloatArray

GROUND = (0.10, 0.10, 0.11, 0.86)
LEFT, GAP = 74.0, 12.0  # clear of the tool bar; from one card to the next
CARD, BAR = 330.0, 18.0
LETTERS, PAD = 12.0, 12.0
MAP = 230.0  # side of the square that a cut is drawn into
WORD = 1.5  # of a letter's height, the lines above and below the cut that say which side is which
FACING = 0.5  # how far the card's upright must point to the body's back for its ends to be called so
ROUND = 0.5  # of a letter's height, free round a room's length in all
WAYS = dict(
    zip(("front", "left", "back", "right"), np.array([[0.0, -1.0], [1.0, 0.0], [0.0, 1.0], [-1.0, 0.0]]), strict=True)
)
BACK = np.array([0.0, 1.0, 0.0])  # of the body
SKIN, CLOTH, ROOM = (0.95, 0.62, 0.45, 1.0), (0.45, 0.68, 1.0, 1.0), (1.0, 0.9, 0.35, 1.0)


def draw_scale(scale: Scale, low: float, ui: float, unit: str) -> None:
    """Draw the legend with its lower edge at `low`."""
    high = scale_high(ui) - GAP * ui
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


def draw_told(lines: Sequence[str], region: bpy.types.Region, ui: float) -> None:
    """A card of a few lines at the view's foot, in its middle."""
    size = 1.2 * LETTERS * ui
    wide = max(brush.wide_of(line, size) for line in lines) + 2.0 * PAD * ui
    high = 1.5 * size * len(lines) + 2.0 * PAD * ui
    left, low = 0.5 * (region.width - wide), 2.0 * PAD * ui
    brush.box(left, low, wide, high, GROUND)
    for place, line in enumerate(lines):
        brush.text(line, left + PAD * ui, low + high - PAD * ui - (1.5 * place + 1.1) * size, size)


def extent(cut: CrossSection) -> FloatArray:
    """(2, 2) float: the lowest and the highest corner of all that is cut, mm from the cut's middle."""
    points = np.concatenate([cut.flat(cut.skin).reshape(-1, 2), cut.flat(cut.cloth).reshape(-1, 2)])
    return np.array([points.min(axis=0), points.max(axis=0)])


def on_card(cut: CrossSection, points: FloatArray, middle: tuple[float, float], side: float) -> FloatArray:
    """(..., 3) float: points of the cut within a square on the card, the body's front below, its left to the right."""
    low, high = extent(cut)
    flat = (cut.flat(points) - 0.5 * (low + high)) * side / float((high - low).max()) + np.asarray(middle)
    return np.concatenate([flat, np.zeros((*flat.shape[:-1], 1))], axis=-1)


def scale_high(ui: float) -> float:
    """How high the legend of the colours is, with the gap to the next card, pixels."""
    return (3.2 * LETTERS + BAR + 2.0 * PAD + GAP) * ui


def section_high(ui: float) -> float:
    """How high the cut's card is, pixels."""
    return (MAP + 3.0 * PAD + 3.0 * LETTERS + 2.0 * WORD * LETTERS) * ui


def cross(low: float, ui: float) -> tuple[float, float]:
    """The middle of the cross that closes the cut's card, whose lower edge is at `low`."""
    edge = (PAD + 0.5 * LETTERS) * ui
    return (LEFT + CARD) * ui - edge, low + section_high(ui) - edge


def draw_section(cut: CrossSection, low: float, ui: float, unit: str) -> None:
    """Draw the cut seen from above, each room with its length, and what the colours mean."""
    region = bpy.context.region
    side, left = MAP * ui, LEFT * ui
    wide, high = CARD * ui, section_high(ui)
    brush.box(left, low, wide, high, GROUND)
    seen = "from above" if cut.level in TRUNK_LEVELS else "along the arm"
    heading = f"{title(cut.level)}: cut through, seen {seen}"
    brush.text(heading, left + PAD * ui, low + high - (PAD + LETTERS) * ui, LETTERS * ui)
    foot = low + (PAD + (1.6 + WORD) * LETTERS) * ui
    x, y = cross(low, ui)  # the button there has no picture: a theme's own would be dark on dark
    brush.text("\N{MULTIPLICATION SIGN}", x, y - 0.4 * LETTERS * ui, 1.2 * LETTERS * ui, "middle")
    middle = (left + wide / 2.0, foot + side / 2.0)
    if cut.across[1] @ BACK > FACING:
        brush.text("front", middle[0], foot - LETTERS * ui, LETTERS * ui, "middle")
        brush.text("back", middle[0], foot + side, LETTERS * ui, "middle")
    inner = 0.8 * side
    brush.pieces(region, on_card(cut, cut.skin, middle, inner), SKIN, 1.8 * ui)
    brush.pieces(region, on_card(cut, cut.cloth, middle, inner), CLOTH, 2.2 * ui)
    ends = {room.way: on_card(cut, np.array([room.skin, room.cloth]), middle, inner) for room in cut.rooms}
    for line in ends.values():
        brush.line(region, line, ROOM, 1.8 * ui)
    size = 0.88 * LETTERS * ui
    lines = [on_card(cut, pieces, middle, inner) for pieces in (cut.skin, cut.cloth)] + [np.array([*ends.values()])]
    within = np.array([[left, foot], [left + wide, foot + side]])
    texts = {room.way: format_length(room.mm, unit) for room in cut.rooms}
    wides = {way: brush.wide_of(text, size) for way, text in texts.items()}
    for way, (x, y) in labels(ends, wides, size, np.concatenate([one for one in lines if len(one)]), within).items():
        brush.text(texts[way], x, y, size)
    for words, colour, share in (("skin", SKIN, 0.10), ("cloth", CLOTH, 0.38), ("room", ROOM, 0.66)):
        x = left + share * wide
        brush.box(x, low + PAD * ui, 14.0 * ui, 4.0 * ui, colour)
        brush.text(words, x + 20.0 * ui, low + (PAD - 3.0) * ui, 0.88 * LETTERS * ui)


def labels(
    ends: Mapping[str, FloatArray], wides: Mapping[str, float], size: float, lines: FloatArray, within: FloatArray
) -> dict[str, FloatArray]:
    """(2,) float for each room's length: where its text begins, outside the cloth and on no line.

    Parameters
    ----------
    ends : mapping of (2, 3) float
        Each room on the card, from skin to cloth.
    wides, size : float
        How wide each text is, and how high its letters.
    lines : (k, 2, 3) float
        All that is drawn on the card.
    """
    taken: dict[str, FloatArray] = {}
    for way, line in ends.items():
        room = np.array([wides[way] + ROUND * size, (1.0 + ROUND) * size])
        taken[way] = place_label(room, line[1, :2], WAYS[way], lines[..., :2], [*taken.values()], within)
    return {way: box[0] + 0.5 * ROUND * size for way, box in taken.items()}
