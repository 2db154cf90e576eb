"""A garment of the maker's own drawing, made ready to be worn: its panels placed on the body, and how they lie."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cached_property

import numpy as np

from ..errors import DraftError, MeasureError
from ..pattern.check import check
from ..pattern.panel import FloatArray, Panel, trace
from ..pattern.pattern import Pattern, Piece, Rule
from ..pattern.seam import Seam, Tie
from ..words import plain
from .drawn_lay import Flat
from .drawn_place import Place, faces, place_band, place_sash, place_sleeve, place_trunk
from .garment import Option
from .robe_ease import wanted_ease
from .wear import NOT_WORN, WHOLE, Wear

SHOWN = ("height", "shoulder_height", "waist_height")  # measures that a drawing of the panels has use for
MOST_WORN = 2  # copies of a panel that can be worn: the left and the right one


class Drawn:
    """Implements `Garment` for one drawing.

    Parameters
    ----------
    pattern : Pattern
        As it was drawn: each panel's frame begins at the corner of its box.
    measures : mapping of str to float
        The doll's, mm.

    Raises
    ------
    DraftError, MeasureError
        Where neither the drawing nor its plan tells how a panel is worn; names it and what to write.
    """

    options: tuple[Option, ...] = ()

    def __init__(self, pattern: Pattern, wear: Wear, measures: Mapping[str, float]) -> None:
        self.name = pattern.garment
        self._drawn, self._wear, self._measures = pattern, wear, measures

    @cached_property
    def pattern(self) -> Pattern:
        """What is worn, every panel in its worn frame."""
        kept = _kept(self._drawn, self._wear)
        face = faces(kept, self._wear)
        places = place_trunk(kept, self._wear, self._drop(self._wear.hangs))
        panels = []
        for panel in kept.panels:
            moved, places[panel.name] = self._worn(kept, panel, places, face)
            panels.append(moved)
        sashes = [panel.name for panel in panels if panel.role == "sash"]
        ends = tuple(Seam((name, "end_left"), (name, "end_right"), (("one", "one"),)) for name in sashes)
        worn = replace(
            kept,
            panels=tuple(panels),
            seams=(*kept.seams, *ends),
            ties=tuple(Tie(_moved(tie.a, places), _moved(tie.b, places)) for tie in kept.ties),
            rules=(*kept.rules, *_reasons(panels, places)),
            measures={name: self._measures[name] for name in SHOWN if name in self._measures},
            options={**kept.options, "fronts": self._wear.fronts},
        )
        return check(worn)

    def draft(self, measures: Mapping[str, float], options: Mapping[str, object]) -> Pattern:
        """The pattern; there is nothing to choose."""
        return self.pattern

    def lay(self, pattern: Pattern, piece: Piece, flat: FloatArray) -> FloatArray:
        """Where a piece lies when the garment is folded flat; see `Garment.lay`."""
        sashed = any(panel.role == "sash" for panel in pattern.panels)
        lying = Flat(pattern, self._wear.fronts.split()[0], self._drop("waist") if sashed else 0.0, self._faces)
        return lying.lay(piece, np.asarray(flat, dtype=float))

    def wanted(self, level: str, body_girth_mm: float, scale: float, thickness_mm: float) -> tuple[float, float]:
        """Lowest and highest good ease: what a robe wants, since a drawing does not say; see `Garment.wanted`."""
        return wanted_ease(level, body_girth_mm, scale, thickness_mm)

    @cached_property
    def _faces(self) -> dict[str, str]:
        return faces(_kept(self._drawn, self._wear), self._wear)

    def _drop(self, line: str | float) -> float:
        """How far a line on the body lies below the shoulder line, mm."""
        if not isinstance(line, str):
            return line
        if line == "shoulder":
            return 0.0
        for name in ("shoulder_height", f"{line}_height"):
            if name not in self._measures:
                raise MeasureError(
                    f"The {self.name} hangs from the {line}, and the doll's {plain(name)} is missing.", about=[name]
                )
        return self._measures["shoulder_height"] - self._measures[f"{line}_height"]

    def _worn(self, kept: Pattern, panel: Panel, places: dict[str, Place], face: dict[str, str]) -> tuple[Panel, Place]:
        """A panel in its worn frame, with the part of it that is worn."""
        said = self._wear.of(panel.name).worn
        if isinstance(said, float) and panel.role != "sash":
            called = self._wear.called(panel.name)
            raise DraftError(f'{called}: only a sash is worn in part; write worn = "{WHOLE}" or role = "sash".')
        if panel.role == "trunk":
            return places[panel.name].of(panel), places[panel.name]
        if panel.role == "sleeve":
            place = place_sleeve(kept, panel, face, self._wear)
            return place.of(panel), place
        if panel.role == "band":
            place, first, count = place_band(kept, panel, self._wear)
            moved = place.of(panel)
            return (moved if said == WHOLE else _folded(moved, first, count)), place
        place = place_sash(panel)
        return _tied(place.of(panel), said, self._wear.called(panel.name)), place


def _kept(pattern: Pattern, wear: Wear) -> Pattern:
    """The pattern without what is not worn."""
    gone = {panel.name for panel in pattern.panels if wear.of(panel.name).worn == NOT_WORN}
    panels = tuple(panel for panel in pattern.panels if panel.name not in gone)
    for panel in panels:
        if panel.cut > MOST_WORN:
            raise DraftError(
                f"{wear.called(panel.name)} is cut {panel.cut} times, and only a left and a right one can be worn. "
                f'Draw the others under names of their own, or write worn = "{NOT_WORN}" in [panels.{panel.name}].'
            )
    return replace(
        pattern,
        panels=panels,
        seams=tuple(seam for seam in pattern.seams if not gone & {seam.a[0], seam.b[0]}),
        ties=tuple(tie for tie in pattern.ties if not gone & {end[0].split(".")[0] for end in (tie.a, tie.b)}),
    )


def _folded(band: Panel, first: int, count: int) -> Panel:
    """A band of which the half at its sewn edges is worn, folded along its middle."""
    edges = [band.edges[(first + k) % len(band.edges)] for k in range(len(band.edges))]
    sewn, after, before = edges[:count], edges[count % len(edges)], edges[-1]
    high = float(band.outline[:, 1].max())
    (x0, _), (x1, _) = sewn[0].points[0], sewn[-1].points[-1]
    corners = np.array([[x1, 0.0], [x1, high / 2], [x0, high / 2]])
    names = (after.name, "fold", before.name if before is not after else f"{before.name}_2")
    worn = trace(*((edge.name, edge.points[:-1]) for edge in sewn), *zip(names, corners, strict=True))
    return replace(band, worn=worn)


def _tied(sash: Panel, worn: str | float, called: str) -> Panel:
    """A sash of which so much of its middle goes round the body."""
    if not isinstance(worn, float):
        raise DraftError(
            f'{called}: how much of it goes round the body, without its tails? Write worn = "180mm", say, in '
            f"[panels.{sash.name}]."
        )
    low, high = sash.outline.min(axis=0), sash.outline.max(axis=0)
    if worn > high[0] - low[0]:
        raise DraftError(f"{called} is {high[0] - low[0]:.1f} mm long, and {worn:.1f} mm of it are to be worn.")
    x, y = worn / 2, high[1]
    names = ("lower", "end_left", "upper", "end_right")
    return replace(sash, worn=trace(*zip(names, ([-x, -y], [x, -y], [x, y], [-x, y]), strict=True)))


def _moved(end: tuple[str, float, float], places: Mapping[str, Place]) -> tuple[str, float, float]:
    """A tie's end in its panel's worn frame."""
    name, x, y = end
    at = places[name.split(".")[0]].worn(np.array([x, y]))
    return name, float(at[0]), float(at[1])


def _reasons(panels: list[Panel], places: Mapping[str, Place]) -> Iterator[Rule]:
    """Where every trunk panel was put, and by what."""
    for panel in panels:
        if panel.role == "trunk":
            top = 0.0 - float(panel.outline[:, 1].max())
            yield Rule(f"{panel.name}_top", top, f"below the shoulder line, placed by {places[panel.name].reason}")
