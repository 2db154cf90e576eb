"""The robe folded flat on a table, fronts up."""

from __future__ import annotations

import numpy as np

from ..pattern.curve import stations, walk
from ..pattern.panel import FloatArray
from ..pattern.pattern import Piece
from .robe_panels import Sizes, neck_scoop, slope
from .sash import held_aside, lay_sash

BACK, UNDER_FRONT, UPPER_FRONT = -1.0, 1.0, 2.0
NECK_POINT = 1e-3  # mm that a point may lie past the neck point and still count as it: more than a file's rounding


def lay_robe(sizes: Sizes, upper: str, piece: Piece, flat: FloatArray) -> FloatArray:
    """Where a piece lies: x, height, layer.

    Parameters
    ----------
    upper : {"left", "right"}
        The side of the front that lies uppermost.
    flat : (n, 2) float
    """
    flat = np.asarray(flat, dtype=float)
    front = {side: UPPER_FRONT if side == upper else UNDER_FRONT for side in ("left", "right")}
    if piece.panel.role == "sash":
        return lay_sash(flat, _half_width(sizes), sizes["waist_drop"])
    if piece.panel.role == "band":
        return _lay_neckband(sizes, front, flat)
    laid = _lay_sleeve(sizes, flat) if piece.panel.role == "sleeve" else _lay_trunk(piece, front, flat)
    return laid * [-1, 1, 1] if piece.side == "right" else laid


def _lay_trunk(piece: Piece, front: dict[str, float], flat: FloatArray) -> FloatArray:
    layer = BACK if piece.panel.name == "back" else front[piece.side]
    return np.column_stack([flat, np.full(len(flat), layer)])


def _lay_sleeve(sizes: Sizes, flat: FloatArray) -> FloatArray:
    """Folded along y = 0; its front half lies with the under front, its back half with the back.

    It is held aside, as a dresser holds it, so that the sash can pass between it and the trunk: the more the lower.
    """
    x, y = flat[:, 0], flat[:, 1]
    sash_top = sizes["waist_drop"] - sizes["sash_width"] / 2
    across = sizes["shoulder"] + x + held_aside(np.abs(y), sizes["armhole"], sash_top, _half_width(sizes))
    return np.column_stack([across, -np.abs(y), np.where(y <= 0, UNDER_FRONT, BACK)])


def _lay_neckband(sizes: Sizes, front: dict[str, float], flat: FloatArray) -> FloatArray:
    """Bent along the neckline: each half along the back neck and then down its front's slope, square to the line."""
    neck = np.concatenate([neck_scoop(sizes), [[0.0, -sizes["scoop"]]]])[::-1]
    turn = stations(neck)[-1]
    along, up = np.abs(flat[:, 0]), flat[:, 1:]
    on_back, left = along <= turn + NECK_POINT, flat[:, 0] >= 0
    # The neck lies left of the line from the centre back to the neck point, and right of the slope, which turns back.
    behind, heading_out = walk(neck, along)
    behind = behind + up * _slim(sizes) * np.column_stack([-heading_out[:, 1], heading_out[:, 0]])
    before, heading_in = walk(slope(sizes), along - turn)
    before = before + up * np.column_stack([heading_in[:, 1], -heading_in[:, 0]])
    laid = np.where(on_back[:, None], behind, before)
    layer = np.where(on_back, BACK, np.where(left, front["left"], front["right"]))
    return np.column_stack([np.where(left, 1.0, -1.0) * laid[:, 0], laid[:, 1], layer])


def _slim(sizes: Sizes) -> float:
    """Share of the band's width that is laid where it would reach past the middle of a tight back neck curve."""
    if sizes["scoop"] == 0:
        return 1.0
    radius = (sizes["neck"] ** 2 + sizes["scoop"] ** 2) / (2 * sizes["scoop"])
    return min(1.0, 0.7 * radius / sizes["band_width"])


def _half_width(sizes: Sizes) -> float:
    return max(sizes["shoulder"], sizes["front_width"], sizes["back_width"])
