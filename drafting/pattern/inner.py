"""Lines inside a panel: its centre, its fold, and the waist."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from .panel import FloatArray, Panel
from .pattern import Pattern
from .shape import farthest, mirrored

EVEN = 1e-3  # mm: how far two halves that are alike may differ


def inner_lines(panel: Panel, pattern: Pattern) -> Iterator[tuple[str, FloatArray]]:
    """Name ("centre", "fold" or "waist") and (2, 2) float ends of each line, mm, in the panel's frame."""
    outline = panel.outline
    low, high = outline[:, 1].min(), outline[:, 1].max()
    if panel.role == "trunk":
        name = "fold" if on_fold(panel) else "centre"
        yield from ((name, line) for line in inside(outline, 0, 0.0))
        yield from (("waist", line) for line in inside(outline, 1, waist_level(pattern)))
    elif panel.role in ("sleeve", "band"):
        yield from (("fold", line) for line in inside(outline, 1, (low + high) / 2))


def waist_level(pattern: Pattern) -> float:
    """Height of the waist in a trunk panel's frame, mm, negative; not a number where the waist is not known."""
    return pattern.measures.get("waist_height", math.nan) - pattern.measures.get("shoulder_height", math.nan)


def on_fold(panel: Panel) -> bool:
    """A trunk panel cut once whose halves are alike is drawn whole and cut on the fold along its centre line."""
    return panel.cut == 1 and panel.role == "trunk" and farthest(mirrored(panel.outline, 0, 0.0), panel.outline) < EVEN


def inside(outline: FloatArray, axis: int, level: float) -> list[FloatArray]:
    """The parts of the line x = level (axis 0) or y = level (axis 1) that lie within an outline, each (2, 2)."""
    a, b = outline, np.roll(outline, -1, axis=0)
    cut = (a[:, axis] < level) != (b[:, axis] < level)
    share = (level - a[cut, axis]) / (b[cut, axis] - a[cut, axis])
    hits = np.sort(a[cut, 1 - axis] + share * (b[cut, 1 - axis] - a[cut, 1 - axis]))
    on_rim = np.isclose(outline[:, axis].min(), level) or np.isclose(outline[:, axis].max(), level)
    ends = [] if on_rim else [np.array([[level, low], [level, high]]) for low, high in hits.reshape(-1, 2)]
    return [end[:, ::-1] if axis else end for end in ends]


def tie_points(panel: Panel, pattern: Pattern) -> list[FloatArray]:
    """Where ties or snaps are sewn on, each (2,) float, mm, in the panel's frame."""
    ends = {end for tie in pattern.ties for end in (tie.a, tie.b) if end[0].split(".")[0] == panel.name}
    return [np.array(point) for point in sorted({(round(x, 3), round(y, 3)) for _, x, y in ends})]
