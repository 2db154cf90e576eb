"""How far the fronts lie over each other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..cloth.mesh import ClothMesh
from .girth import front_edges, trunk_slice

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Lap:
    """The fronts at one level, mm.

    Attributes
    ----------
    overlap_mm : float
        Width of cloth that lies double, along the cloth; below 0 the fronts gape by so much.
    drafted_mm : float
        The same as drafted; not above 0 where the neck is meant to be open.
    """

    level: str
    overlap_mm: float
    drafted_mm: float

    @property
    def centres_apart_mm(self) -> float:
        """How far the centre lines of the fronts miss each other: the wrap lies so much wider than drafted.

        Negative where it is wrapped tighter.
        """
        return self.drafted_mm - self.overlap_mm

    @property
    def gapes(self) -> bool:
        """True where the fronts ought to meet and do not."""
        return self.drafted_mm > 0 > self.overlap_mm


def read_lap(cloth: ClothMesh, level: str, level_mm: float) -> Lap | None:
    """Overlap of the two fronts at a height above the soles; None where the garment has no front edges."""
    edges = front_edges(trunk_slice(cloth, level_mm))
    if not edges:
        return None
    left, right = edges
    drafted = sum(edge.band - edge.short_of_centre for edge in edges)
    over = min(_reach(left.line, right.line[0]), _reach(right.line, left.line[0]))
    gape = float(np.linalg.norm(left.line[0] - right.line[0]))
    return Lap(level, over if over > 0 else -gape, drafted)


def _reach(line: FloatArray, point: FloatArray) -> float:
    """How far along a line, from its first point, the place nearest to a point lies."""
    run = np.diff(line, axis=0)
    length = np.linalg.norm(run, axis=1)
    square = np.maximum(length**2, np.finfo(float).tiny)
    share = np.clip(np.einsum("ij,ij->i", point - line[:-1], run) / square, 0.0, 1.0)
    best = int(np.linalg.norm(line[:-1] + share[:, None] * run - point, axis=1).argmin())
    return float(length[:best].sum() + share[best] * length[best])
