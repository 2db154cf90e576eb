"""The panels' edges in the 3D view: how long each is, which lies under the mouse, and what it is sewn to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import bpy
import numpy as np

from drafting import words
from drafting.body.body import Body
from drafting.paper.layout_pieces import cut_lines
from drafting.pattern.curve import stations, walk
from drafting.pattern.panel import Panel
from drafting.pattern.partners import partner_of
from drafting.pattern.pattern import Pattern
from drafting.units import format_length

from . import session, sheets
from .lettering import LETTER_WIDTH
from .placing import place_label
from .table import FloatArray

LETTERS = 0.032  # of the doll's height: a length beside its edge
ROOM = 0.6  # of the letters' height, free round a length in all
FAR = 1.5  # heights of a length: one that stands farther off has a line to its edge
NEAR = 14.0  # pixels at a scale of 1: a click that lies farther from every edge is none of an edge

Place = tuple[str, str]  # panel, edge


@dataclass(frozen=True)
class Label:
    """An edge's length beside it.

    Attributes
    ----------
    place : (panel, edge)
    box : (2, 2) float
        Lowest and highest corner where the panels lie, across and up, mm.
    foot : (2,) float
        The middle of its edge there.
    """

    place: Place
    text: str
    box: FloatArray
    foot: FloatArray

    @property
    def leader(self) -> FloatArray | None:
        """(2, 2) float: a line from the edge to a length that stands far off; None where it stands beside it."""
        near = np.clip(self.foot, *self.box)
        high = float(self.box[1, 1] - self.box[0, 1])
        return None if np.linalg.norm(near - self.foot) < FAR * high else np.array([self.foot, near])


def lines(body: Body, pattern: Pattern) -> dict[Place, FloatArray]:
    """(k, 2) float for each edge: where it lies beside the doll, across and up, mm."""
    by = sheets.places(body, pattern)
    return {(panel.name, edge.name): edge.points + by[panel.name] for panel in pattern.panels for edge in panel.edges}


def labels(body: Body, pattern: Pattern, unit: str) -> list[Label]:
    """Every edge's length as a bare number of the maker's unit, outside its panel, on no line and no other length."""
    by, cut, letters = sheets.places(body, pattern), cut_lines(pattern), LETTERS * body.height_mm
    outlines = [outline + by[name] for name, outline in cut.items()]
    pieces = np.concatenate([np.stack([one, np.roll(one, -1, axis=0)], axis=1) for one in outlines])
    within = np.array([[-np.inf, -np.inf], [np.inf, np.inf]])
    made: list[Label] = []
    for panel in pattern.panels:
        for edge in panel.edges:
            text = format_length(edge.length, unit).removesuffix(f" {unit}")
            size = letters * np.array([LETTER_WIDTH * len(text) + ROOM, 1.0 + ROOM])
            at, way = walk(edge.points, [stations(edge.points)[-1] / 2])
            out = np.array([way[0, 1], -way[0, 0]])
            end = _on_cut(at[0], out, cut[panel.name], panel) + by[panel.name]
            box = place_label(size, end, out, pieces, [label.box for label in made], within)
            made.append(Label((panel.name, edge.name), text, box, at[0] + by[panel.name]))
    return made


def _on_cut(at: FloatArray, out: FloatArray, cut: FloatArray, panel: Panel) -> FloatArray:
    """Where a ray from the sew line leaves the cloth, mm."""
    start, along = cut, np.roll(cut, -1, axis=0) - cut
    across = out[0] * along[:, 1] - out[1] * along[:, 0]
    safe = np.where(across == 0.0, np.inf, across)
    off = start - at
    reach = (off[:, 0] * along[:, 1] - off[:, 1] * along[:, 0]) / safe
    share = (off[:, 0] * out[1] - off[:, 1] * out[0]) / safe
    met = reach[(across != 0.0) & (share >= 0.0) & (share <= 1.0) & (reach > 0.0)]
    most = float(np.ptp(panel.outline, axis=0).max())
    return at + out * (float(met.min()) if len(met) and met.min() < most else 0.0)


def nearest_edge(drawn: Mapping[Place, FloatArray], point: FloatArray, most: float) -> Place | None:
    """Which polyline is nearest to a point, and no farther than `most`; None where none is.

    Parameters
    ----------
    drawn : mapping of (k, 2) float
    point : (2,) float
    """
    found = min(drawn, key=lambda place: distance(drawn[place], point), default=None)
    return None if found is None or distance(drawn[found], point) > most else found


def distance(line: FloatArray, point: FloatArray) -> float:
    """From a point to a polyline."""
    start, along = line[:-1], np.diff(line, axis=0)
    square = np.maximum((along**2).sum(axis=1), 1e-12)
    share = np.clip(((point - start) * along).sum(axis=1) / square, 0.0, 1.0)
    return float(np.linalg.norm(start + share[:, None] * along - point, axis=1).min())


def told(pattern: Pattern, place: Place, unit: str) -> list[str]:
    """The card's lines: the edge, what it is sewn to, and how long each is."""
    partners = partner_of(pattern, *place)
    if not partners:
        return [_named(pattern, place, unit), "is sewn to nothing"]
    own = "its mirrored copy: " if partners == (place,) else ""
    return [_named(pattern, place, unit), *(f"is sewn to {own}{_named(pattern, one, unit)}" for one in partners)]


def _named(pattern: Pattern, place: Place, unit: str) -> str:
    panel, edge = place
    return f"{words.plain(panel)}, {words.edge(edge)}: {format_length(pattern.panel(panel).edge(edge).length, unit)}"


# What is shown in the view

_shown: dict[str, Place | None] = {}


def start() -> None:
    """From now on a click in the view picks an edge."""
    _shown["edge"] = None


def stop() -> None:
    """No more."""
    _shown.clear()


def going() -> bool:
    """Whether clicks pick edges."""
    return bool(_shown)


def show(place: Place | None) -> None:
    """Light this edge and its partners."""
    _shown["edge"] = place


def shown(scene: bpy.types.Scene) -> Place | None:
    """The edge that is lit; None where none is, or the draft has no such edge any more."""
    place, pattern = _shown.get("edge"), session.get(scene, "pattern")
    known = {(panel.name, edge.name) for panel in pattern.panels for edge in panel.edges} if pattern else set()
    return place if place in known else None


def lit(pattern: Pattern, place: Place, drawn: Mapping[Place, FloatArray]) -> Sequence[FloatArray]:
    """The lines of an edge and of its partners, as far as they are drawn."""
    return [drawn[one] for one in dict.fromkeys((place, *partner_of(pattern, *place))) if one in drawn]
