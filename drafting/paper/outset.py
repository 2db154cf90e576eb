"""A line drawn round an outline at given distances, corner by corner; it may still cross itself."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ..pattern.curve import arc
from ..pattern.panel import FloatArray

LONGEST_MITRE = 2.5  # of the allowance: a longer point is cut off square; it only gets in the way. No source
STEEPEST_FOLD = 0.3  # sine of the angle between a hem and the edge beside it, below which nothing can be folded flush
EVEN = 1e-9


def outset(
    outline: FloatArray, widths: FloatArray, turned: NDArray[np.bool_] | None = None, *, rounded: bool = False
) -> FloatArray:
    """The line outside a counter-clockwise outline.

    Parameters
    ----------
    outline : (n, 2) float
        mm; leg i runs from point i to the next one.
    widths : (n,) float
        Distance beyond each leg, mm.
    turned : (n,) bool
        Legs that are turned up along the outline; see `drafting.paper.allowance.Allowance`.
    rounded : bool
        Arcs instead of mitres at outer corners between legs of one width.

    Returns
    -------
    (m, 2) float
        Its winding number is 1 or more exactly where there is panel or allowance.
    """
    ways = np.roll(outline, -1, axis=0) - outline
    lengths = np.linalg.norm(ways, axis=1)
    ways = ways / lengths[:, None]
    turned = np.zeros(len(outline), bool) if turned is None else turned
    points: list[FloatArray] = []
    for i, corner in enumerate(outline):
        u, v, a, b = ways[i - 1], ways[i], float(widths[i - 1]), float(widths[i])
        room = min(lengths[i - 1], lengths[i]) / 2
        if turned[i - 1] != turned[i] and (folded := _folded(u, v, a, b, bool(turned[i]))) is not None:
            points += [corner + step for step in folded]
        else:
            points += [corner + step for step in _joined(u, v, a, b, room, rounded)]
    return np.array(points)


def _joined(u: FloatArray, v: FloatArray, a: float, b: float, room: float, rounded: bool) -> list[FloatArray]:
    """The points round a corner, seen from it, where two legs of directions u and v meet."""
    turn, ahead = _cross(u, v), float(u @ v)
    before, after = a * _right(u), b * _right(v)
    if abs(turn) < EVEN and ahead > 0:  # straight on, with a step where the widths differ
        return [before] if abs(a - b) < EVEN else [before, after]
    mitre = _meet(u, v, a, b) if abs(turn) > EVEN else None
    if turn < 0:  # an inner corner
        near = mitre is not None and max(abs(mitre @ u), abs(mitre @ v)) < room
        return [mitre] if near and mitre is not None else [before, np.zeros(2), after]
    if rounded and a == b > 0:
        start = math.degrees(math.atan2(before[1], before[0]))
        return list(arc((0.0, 0.0), a, start, start + math.degrees(math.atan2(turn, ahead))))
    longest = LONGEST_MITRE * max(a, b)
    if mitre is None:  # the outline turns back on itself
        return [before + longest * u, after - longest * v]
    reach = float(np.linalg.norm(mitre))
    if reach <= longest + EVEN:
        return [mitre]
    if min(mitre @ u, -mitre @ v) < 0:  # almost straight on, of different widths
        return [before, after]
    out = mitre / reach
    return [before + u * (longest - before @ out) / (u @ out), after + v * (longest - after @ out) / (v @ out)]


def _folded(u: FloatArray, v: FloatArray, a: float, b: float, hem_follows: bool) -> list[FloatArray] | None:
    """The corner between a hem and a leg beside it: what lies beyond the hem mirrors what lies above.

    Returns
    -------
    list of (2,) float, or None
        Seen from the corner, in the outline's order; None where it cannot be folded flush.
    """
    steep = _cross(u, v)
    if steep < STEEPEST_FOLD:
        return None
    hem, depth = (v, b) if hem_follows else (u, a)
    on_fold = _meet(u, v, a, 0.0) if hem_follows else _meet(u, v, 0.0, b)
    beside = -u if hem_follows else v  # from the hem upwards
    out = _right(hem)
    mirrored = beside - 2 * (beside @ out) * out
    end = on_fold + mirrored * depth / (mirrored @ out)
    return [on_fold, end] if hem_follows else [end, on_fold]


def _meet(u: FloatArray, v: FloatArray, a: float, b: float) -> FloatArray:
    """Where two lines meet that run a beside direction u and b beside v, seen from where u and v meet."""
    return (b * u - a * v) / _cross(u, v)


def _right(way: FloatArray) -> FloatArray:
    return np.array([way[1], -way[0]])


def _cross(u: FloatArray, v: FloatArray) -> float:
    return float(u[0] * v[1] - u[1] * v[0])
