"""Room, pull and touch as colours: where each value of the cloth lies in the colour map, and what the colours mean.

For the robe in the window and for the pictures of a fit alike.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drafting.fit.surface import Surface, picture_title
from drafting.units import format_length

from .bridge import FloatArray

SPREAD = 0.05  # the far end of the room's colours, as a share of the doll's height
MOST_PULL = 0.05  # the far end of the pull's colours: what woven cloth gives at most (drafting/fit/verdict.py)


@dataclass(frozen=True)
class Scale:
    """What the colours of one picture stand for.

    Attributes
    ----------
    title : str
        With the unit.
    marks : tuple of (share, value)
        Places along the bar, 0 to 1, and the value there in mm, or a text.
    two : bool
        Only the two ends of the bar are used.
    """

    title: str
    marks: tuple[tuple[float, float | str], ...]
    two: bool = False


def shades(surface: Surface, height_mm: float) -> dict[str, FloatArray]:
    """(n,) float in 0..1 for each picture of the fit: its place in the colour map."""
    return {
        "room": np.clip(surface.gap_mm / widest(height_mm), 0.0, 1.0),
        "pull": np.clip(surface.stretch / MOST_PULL, 0.0, 1.0),
        "touch": np.where(surface.gap_mm < surface.contact_mm, 1.0, 0.0),
    }


def widest(height_mm: float) -> float:
    """The room at the far end of its colours, mm: a round one."""
    return max(2.0, 2.0 * round(SPREAD * height_mm / 2.0))


def scale_of(picture: str, height_mm: float, contact_mm: float) -> Scale:
    """The legend of a picture of the fit."""
    title = picture_title(picture)
    if picture == "room":
        most = widest(height_mm)
        return Scale(title, tuple((k / 4, k / 4 * most) for k in range(5)))
    if picture == "pull":
        shares = (0.0, 0.5, 1.0)
        return Scale(title, tuple((k, f"{100 * k * MOST_PULL:g} %") for k in shares))
    near = ((0.25, "free"), (0.75, f"within {contact_mm:.1f} mm: it touches"))
    return Scale(title, near, two=True)


def mark_text(value: float | str, unit: str, last: bool) -> str:
    """What stands under a mark of the scale; the last length means that or more."""
    if isinstance(value, str):
        return value
    return format_length(value, unit) + (" +" if last else "")
