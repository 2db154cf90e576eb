"""The shape that a panel has on the doll."""

from __future__ import annotations

import numpy as np

from .panel import FloatArray, Panel


def draped_outline(panel: Panel) -> FloatArray:
    """(n, 2) float: the outline of the part that is draped, mm, counter-clockwise, without a repeated last point."""
    return np.concatenate([edge.points[:-1] for edge in panel.worn or panel.edges])
