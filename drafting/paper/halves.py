"""Panels that are the same on both sides of a fold, and the half of them that is drawn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..pattern.panel import FloatArray, Panel
from ..pattern.shape import mirrored

EVEN_MM = 1e-3  # how far the two halves may differ


@dataclass(frozen=True)
class Fold:
    """The line on which the cloth is folded: x = level (axis 0) or y = level (axis 1).

    Drawn is the half at larger x, or at smaller y.
    """

    axis: int
    level: float

    @property
    def side(self) -> float:
        """1 where the drawn half has the larger coordinates, else -1."""
        return 1.0 if self.axis == 0 else -1.0

    def keeps(self, point: FloatArray) -> bool:
        """Whether a point lies on the drawn half or on the fold."""
        return bool(self.side * (point[self.axis] - self.level) > -EVEN_MM)


def fold_of(panel: Panel) -> Fold | None:
    """Where a panel can be folded into equal halves, if it can: along its frame's axes or its own middle."""
    low, high = panel.outline.min(axis=0), panel.outline.max(axis=0)
    middle = (low + high) / 2
    for axis, level in ((0, 0.0), (1, 0.0), (1, float(middle[1])), (0, float(middle[0]))):
        if panel.role == "band" and axis == 1:
            continue
        mirror = mirrored(panel.outline, axis, level)
        if abs(middle[axis] - level) < EVEN_MM / 2 and _same(panel.outline, mirror):
            return Fold(axis, level)
    return None


def half(outline: FloatArray, fold: Fold) -> FloatArray:
    """(n, 2) float: the drawn half of a closed outline, open: from the fold round and back to it."""
    kept = clipped(outline, fold)
    on = np.abs(kept[:, fold.axis] - fold.level) < EVEN_MM
    leg = np.flatnonzero(on & np.roll(on, -1))
    return np.roll(kept, -(int(leg[0]) + 1), axis=0) if len(leg) else kept


def clipped(outline: FloatArray, fold: Fold) -> FloatArray:
    """(n, 2) float: the drawn half, closed along the fold, counter-clockwise."""
    off = fold.side * (outline[:, fold.axis] - fold.level)
    points: list[FloatArray] = []
    for i, point in enumerate(outline):
        before = i - 1
        if (off[before] < 0 < off[i]) or (off[i] < 0 < off[before]):
            share = off[before] / (off[before] - off[i])
            points.append(outline[before] + share * (point - outline[before]))
        if off[i] >= 0:
            points.append(point)
    return np.array(points)


def _same(outline: FloatArray, mirror: FloatArray) -> bool:
    """Whether both outlines have the same corners."""
    return bool(np.linalg.norm(outline[:, None] - mirror[None], axis=2).min(axis=1).max() < EVEN_MM)
