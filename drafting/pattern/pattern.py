"""A pattern: all panels, seams and ties of one garment, with the rule behind every number."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from .panel import Panel
from .seam import Seam, Tie


@dataclass(frozen=True)
class Rule:
    """One drafted number and how it came about, e.g. "quarter of hip girth 286 mm = 71.5 mm, up to 75 mm"."""

    name: str
    mm: float
    reason: str


@dataclass(frozen=True)
class Piece:
    """One piece of cloth as it is sewn: a panel and the side it is for.

    `side` is "left" (as drawn), "right" (mirrored) or "one" (none is mirrored). Named "back.left", or "sash" for "one";
    where there are more of the same side, "strap.left.2".
    """

    panel: Panel
    side: str
    copy: int = 1

    @property
    def name(self) -> str:
        """The panel's name with its side."""
        side = "" if self.side == "one" else self.side
        return ".".join(part for part in (self.panel.name, side, f"{self.copy}" if self.copy > 1 else "") if part)


@dataclass(frozen=True)
class Pattern:
    """What is cut and what is sewn to what. Ties hold the wrap closed; the upper one is named first.

    Attributes
    ----------
    measures : mapping of str to float
        The body measures used, mm.
    options : mapping of str to object
        The options used, lengths in mm.
    """

    garment: str
    panels: tuple[Panel, ...]
    seams: tuple[Seam, ...]
    ties: tuple[Tie, ...]
    rules: tuple[Rule, ...]
    measures: Mapping[str, float]
    options: Mapping[str, object]

    def panel(self, name: str) -> Panel:
        """The panel of that name; KeyError if there is none."""
        for panel in self.panels:
            if panel.name == name:
                return panel
        raise KeyError(f"the {self.garment} has no panel {name!r}")

    def pieces(self) -> Iterator[Piece]:
        """All pieces as cut: left and right of every panel cut twice."""
        for panel in self.panels:
            for copy in range(1, panel.cut // len(panel.sides) + 1):
                yield from (Piece(panel, side, copy) for side in panel.sides)
