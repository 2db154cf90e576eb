"""One level of the body: the girth of body and garment there, and the ease between them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..body.body import SIDES, Body, Measure
from ..cloth.mesh import ClothMesh
from ..garments.garment import Garment
from .girth import Girth, front_edges, trunk_girth, trunk_slice
from .sleeve import sleeve_girth

TRUNK_LEVELS = ("bust", "waist", "hip")
ARM_LEVELS = ("upper_arm", "wrist")
LEVELS = TRUNK_LEVELS + ARM_LEVELS

OPEN_DEG = 90.0  # of the way round: more without cloth than a slit leaves (common practice, no source)

FITS, TIGHT, LOOSE, NOT_REACHED = "fits", "tight", "loose", "not reached"


@dataclass(frozen=True)
class Level:
    """Body and garment at one level, mm.

    Attributes
    ----------
    height_mm : float or None
        Above the soles, where the body's girth was taken.
    garment_girth_mm : float or None
        Along the cloth; None where the garment does not reach. Over both arms the mean.
    tape_mm : float or None
        A taut tape round the outside of the garment.
    sides_mm : tuple of float or None
        Left and right along the cloth, for the arms; empty for the trunk.
    across : str
        What the garment's girth was taken square to: "body", "arm" or "sleeve"; "" where there is none.
    wanted_mm : (low, high)
        The ease that suits.
    beneath_mm : float
        What a garment beneath takes of the girth there.
    """

    name: str
    height_mm: float | None
    body_girth_mm: float
    garment_girth_mm: float | None
    tape_mm: float | None
    sides_mm: tuple[float | None, ...]
    across: str
    wanted_mm: tuple[float, float]
    beneath_mm: float = 0.0

    @property
    def ease_mm(self) -> float | None:
        """Garment less body and what is worn beneath: E = D - BM, equation 9.5 of "Anthropometry, Apparel Sizing and
        Design", ch. 9.
        """
        return None if self.garment_girth_mm is None else self.garment_girth_mm - self.body_girth_mm - self.beneath_mm

    @property
    def verdict(self) -> str:
        """ "fits", "tight", "loose", or "not reached" where the garment has no girth."""
        return verdict_of(self.ease_mm, self.wanted_mm)


def verdict_of(ease_mm: float | None, wanted_mm: tuple[float, float]) -> str:
    """ "fits", "tight", "loose", or "not reached" where there is no ease to judge."""
    if ease_mm is None:
        return NOT_REACHED
    low, high = wanted_mm
    return TIGHT if ease_mm < low else LOOSE if ease_mm > high else FITS


def read_levels(
    cloth: ClothMesh,
    body: Body,
    garment: Garment,
    scale: float,
    thickness_mm: float,
    beneath_mm: Mapping[str, float] | None = None,
) -> tuple[Level, ...]:
    """All levels at which this body was measured.

    Parameters
    ----------
    scale : float
        The doll's height over an adult's.
    beneath_mm : mapping of str to float, optional
        What a garment beneath takes of the girth, by level.
    """
    levels = []
    for name in LEVELS:
        measure = body.measures.get(f"{name}_girth")
        if measure is None or (name in TRUNK_LEVELS and measure.level_mm is None):
            continue
        girths = _girths(cloth, body, name)
        reached = [girth for girth in girths if girth is not None]
        low, high = garment.wanted(name, measure.mm, scale, thickness_mm)
        levels.append(
            Level(
                name=name,
                height_mm=measure.level_mm,
                body_girth_mm=measure.mm,
                garment_girth_mm=_mean([girth.cloth_mm for girth in reached]),
                tape_mm=_mean([girth.tape_mm for girth in reached]),
                sides_mm=tuple(None if girth is None else girth.cloth_mm for girth in girths)
                if name in ARM_LEVELS
                else (),
                across=reached[0].across if reached else "",
                wanted_mm=(float(low), float(high)),
                beneath_mm=(beneath_mm or {}).get(name, 0.0),
            )
        )
    return tuple(levels)


def _girths(cloth: ClothMesh, body: Body, name: str) -> list[Girth | None]:
    if name in ARM_LEVELS:
        return [sleeve_girth(cloth, body, name, side) for side in SIDES]
    measure = body.measures[f"{name}_girth"]
    if measure.level_mm is None or not _goes_round(cloth, measure):
        return [None]
    return [trunk_girth(cloth, measure.level_mm)]


def _goes_round(cloth: ClothMesh, measure: Measure) -> bool:
    """Whether there is cloth on all sides of the body, as there is not where a level just touches a slanting edge.

    Fronts that gape are an opening, however wide.
    """
    if measure.level_mm is None or measure.path is None:
        return True
    at = trunk_slice(cloth, measure.level_mm)
    if front_edges(at) or not len(at.section.face):
        return True
    x, y = (at.section.points.reshape(-1, 3)[:, :2] - measure.path.mean(axis=0)[:2]).T
    angles = np.sort(np.degrees(np.arctan2(y, x)))
    return bool(np.diff(angles, append=angles[0] + 360.0).max() < OPEN_DEG)


def _mean(values: Sequence[float]) -> float | None:
    return sum(values) / len(values) if values else None
