"""The joints of an arm: where it is narrowest, and where it bends."""

from __future__ import annotations

import numpy as np

from .arm_line import ring_about
from .body import FloatArray, IntArray
from .sections import cut
from .steady import summit, turning
from .tape import lengths, walk

SLIM = 0.05
"""All sections within this share of the narrowest have a say in where the wrist is."""
NOTCH = 0.1
"""An arm narrows and widens evenly within this share of its length to both sides of the wrist."""
HAND_FULL = 1.1
"""A hand is fuller than the wrist by this factor."""
WRIST_SLIM = 0.9
"""A wrist is slimmer than the upper arm by this factor at least; the sample bodies' are below 0.6."""
STUMP = 0.95
"""The wrist of an arm without a hand, as a share of its length: a tape must lie before the end."""
HAND_SHARE = 0.24
"""Hand of the whole arm, to start with: hand 193 mm of 780 mm from acromion to fingertip. From memory (ANSUR II)."""
ELBOW_SHARE = 0.575
"""Elbow between shoulder and wrist where an arm shows no bend. From memory (ANSUR II, upper arm and forearm)."""


def joints_of(
    vertices: FloatArray, own: IntArray, axis: FloatArray, girth: FloatArray, finer: int
) -> tuple[float, float, bool]:
    """Distances along the axis from the joint to wrist and elbow, and whether a hand follows; sought `finer` times."""
    along = lengths(axis)
    whole = along[-1]
    fore = np.flatnonzero((along > 0.6 * whole) & (along < 0.97 * whole) & np.isfinite(girth))
    if not len(fore):
        wrist = (1 - HAND_SHARE) * whole
    else:
        # The hand begins where the arm, having grown slimmer, grows fuller again.
        fuller = np.flatnonzero(girth[fore] > HAND_FULL * np.minimum.accumulate(girth[fore]))
        upper = girth[(along > 0.3 * whole) & (along < 0.55 * whole) & np.isfinite(girth)]
        tapers = float(girth[fore].min()) < WRIST_SLIM * float(np.median(upper)) if len(upper) else True
        if not len(fuller) or not tapers:
            return STUMP * whole, _elbow(axis, along, STUMP * whole), False
        wrist = float(along[fore[girth[fore[: fuller[0]]].argmin()]])
    for _ in range(finer):
        elbow = _elbow(axis, along, wrist)
        wrist += _narrowest(vertices, own, walk(axis, (wrist + elbow) / 2), walk(axis, wrist), whole)
    return wrist, _elbow(axis, along, wrist), True


def _narrowest(vertices: FloatArray, own: IntArray, fore: FloatArray, wrist: FloatArray, whole: float) -> float:
    """How far beyond a rough wrist the arm is narrowest, mm, square to the way from the middle of the forearm."""
    way = (wrist - fore) / np.linalg.norm(wrist - fore)
    offsets = np.linspace(-0.1, 0.1, 61) * whole
    cuts = cut(vertices, own, way, wrist @ way + offsets)
    rings = [ring_about(cuts, plane, wrist + offset * way) for plane, offset in enumerate(offsets)]
    girth = np.array([cuts.girth[loop] if loop >= 0 else np.inf for loop in rings])
    middle = slice(15, 46)
    if not np.isfinite(girth[middle]).any():
        return 0.0
    known = np.isfinite(girth)
    rough = summit(offsets, np.where(known, girth, 9 * girth.min()), -1, SLIM, middle)
    return turning(offsets[known], girth[known], -1, NOTCH * whole, SLIM, rough)


def _elbow(axis: FloatArray, along: FloatArray, wrist: float) -> float:
    """Where two straight pieces fit the axis best; an arm that bends nowhere between is shared out as people's are."""
    inner = along <= wrist
    straight = _off_line(axis[inner], axis[0], walk(axis, wrist))
    shares, cost = np.linspace(0.42, 0.68, 27), []
    for share in shares:
        bend = walk(axis, share * wrist)
        upper, lower = along <= share * wrist, inner & (along > share * wrist)
        cost.append(_off_line(axis[upper], axis[0], bend) + _off_line(axis[lower], bend, walk(axis, wrist)))
    least = int(np.argmin(cost))
    near = slice(max(least - 3, 0), least + 4)
    bend, slope, _ = np.polyfit(shares[near], cost[near], 2)
    best = -slope / (2 * bend) if bend > 0 else shares[least]
    bent = straight / max(inner.sum(), 1) > (0.012 * wrist) ** 2 and shares[0] < best < shares[-1]
    return float((best if bent else ELBOW_SHARE) * wrist)


def _off_line(points: FloatArray, a: FloatArray, b: FloatArray) -> float:
    """Sum of squared distances from the line through a and b."""
    way = (b - a) / max(float(np.linalg.norm(b - a)), 1e-12)
    off = points - a
    return float(((off - (off @ way)[:, None] * way) ** 2).sum())
