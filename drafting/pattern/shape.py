"""The shape that a panel has on the doll."""

from __future__ import annotations

import numpy as np

from .panel import FloatArray, Panel


def farthest(points: FloatArray, outline: FloatArray) -> float:
    """How far the farthest of some points, (k, 2), lies from a closed outline, mm."""
    along = np.roll(outline, -1, axis=0) - outline
    to = points[:, None] - outline
    share = np.clip((to * along).sum(axis=2) / np.maximum((along**2).sum(axis=1), 1e-12), 0.0, 1.0)
    return float(np.linalg.norm(to - share[..., None] * along, axis=2).min(axis=1).max())


def mirrored(points: FloatArray, axis: int, level: float) -> FloatArray:
    """(k, 2) float: points on the other side of the line x = level (axis 0) or y = level (axis 1)."""
    other = points.copy()
    other[:, axis] = 2 * level - other[:, axis]
    return other


def draped_outline(panel: Panel) -> FloatArray:
    """(n, 2) float: the outline of the part that is draped, mm, counter-clockwise, without a repeated last point."""
    return np.concatenate([edge.points[:-1] for edge in panel.worn or panel.edges])
