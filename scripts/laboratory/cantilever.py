"""The cantilever test: a strip over a table's edge, simulated as the drape simulates cloth."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from addon import bridge
from addon.drape import LIGHTER
from addon.mesher import Sheet, resample, triangulate
from addon.solver import MAGNIFIED, ClothRun, Settings
from drafting.cloth.law import bending_setting

from .elastica import bending_length

FloatArray = NDArray[np.float64]

SCALE = MAGNIFIED / 1000.0
HELD_ROWS = 2  # besides the one at the table's edge
SHORTEST = 4  # edges that hang over, at least
DRESSED, RESTED, LONGEST = 40, 80, 400  # frames at which the settings change, as in a drape, and the last
STILL_DEG = 0.1  # at rest once the chord turns less than this in ten frames
NOWHERE = np.array([[0.0, 0.0, -9e3], [1.0, 0.0, -9e3], [0.0, 1.0, -9e3]])  # a body far from the cloth


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
    """

    sheet: Sheet
    points: FloatArray
    overhang_mm: float
    edge_mm: float

    @property
    def held(self) -> NDArray[np.int64]:
        """(h,) int: vertices on the table."""
        return np.flatnonzero(self.points[:, 0] < 0.6 * self.edge_mm)


@dataclass(frozen=True)
class Hang:
    """How a strip hangs.

    Attributes
    ----------
    tremble_deg : float
        Range of the chord angle over the last ten frames.
    """

    chord_deg: float
    tremble_deg: float
    overhang_mm: float
    frames: int

    @property
    def bending_mm(self) -> float:
        """The bending length that the exact elastica has at this angle, mm."""
        return bending_length(self.chord_deg, self.overhang_mm)


def cut(bending_mm: float, edge_mm: float, *, turn_deg: float = 0.0, columns: int = 5, overhang: float = 2.0) -> Strip:
    """A strip whose overhang is about so many bending lengths, a whole number of edges; turned from the warp."""
    rows = max(SHORTEST, round(overhang * bending_mm / edge_mm))
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
    """Lets a strip hang, with the drape's settings in their order, until it is still."""
    flat = np.column_stack([strip.points, np.zeros(len(strip.points))])
    faces = bridge.polygons(strip.sheet.faces, strip.sheet.squares)
    no_stitches, body = np.zeros((0, 2), dtype=np.int64), np.array([[0, 1, 2]])
    ways = [(1, NOWHERE), (2, NOWHERE)]
    chords: list[float] = []
    with bridge.workroom("cantilever") as room:
        run = ClothRun(room, faces, [flat] * 3, no_stitches, body, ways, [(1, 1.0)], SCALE, settings, held=strip.held)
        while run.frame < LONGEST:
            if run.frame == DRESSED:
                run.tune(settings.at_rest())
            if run.frame == RESTED:
                run.tune(settings.lighter(LIGHTER).at_rest())
            chords.append(_chord(strip, run.step()))
            if run.frame > RESTED + 20 and np.ptp(chords[-10:]) < STILL_DEG:
                break
    return Hang(chords[-1], float(np.ptp(chords[-10:])), strip.overhang_mm, len(chords))


def settings_for(bending_mm: float, edge_mm: float) -> Settings:
    """The drape's settings for a cloth of that bending length."""
    plain = Settings()
    return replace(plain, bending=bending_setting(bending_mm * SCALE, edge_mm * SCALE, plain.vertex_mass))


def _chord(strip: Strip, places: FloatArray) -> float:
    """Degrees below the horizontal of the strip's end, half an edge past its last row, seen from the table's edge."""
    along = strip.points[:, 0]
    last = places[along > along.max() - 0.1 * strip.edge_mm].mean(axis=0)
    inner = np.abs(along - along.max() + strip.edge_mm) < 0.6 * strip.edge_mm
    before = places[inner].mean(axis=0)
    on = (last - before) / np.linalg.norm(last - before)
    tip = last + 0.5 * strip.edge_mm * on
    return float(np.degrees(np.arctan2(-tip[2], tip[0])))
