"""The cantilever test: a strip over a table's edge, simulated as the drape simulates cloth."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from addon.mesher import Sheet, resample, triangulate
from addon.solver import Settings

from .elastica import bending_length
from .settle import Settled, Specimen, settle

FloatArray = NDArray[np.float64]

HELD_ROWS = 2  # besides the one at the table's edge
SHORTEST = 4  # edges that hang over, at least
STILL_DEG = 0.1  # at rest once the chord turns less than this in ten frames


@dataclass(frozen=True)
class Strip:
    """A strip as it is cut and meshed.

    The solver's vertices stand for the cloth half an edge round them, and its hinges for the bend half an edge on both
    sides. So the last row that is held lies half an edge past the table's edge, and the last row of all half an edge
    before the strip's end.

    Attributes
    ----------
    sheet : Sheet
    points : (n, 2) float
        x from the table's edge, mm; y across.
    overhang_mm, edge_mm : float
    under : bool
        It is of an under-garment's cloth.
    """

    sheet: Sheet
    points: FloatArray
    overhang_mm: float
    edge_mm: float
    under: bool = False

    @property
    def specimen(self) -> Specimen:
        """Laid on the table."""
        flat = np.column_stack([self.points, np.zeros(len(self.points))])
        held = np.flatnonzero(self.points[:, 0] < 0.6 * self.edge_mm)
        none = np.zeros((0, 2), dtype=np.int64)
        under = np.arange(len(flat) if self.under else 0)
        return Specimen(flat, flat, self.sheet.faces, self.sheet.squares, held, none, under=under)

    def chord(self, places: FloatArray) -> float:
        """Degrees below the horizontal of the strip's end, seen from the table's edge."""
        along = self.points[:, 0]
        last = places[along > along.max() - 0.1 * self.edge_mm].mean(axis=0)
        before = places[np.abs(along - along.max() + self.edge_mm) < 0.6 * self.edge_mm].mean(axis=0)
        end = last + 0.5 * self.edge_mm * (last - before) / np.linalg.norm(last - before)
        return float(np.degrees(np.arctan2(-end[2], end[0])))


@dataclass(frozen=True)
class Hang:
    """How a strip hangs.

    Attributes
    ----------
    tremble_deg : float
        Range of the chord angle over the last frames.
    ripple_mm : float
        How far its liveliest vertex went in the last frame.
    """

    chord_deg: float
    tremble_deg: float
    ripple_mm: float
    overhang_mm: float
    frames: int

    @property
    def bending_mm(self) -> float:
        """The bending length that the exact elastica has at this angle, mm."""
        return bending_length(self.chord_deg, self.overhang_mm)


def cut(bending_mm: float, edge_mm: float, *, turn_deg: float = 0.0, columns: int = 10) -> Strip:
    """A strip whose overhang is about two bending lengths, a whole number of edges; turned from the warp."""
    rows = max(SHORTEST, round(2.0 * bending_mm / edge_mm))
    left, right = (0.5 - HELD_ROWS) * edge_mm, (rows - 0.5) * edge_mm
    corners = np.array([[left, 0], [right, 0], [right, columns * edge_mm], [left, columns * edge_mm], [left, 0]])
    sides = [
        resample(np.array(side), round(float(np.linalg.norm(side[1] - side[0])) / edge_mm))[:-1]
        for side in pairwise(corners)
    ]
    cosine, sine = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    turn = np.array([[cosine, -sine], [sine, cosine]])
    sheet = triangulate(np.concatenate(sides) @ turn.T, edge_mm)
    return Strip(sheet, sheet.points @ turn, rows * edge_mm, edge_mm)


def hang(strip: Strip, settings: Settings) -> Hang:
    """Lets a strip hang until it is still."""
    settled: Settled = settle(strip.specimen, settings, strip.chord, STILL_DEG)
    return Hang(settled.readings[-1], settled.tremble, settled.ripple_mm, strip.overhang_mm, settled.frames)
