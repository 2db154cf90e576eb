"""What is laid on the cloth: the pieces of a pattern, single, in pairs, or half on the fold."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import chain, islice, product

import numpy as np

from ..pattern.curve import signed_area
from ..pattern.panel import FloatArray, Panel
from ..pattern.pattern import Pattern
from ..pattern.shape import farthest, mirrored
from .allowance import allowances_of, cut_line
from .layout import CutPiece, Layout, Spread, laid
from .layout_search import lay_out

QUICK = 0.05  # of the usual effort, to choose what lies on the fold
MOST_CHOICES = 8  # tried for what lies on the fold: all of them for up to three pieces cut once
SAME_HALVES = 0.05  # mm: the halves of a piece on the fold may differ by this much, half of what a seam may


def cut_lines(pattern: Pattern) -> dict[str, FloatArray]:
    """The cut line of every panel by its name, with the pattern's own allowances: (n, 2) float, mm."""
    return {panel.name: cut_line(panel, allowances_of(pattern, panel)) for panel in pattern.panels}


def lay_pattern(pattern: Pattern, outlines: Mapping[str, FloatArray], spread: Spread) -> Layout:
    """Lay a whole pattern on the cloth.

    On single cloth every piece is laid by itself. On folded cloth a pair is cut at once through both layers; a piece
    that is cut once lies with its middle on the fold, or is cut from the upper layer alone, whichever takes less.

    Parameters
    ----------
    outlines : mapping of str to (n, 2) float
        The cut line of every panel, in the panel's frame, mm; see `cut_lines`.

    Raises
    ------
    DraftError
        A piece is too large for the cloth; names it.
    """
    if not spread.folded:
        return lay_out(single_pieces(pattern, outlines), spread)
    choices = [_doubled(panel, outlines[panel.name], spread) for panel in pattern.panels]
    looks = [lay_out(list(chain(*pieces)), spread, QUICK) for pieces in islice(product(*choices), MOST_CHOICES)]
    shortest = min(looks, key=lambda layout: layout.length)
    return lay_out([placement.piece for placement in shortest.placements], spread)


def single_pieces(pattern: Pattern, outlines: Mapping[str, FloatArray]) -> tuple[CutPiece, ...]:
    """Every piece by itself, in sewing order."""
    return tuple(
        CutPiece(piece.name, outlines[piece.panel.name], _way(piece.panel), piece.side == "right")
        for piece in pattern.pieces()
    )


def half_on_fold(outline: FloatArray, grain: FloatArray) -> FloatArray | None:
    """(n, 2) float: the half of an outline to the right of its middle along the grain; None if the halves differ."""
    x, y = np.asarray(grain, dtype=float) / np.linalg.norm(grain)
    upright = outline @ np.array([[y, x], [-x, y]])
    middle = (upright[:, 0].min() + upright[:, 0].max()) / 2
    shifted = upright - [middle, 0.0]
    if farthest(mirrored(shifted, 0, 0.0), shifted) > SAME_HALVES:
        return None
    half = _right_half(shifted)
    return None if half is None else (half + np.array([middle, 0.0])) @ np.array([[y, -x], [x, y]])


def _doubled(panel: Panel, outline: FloatArray, spread: Spread) -> list[list[CutPiece]]:
    """The ways to cut all copies of a panel from folded cloth."""
    way = _way(panel)
    names = [panel.name, *(f"{panel.name}.{k}" for k in range(2, panel.cut // len(panel.sides) + 1))]
    if len(panel.sides) == 2:
        return [[CutPiece(name, outline, way, layers=2) for name in names]]
    single, half = [CutPiece(name, outline, way) for name in names], half_on_fold(outline, way)
    if half is None:
        return [single]
    folded = [CutPiece(name, half, way, layers=2, on_fold=True) for name in names]
    left, right = spread.reach
    return [folded, single] if np.ptp(laid(single[0], 0, False)[:, 0]) <= right - left else [folded]


def _way(panel: Panel) -> FloatArray:
    return panel.grain[1] - panel.grain[0]


def _right_half(outline: FloatArray) -> FloatArray | None:
    """The part at x >= 0 of an outline that crosses x = 0 just twice; None if it crosses more often."""
    following = np.roll(outline, -1, axis=0)
    crosses = (outline[:, 0] >= 0) != (following[:, 0] >= 0)
    if crosses.sum() != 2:
        return None
    corners = []
    for a, b, cut in zip(outline, following, crosses, strict=True):
        if a[0] >= 0:
            corners.append(a)
        if cut:
            corners.append(np.array([0.0, a[1] + (b[1] - a[1]) * a[0] / (a[0] - b[0])]))
    half = np.array(corners)
    half = half[np.linalg.norm(half - np.roll(half, 1, axis=0), axis=1) > 1e-9]
    return half if signed_area(half) else None
