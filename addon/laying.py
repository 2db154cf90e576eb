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
# An under-garment is sewn smaller by this, within the outer one, and let out while the doll swells: its seams and
# those of the outer one close on the same line otherwise, and slip through each other. Found by trial.
TAKEN_IN = 0.92
LOOSENED = 3  # a longer sash folds farther out, which asks for a longer sash: this often until its ends meet


def lay_out(
    body: Body, pattern: Pattern, garment: Garment, assembly: Assembly, flattened: FloatArray
) -> tuple[list[FloatArray], FloatArray]:
    """How the cloth is let out before it is sewn, and where all lies round the flattened doll.

    Returns
    -------
    list of (n, 2) float
        Flat points: with the under-garment taken in, where there is one, and with the sash so long that its ends meet.
    (n, 3) float
    """
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
    flats = [flat]
    if len(assembly.under):
        flats.insert(0, flat.copy())
        for points in (flats[0], laid[:, :2]):
            points[assembly.under] *= TAKEN_IN
    middle, half = _depth_range(flattened)
    layer = layer_mm(body.height_mm)
    shoulder = _shoulder_top(body, flattened) + layer
    depth = half * np.clip(laid[:, 2], -1.0, 1.0) + layer * laid[:, 2]
    start = np.column_stack([laid[:, 0], middle - depth, shoulder + laid[:, 1]])
    return flats, start


def layer_mm(height_mm: float) -> float:
    """How far apart the layers of the flat lay stand."""
    return height_mm / LAYERS_PER_HEIGHT


def _depth_range(points: FloatArray) -> tuple[float, float]:
    """Middle and half of the extent from front to back."""
    low, high = points[:, 1].min(), points[:, 1].max()
    return float(0.5 * (low + high)), float(0.5 * (high - low))


def _shoulder_top(body: Body, flattened: FloatArray) -> float:
    """Height that the shoulder line must clear: the shoulder at the neck, and the arms when spread."""
    if "shoulder_height" not in body.measures:
        raise MeasureError("The shoulder height is missing; give it by hand.", about=["shoulder_height"])
    arms = flattened[body.parts >= 2]
    arms = arms[body.parts[body.parts >= 2] <= 3]
    top = body.measures["shoulder_height"].mm
    return float(max(top, arms[:, 2].max(initial=top)))
