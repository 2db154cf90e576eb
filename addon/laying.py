"""Where a garment lies before the first frame: folded flat round the flattened doll."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from drafting.body.body import Body
from drafting.errors import MeasureError
from drafting.garments.garment import Garment
from drafting.pattern.pattern import Pattern

from .sewing import Assembly

FloatArray = NDArray[np.float64]

LAYERS_PER_HEIGHT = 170.0  # layers of the flat lay stand this far apart
LOOSENED = 3  # a longer sash folds farther out, which asks for a longer sash: this often until its ends meet


def lay_out(
    body: Body, pattern: Pattern, garment: Garment, assembly: Assembly, flattened: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Flat points with the sash still so long that its ends meet, and where all lies round the flattened doll."""
    flat, laid = assembly.flat.copy(), assembly.laid.copy()
    for index, piece in enumerate(assembly.pieces):
        if piece.panel.role != "sash":
            continue
        own = assembly.piece == index
        ends = [assembly.edges[piece.name, end] for end in ("end_left", "end_right")]
        for _ in range(LOOSENED):
            short = abs(np.subtract(*(laid[end, 0].mean() for end in ends)))
            flat[own, 0] *= 1.0 + short / np.ptp(flat[own, 0])
            laid[own] = garment.lay(pattern, piece, flat[own])
    middle, half = _depth_range(flattened)
    layer = body.height_mm / LAYERS_PER_HEIGHT
    shoulder = _shoulder_top(body, flattened) + layer
    depth = np.sign(laid[:, 2]) * (half + layer * np.abs(laid[:, 2]))
    start = np.column_stack([laid[:, 0], middle - depth, shoulder + laid[:, 1]])
    return flat, start


def _depth_range(points: FloatArray) -> tuple[float, float]:
    """Middle and half of the extent from front to back."""
    low, high = points[:, 1].min(), points[:, 1].max()
    return float(0.5 * (low + high)), float(0.5 * (high - low))


def _shoulder_top(body: Body, flattened: FloatArray) -> float:
    """Height that the shoulder line must clear: the shoulder at the neck, and the arms when spread."""
    if "shoulder_height" not in body.measures:
        raise MeasureError("The shoulder height is missing; give it by hand, e.g. --measure shoulder_height=340mm.")
    arms = flattened[body.parts >= 2]
    arms = arms[body.parts[body.parts >= 2] <= 3]
    top = body.measures["shoulder_height"].mm
    return float(max(top, arms[:, 2].max(initial=top)))
