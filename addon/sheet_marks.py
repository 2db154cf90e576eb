"""Grain line and notches of a panel as it lies in the 3D view: the same that paper prints, as flat shapes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from drafting.paper.allowance import allowances_of
from drafting.paper.ink import arrow_head
from drafting.paper.notches import notches_of
from drafting.paper.template import grain_line, nick
from drafting.pattern.panel import Panel
from drafting.pattern.pattern import Pattern

from .lettering import LETTER_WIDTH
from .table import FloatArray

GRAIN_WIDE, HEAD = 0.7, 5.0  # mm on a doll of 420 mm: the line, and its arrow heads
FREE = 1.5  # of its letters' height: so far the grain line keeps from the panel's name


def shapes_of(panel: Panel, pattern: Pattern, letters_mm: float, high_mm: float, size: float) -> list[FloatArray]:
    """(3, 2) and (4, 2) float: the convex shapes that are filled, in the panel's frame, mm.

    Parameters
    ----------
    letters_mm, high_mm : float
        Letters of the name in the middle, times their height, and their height: the grain line is clear of it.
    size : float
        How large lines are, 1 on a doll of 420 mm.
    """
    low, high = panel.outline.min(axis=0), panel.outline.max(axis=0)
    half = 0.5 * np.array([LETTER_WIDTH * letters_mm + FREE * high_mm, (1.0 + FREE) * high_mm])
    middle = 0.5 * (low + high)
    grain = beside(grain_line(panel, pattern), np.array([middle - half, middle + half]))
    way = grain[1] - grain[0]
    head = min(HEAD * size, float(np.linalg.norm(way)) / 4)
    corners, _ = ribbons([(grain[0], grain[1])], GRAIN_WIDE * size)
    heads = [arrow_head(grain[1], way, head).points, arrow_head(grain[0], -way, head).points]
    return [corners, *heads, *map(nick, notches_of(pattern, panel, allowances_of(pattern, panel)))]


def beside(line: FloatArray, box: FloatArray) -> FloatArray:
    """(2, 2) float: the longer part of a straight line outside a box; all of it where it misses the box or lies within.

    Cut by the two strips whose common part the box is, as `placing.crosses` does.
    """
    along = line[1] - line[0]
    with np.errstate(divide="ignore", invalid="ignore"):
        ends = (box - line[0]) / along
    level = along == 0.0
    between = (line[0] >= box[0]) & (line[0] <= box[1])
    enter = float(np.where(level, np.where(between, -np.inf, np.inf), ends.min(axis=0)).max())
    leave = float(np.where(level, np.inf, ends.max(axis=0)).min())
    if enter >= leave or enter >= 1.0 or leave <= 0.0 or (enter <= 0.0 and leave >= 1.0):
        return line
    if enter >= 1.0 - leave:
        return np.array([line[0], line[0] + enter * along])
    return np.array([line[0] + leave * along, line[1]])


def joined(shapes: Sequence[FloatArray]) -> tuple[FloatArray, NDArray[np.int64]]:
    """(n, 2) float, (m, 3) int: convex shapes as one mesh of triangles."""
    starts = np.cumsum([0, *(len(shape) for shape in shapes)])
    faces = [
        [start, start + k, start + k + 1]
        for start, shape in zip(starts, shapes, strict=False)
        for k in range(1, len(shape) - 1)
    ]
    return np.concatenate(shapes), np.array(faces, dtype=np.int64)


def ribbons(runs: Sequence[tuple[FloatArray, FloatArray]], wide: float) -> tuple[FloatArray, NDArray[np.int64]]:
    """(4k, 2) float corners and (k, 4) int faces of straight bands, each end longer by half a width."""
    start, end = (np.array([run[side] for run in runs]) for side in (0, 1))
    along = (end - start) / np.maximum(np.linalg.norm(end - start, axis=1, keepdims=True), 1e-9) * wide / 2
    across = np.column_stack([-along[:, 1], along[:, 0]])
    corners = [start - along - across, end + along - across, end + along + across, start - along + across]
    return np.stack(corners, axis=1).reshape(-1, 2), np.arange(4 * len(runs)).reshape(-1, 4)
