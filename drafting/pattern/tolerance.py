"""How exact flat geometry is, in one place."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Tolerance:
    """Every number here has its reason.

    Attributes
    ----------
    chord_mm : float
        A curve may leave its polyline by this much: a tenth of a pencil line of 0.2 mm.
    seam_mm : float
        Seam partners may differ by this much in length before ease must be declared: half a pencil line.
    edge_mm : float
        No edge is shorter: one stitch of hand sewing at doll scale (common practice, no source).
    same_mm : float
        Points closer than this are one point: far below any drawing, far above rounding.
    """

    chord_mm: float = 0.02
    seam_mm: float = 0.1
    edge_mm: float = 0.5
    same_mm: float = 1e-6


TOLERANCE = Tolerance()
