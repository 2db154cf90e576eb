"""What the maker says about her doll in the window: how the scan is to be read, and what her own tape says."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import bpy

from drafting.body.body import Body
from drafting.body.upright import AS_FOUND, Turned
from drafting.errors import LengthError
from drafting.units import format_length, parse_length

from . import road

SAME_MM = 0.05  # what is shown to a tenth of a millimetre is the same


@dataclass(frozen=True)
class Reading:
    """What the maker says about a scan; None where it is found from the scan itself. Lengths mm."""

    height_mm: float | None
    known: tuple[str, float] | None
    up: str | None
    front: str | None
    cut_below_mm: float | None
    turned: Turned = AS_FOUND

    def body(self, scan: Path) -> Body:
        """Read and measure a scan this way."""
        known = dict([self.known]) if self.known else None
        return road.body_of(
            scan,
            height_mm=self.height_mm,
            known=known,
            up=self.up,
            front=self.front,
            cut_below_mm=self.cut_below_mm,
            turned=self.turned,
        )


def how_to_read(scene: bpy.types.Scene) -> Reading:
    """What is set in the window; a height weighs more than a known girth."""
    settings = scene.toile
    height, known = length_of(settings.height), length_of(settings.known_length)
    return Reading(
        height_mm=height,
        known=(settings.known, known) if known and not height else None,
        up=None if settings.up == "found" else settings.up,
        front=None if settings.front == "found" else settings.front,
        cut_below_mm=length_of(settings.stand),
        turned=turned(scene),
    )


def turned(scene: bpy.types.Scene) -> Turned:
    """How the maker turned her from where she was found to stand."""
    return Turned(scene.toile.quarters % 4, scene.toile.flipped)


def taped(scene: bpy.types.Scene) -> dict[str, float]:
    """The measures that the maker took with her own tape, mm."""
    return {row.name: mm for row in scene.toile.by_hand if (mm := length_of(row.by_hand))}


def length_of(text: str) -> float | None:
    """A length in mm, None where the field is empty.

    Raises
    ------
    LengthError
        Not a length, or not above zero.
    """
    if not text.strip():
        return None
    value = parse_length(text)
    if value <= 0.0:
        raise LengthError(f"{text}: a length above 0 is expected")
    return value


def as_typed(text: str, mm: float, unit: str) -> str:
    """A length as the maker wrote it, where this is what she wrote; else in the unit that is shown."""
    shown, text = format_length(mm, unit), text.strip()
    try:
        same = bool(text) and abs(parse_length(text) - mm) < SAME_MM
    except LengthError:
        return shown
    return (f"{text} mm" if text[-1].isdigit() else text) if same else shown


def tall(scene: bpy.types.Scene, body: Body) -> str:
    """How tall the doll is, as the maker wrote it."""
    return as_typed(scene.toile.height, body.height_mm, scene.toile.show)
