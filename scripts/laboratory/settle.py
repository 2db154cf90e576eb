"""Lets a specimen come to rest with the drape's own settings in the drape's own order."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from addon import bridge
from addon.resting import LIGHTER
from addon.solver import ClothRun, Settings
from drafting.cloth.law import bending_setting

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

SCALE = Settings().magnified / 1000.0
DRESSED, RESTED, LONGEST = 40, 80, 400  # frames at which the settings change, as in a drape, and the last
WINDOW = 10  # frames over which stillness is judged
NOWHERE = np.array([[0.0, 0.0, -9e3], [1.0, 0.0, -9e3], [0.0, 1.0, -9e3]])
NO_BODY = (NOWHERE, np.array([[0, 1, 2]]))  # one triangle far from the cloth


@dataclass(frozen=True)
class Specimen:
    """Cloth that is laid out.

    Attributes
    ----------
    flat : (n, 3) float
        As it was cut, mm.
    start : (n, 3) float
        Where it lies at first, mm.
    faces, squares : (m, 3) int, (q, 2) int
        Triangles, and pairs of them that make one square.
    held : (h,) int
        Vertices that stay where they are.
    stitches : (k, 2) int
    body : ((b, 3) float, (f, 3) int)
        What it may touch.
    under : (u,) int
        Vertices of an under-garment's cloth.
    """

    flat: FloatArray
    start: FloatArray
    faces: IntArray
    squares: IntArray
    held: IntArray
    stitches: IntArray
    body: tuple[FloatArray, IntArray] = NO_BODY
    under: IntArray = field(default_factory=lambda: np.zeros(0, dtype=np.int64))


@dataclass(frozen=True)
class Settled:
    """A specimen at rest.

    Attributes
    ----------
    places : (n, 3) float
        Where it came to rest, mm.
    readings : sequence of float
        One a frame.
    ripple_mm : float
        How far its liveliest vertex went in the last frame.
    """

    places: FloatArray
    readings: Sequence[float]
    ripple_mm: float
    frames: int

    @property
    def tremble(self) -> float:
        """Range of the reading over the last frames."""
        return float(np.ptp(self.readings[-WINDOW:]))


def settings_for(bending_mm: float, edge_mm: float) -> Settings:
    """The drape's settings for a cloth of that bending length."""
    plain = Settings()
    return replace(plain, bending=bending_setting(bending_mm * SCALE, edge_mm * SCALE, plain.vertex_mass))


def settle(
    specimen: Specimen,
    settings: Settings,
    read: Callable[[FloatArray], float],
    still: float,
    weight: float = 1.0,
    lowered: int = 1,
) -> Settled:
    """Simulates until a reading changes by less than `still` in ten frames, or the longest time is over.

    Parameters
    ----------
    weight : float
        Share of the earth's pull.
    lowered : int
        The frame at which it has its weight, from none at the first.
    """
    body, skin = specimen.body
    readings: list[float] = []
    places = specimen.start
    with bridge.workroom("laboratory") as room:
        run = ClothRun(
            room,
            bridge.polygons(specimen.faces, specimen.squares),
            [specimen.start, specimen.flat, specimen.flat],
            specimen.stitches,
            skin,
            [(1, body), (2, body)],
            [(1, weight if lowered == 1 else 0.0), (lowered, weight)],
            settings,
            held=specimen.held,
            under=specimen.under,
        )
        while run.frame < LONGEST:
            if run.frame == DRESSED:
                run.tune(settings.at_rest())
            if run.frame == RESTED:
                run.tune(settings.lighter(LIGHTER).at_rest())
            before, places = places, run.step()
            readings.append(read(places))
            if run.frame > RESTED + 2 * WINDOW and np.ptp(readings[-WINDOW:]) < still:
                break
    ripple = float(np.linalg.norm(places - before, axis=1).max())
    return Settled(places, readings, ripple, run.frame)
