"""What a maker says about how a garment of her own drawing is worn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

FRONTS = ("left over right", "right over left")
LINES = ("shoulder", "bust", "waist", "hip")
CENTRES = ("left", "middle")
FACES = ("front", "back")
FOLDED, WHOLE, NOT_WORN = "folded", "whole", "no"


@dataclass(frozen=True)
class PanelWear:
    """How one panel is worn; empty or None where its seams and its shape are to tell.

    Attributes
    ----------
    lies : {"front", "back", ""}
        Which face of the body it lies on.
    centre : {"left", "middle", ""} or float
        Where its centre line is: along its left side, in its middle, or so many mm from its left.
    top : float or None
        How far its top lies below the line that the garment hangs from, mm.
    worn : {"folded", "whole", "no", ""} or float
        How much of it is draped: half of it, folded lengthwise (a band, unless it is said); all; nothing (a lining, a
        pocket); or so many mm of its length, whose ends meet (a sash).
    """

    lies: str = ""
    centre: str | float = ""
    top: float | None = None
    worn: str | float = ""


@dataclass(frozen=True)
class Wear:
    """How a garment is worn.

    Attributes
    ----------
    hangs : {"shoulder", "bust", "waist", "hip"} or float
        The line on the body that its highest point lies on, or how many mm below the shoulder line that is.
    fronts : {"left over right", "right over left"}
        Which half of a pair that laps lies uppermost.
    places : mapping of str to str
        Where each panel is drawn, in words.
    """

    hangs: str | float = "shoulder"
    fronts: str = FRONTS[0]
    panels: Mapping[str, PanelWear] = field(default_factory=dict)
    places: Mapping[str, str] = field(default_factory=dict)

    def called(self, panel: str) -> str:
        """A panel's name with its place, for a message about it."""
        return f"The {panel} at {self.places[panel]}" if panel in self.places else f"The {panel}"

    def of(self, panel: str) -> PanelWear:
        """What is said about a panel."""
        return self.panels.get(panel, PanelWear())
