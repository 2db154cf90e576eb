"""The doll's frame (z up, facing -y) and that of files whose y axis is up (the doll then faces +z)."""

from __future__ import annotations

import numpy as np

from .field import FloatArray


def y_up(points: FloatArray) -> FloatArray:
    """Points (n, 3) of the doll's frame, as a file with y up has them."""
    return np.stack([points[:, 0], points[:, 2], -points[:, 1]], axis=1)


def z_up(points: FloatArray) -> FloatArray:
    """The way back from `y_up`."""
    return np.stack([points[:, 0], -points[:, 2], points[:, 1]], axis=1)
