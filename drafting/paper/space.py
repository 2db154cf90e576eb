"""Where a block of words has room."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..pattern.panel import FloatArray

STEPS = 40  # places tried each way
AT_ONCE = 100  # places looked at together, the nearest first
SCALES = (1.0, 0.85, 0.7, 0.55, 0.45, 0.35)
CLEAR_MM = 1.5


def room_for(
    outline: FloatArray, lines: Sequence[FloatArray], size: FloatArray, near: FloatArray, *, upright: bool = False
) -> tuple[FloatArray, float, float]:
    """The best place for a block of words within an outline, clear of lines.

    Parameters
    ----------
    outline : (n, 2) float
        Closed, mm.
    lines : sequence of (k, 2) float
        Open polylines that must not be written over.
    size : (2,) float
        Width and height of the block, mm.
    near : (2,) float
        Of all places where it fits, the one nearest to this is taken.
    upright : bool
        Level text only; else it may also run upwards.

    Returns
    -------
    centre : (2,) float
    angle : float
        0 or 90 degrees.
    scale : float
        How much smaller the block must be; the smallest of `SCALES` where it fits nowhere.
    """
    low, high = outline.min(axis=0), outline.max(axis=0)
    x, y = (low[axis] + (np.arange(STEPS) + 0.5) / STEPS * (high - low)[axis] for axis in (0, 1))
    centres = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    walls = _legs([np.concatenate([outline, outline[:1]]), *lines])
    centres = centres[_within(outline, centres)]
    centres = centres[np.linalg.norm(centres - near, axis=1).argsort(kind="stable")]
    for scale in SCALES:
        for angle in (0.0,) if upright else (0.0, 90.0):
            half = (size if angle == 0 else size[::-1]) * scale / 2 + CLEAR_MM
            for some in (centres[k : k + AT_ONCE] for k in range(0, len(centres), AT_ONCE)):
                free = some[~_touched(some, half, walls)]
                if len(free):
                    return free[0], angle, scale
    return near, 0.0, SCALES[-1]


def is_clear(box: FloatArray, lines: Sequence[FloatArray]) -> bool:
    """Whether no open polyline enters an upright box, (2, 2): its lower left and its upper right corner."""
    walls = _legs(lines) if lines else np.zeros((0, 2, 2))
    return not _touched(box.mean(axis=0)[None], (box[1] - box[0]) / 2, walls).any()


def _legs(lines: Sequence[FloatArray]) -> FloatArray:
    return np.concatenate([np.stack([line[:-1], line[1:]], axis=1) for line in lines])


def _within(outline: FloatArray, points: FloatArray) -> np.ndarray:
    a, b = outline, np.roll(outline, -1, axis=0)
    x, y = points[:, 0, None], points[:, 1, None]
    rise = np.where(b[:, 1] == a[:, 1], 1.0, b[:, 1] - a[:, 1])
    crosses = ((a[:, 1] > y) != (b[:, 1] > y)) & (x < a[:, 0] + (y - a[:, 1]) / rise * (b[:, 0] - a[:, 0]))
    return crosses.sum(axis=1) % 2 == 1


def _touched(centres: FloatArray, half: FloatArray, walls: FloatArray) -> np.ndarray:
    """Whether any wall enters the box of half sizes `half` round each centre."""
    a = walls[None, :, 0] - centres[:, None]
    way = (walls[:, 1] - walls[:, 0])[None]
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.stack([(-half - a) / way, (half - a) / way])  # where the wall's line enters and leaves each strip
    inside = np.abs(a) < half
    still = way == 0
    enter = np.where(still, np.where(inside, -np.inf, np.inf), t.min(axis=0)).max(axis=2)
    leave = np.where(still, np.where(inside, np.inf, -np.inf), t.max(axis=0)).min(axis=2)
    return ((enter < leave) & (enter < 1) & (leave > 0)).any(axis=1)
