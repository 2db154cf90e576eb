"""A drawn garment folded flat on a table, fronts up: the trunk as it is worn, the rest along what it is sewn to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from ..pattern.curve import stations, walk
from ..pattern.panel import Edge, FloatArray, Panel
from ..pattern.pattern import Pattern, Piece
from ..pattern.shape import draped_outline
from .drawn_place import armhole
from .sash import held_aside, lay_sash

SIGN = {"front": 1.0, "back": -1.0}
LAP = 1e-3  # mm past the centre line from which cloth laps
JOINT = 1e-3  # mm round the joint of two of a band's edges that belong to both: more than a file's rounding
SLIM = 0.7  # of a hollow curve's radius: so far a band that is sewn to it is laid, else it would cross itself


@dataclass(frozen=True)
class Flat:
    """A garment on the table.

    Attributes
    ----------
    pattern : Pattern
        All panels in their worn frames.
    upper : {"left", "right"}
        The half of a pair that laps which lies uppermost.
    waist_drop : float
        Where a sash lies, mm below the shoulder line.
    faces : mapping of str to {"front", "back"}
        Of every trunk panel.
    """

    pattern: Pattern
    upper: str
    waist_drop: float
    faces: Mapping[str, str]

    def lay(self, piece: Piece, flat: FloatArray) -> FloatArray:
        """(n, 3) float: x, height and layer of a piece's points; see `Garment.lay`."""
        role = piece.panel.role
        if role == "sash":
            return lay_sash(flat, self._half_width(), self.waist_drop)
        if role == "band":
            return self._lay_band(piece, flat)
        laid = self._lay_sleeve(piece.panel, flat) if role == "sleeve" else self._lay_trunk(piece, flat)
        return laid * [-1, 1, 1] if piece.side == "right" else laid

    def _lay_trunk(self, piece: Piece, flat: FloatArray) -> FloatArray:
        face = self.faces[piece.panel.name]
        above = piece.side == self.upper and face in self._lapped()
        return np.column_stack([flat, np.full(len(flat), SIGN[face] * (2.0 if above else 1.0))])

    def _lay_sleeve(self, sleeve: Panel, flat: FloatArray) -> FloatArray:
        """Folded along y = 0, from the shoulder outwards; its front half with the front, the other with the back."""
        x, y = flat[:, 0], flat[:, 1]
        shoulder = self._shoulder(sleeve)
        across = shoulder[0] + x
        for sash in (panel for panel in self.pattern.panels if panel.role == "sash"):
            sash_top = self.waist_drop - float(draped_outline(sash)[:, 1].max()) + shoulder[1]
            across = across + held_aside(np.abs(y), self._armhole(sleeve), sash_top, self._half_width())
        return np.column_stack([across, shoulder[1] - np.abs(y), np.where(y <= 0, 1.0, -1.0)])

    def _armhole(self, sleeve: Panel) -> float:
        """How far below its fold a sleeve's armhole reaches."""
        sewn = armhole(self.pattern, sleeve.name, dict(self.faces))
        return max(float(np.abs(sleeve.edge(name).points[:, 1]).max()) for name in sewn)

    def _shoulder(self, sleeve: Panel) -> FloatArray:
        """(2,) float: where a sleeve's fold begins, the end of the front's armhole."""
        sewn = armhole(self.pattern, sleeve.name, dict(self.faces))
        origin = np.zeros(2)
        for seam in self.pattern.seams:
            for own, other in ((seam.a, seam.b), (seam.b, seam.a)):
                if own[0] == sleeve.name and sewn.get(own[1]) == "front":
                    here = sleeve.edge(own[1]).points[[0, -1]]
                    there = self.pattern.panel(other[0]).edge(other[1]).points[[0, -1]]
                    there = there[::-1] if seam.turned else there
                    nearest = int(np.linalg.norm(here - origin, axis=1).argmin())
                    if np.linalg.norm(here[nearest] - origin) < JOINT:
                        return np.asarray(there[nearest])
        raise AssertionError(sleeve.name)  # `place_sleeve` has found it

    def _lay_band(self, piece: Piece, flat: FloatArray) -> FloatArray:
        """Bent along what it is sewn to, outside of it; where two edges meet what lies behind has the joint."""
        x, up = flat[:, 0], flat[:, 1]
        laid, wide = np.zeros((len(flat), 3)), float(draped_outline(piece.panel)[:, 1].max())
        parts = sorted(self._sewn(piece), key=lambda part: part[0].points[0, 0])
        last = len(parts) - 1
        for front_first in (True, False):
            for k, (own, other, edge, backwards) in enumerate(parts):
                begin = -np.inf if k == 0 else own.points[0, 0] - JOINT
                end = np.inf if k == last else own.points[-1, 0] + JOINT
                mine = (x >= begin) & (x <= end)
                if mine.any():
                    along = (x[mine] - own.points[0, 0]) * edge.length / own.length
                    along = edge.length - along if backwards else along
                    places, ways = walk(edge.points, along)
                    out = np.column_stack([ways[:, 1], -ways[:, 0]]) * _slim(edge, wide)
                    part = self.lay(other, places + up[mine, None] * out)
                    if (part[:, 2].mean() > 0) == front_first:
                        laid[mine] = part
        return laid

    def _sewn(self, piece: Piece) -> Iterator[tuple[Edge, Piece, Edge, bool]]:
        """A band's sewn edges, each with the piece and the edge that it is sewn to, and whether that runs backwards."""
        for seam in self.pattern.seams:
            for k, (own, other) in enumerate(((seam.a, seam.b), (seam.b, seam.a))):
                if own[0] != piece.panel.name or other[0] == own[0]:
                    continue
                for pair in seam.pairs:
                    if pair[k] == piece.side:
                        partner = self.pattern.panel(other[0])
                        yield (
                            piece.panel.edge(own[1]),
                            Piece(partner, pair[1 - k]),
                            partner.edge(other[1]),
                            seam.turned,
                        )

    def _lapped(self) -> set[str]:
        """The faces on which the halves of a pair lap over the centre line."""
        return {
            face
            for name, face in self.faces.items()
            if (panel := self.pattern.panel(name)).cut == 2 and panel.outline[:, 0].min() < -LAP
        }

    def _half_width(self) -> float:
        return max(float(np.abs(panel.outline[:, 0]).max()) for panel in self.pattern.panels if panel.role == "trunk")


def _slim(edge: Edge, wide: float) -> float:
    """Share of a band's width that is laid beside a hollow curve, whose radius is taken from its ends and middle."""
    begin, end = edge.points[0], edge.points[-1]
    chord = end - begin
    length = float(np.linalg.norm(chord))
    middle = walk(edge.points, [stations(edge.points)[-1] / 2])[0][0] - begin
    rise = float(chord[0] * middle[1] - chord[1] * middle[0]) / length if length else 0.0
    if rise <= 0:  # straight, or bulging towards the band
        return 1.0
    radius = (length**2 / 4 + rise**2) / (2 * rise)
    return min(1.0, SLIM * radius / wide)
