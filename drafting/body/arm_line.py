"""The line along an arm: roughly from the finger tips inwards, then through the middles of its sections."""

from __future__ import annotations

import numpy as np

from .body import FloatArray, IntArray
from .sections import Cuts, cut_each
from .tape import length, lengths, walk
from .weld import used_by

SPREAD = 0.04
"""No arm is thicker in its ring's standard deviation than this share of the height; rings in the trunk are."""
JOINT = 0.012
"""So near the joint, as a share of the height, an arm's middle is not looked for: the trunk is about it."""
STATIONS = 40
"""Sections along an arm."""


def rough_line(points: FloatArray, far: FloatArray, height: float) -> tuple[FloatArray, float]:
    """Middles of the rings at equal distance from the tips, up to the ring that spreads into the trunk."""
    step = 0.012 * height
    ring = np.where(np.isfinite(far), far / step, 0).astype(int)
    line, spread = [], []
    for index in range(int(0.62 * height / step)):
        here = points[np.isfinite(far) & (ring == index)]
        if len(here) < 2:
            break
        line.append(here.mean(axis=0))
        spread.append(float(np.sqrt(((here - line[-1]) ** 2).sum(axis=1).mean())))
        usual = float(np.median(spread[-10:]))
        if len(spread) > 12 and spread[-1] > max(SPREAD * height, 1.6 * usual):
            while len(spread) > 6 and spread[-1] > 1.25 * usual:
                spread.pop()
                line.pop()
            break
    return np.array(line), len(line) * step


def heading(line: FloatArray, low: float, high: float) -> FloatArray | None:
    """Unit direction of the part of a line between two shares of its length, from the tips inwards; None where the
    line stays in one place there.
    """
    whole = length(line)
    way = walk(line, high * whole) - walk(line, low * whole)
    size = np.linalg.norm(way)
    return way / size if size else None


def ring_about(cuts: Cuts, plane: int, middle: FloatArray) -> int:
    """The closed loop round `middle`, or the nearest large one; -1 where there is none or it is not closed."""
    loops = cuts.on(plane)
    if not len(loops):
        return -1
    within = ((cuts.low[loops] <= middle + 1e-3) & (cuts.high[loops] >= middle - 1e-3)).all(axis=1)
    size = np.abs(cuts.area[loops])
    likely = loops[within] if within.any() else loops[size > 0.25 * size[0]]
    if not len(likely):
        return -1
    loop = int(likely[((cuts.middle[likely] - middle) ** 2).sum(axis=1).argmin()])
    return loop if cuts.closed(loop) else -1


def centre_line(
    vertices: FloatArray,
    own: IntArray,
    line: FloatArray,
    joint: FloatArray,
    fork: FloatArray,
    upper: FloatArray,
    height: float,
) -> tuple[FloatArray, FloatArray]:
    """Middles and taut girths of sections square to the arm, from the joint to the tips."""
    start = min(float(fork @ upper), float(joint @ upper) - JOINT * height)
    rough = np.vstack([line[line @ upper < start], joint])[::-1]
    whole = length(rough)
    at = np.linspace(0, whole, STATIONS)
    spot = walk(rough, at)
    ahead = walk(rough, np.minimum(at + 0.07 * whole, whole)) - walk(rough, np.maximum(at - 0.07 * whole, 0))
    ahead /= np.linalg.norm(ahead, axis=1)[:, None]
    axis, girth = spot.copy(), np.full(STATIONS, np.nan)
    cuts = cut_each(vertices, own, ahead, spot)
    for index in range(1, STATIONS - 1):
        loop = ring_about(cuts, index, spot[index])
        if loop >= 0 and (cuts.points(loop) @ upper).max() < fork @ upper + 1e-6:
            axis[index], girth[index] = cuts.middle[loop], cuts.girth[loop]
    return axis, girth


def fingertip(vertices: FloatArray, own: IntArray, wrist: FloatArray, near: FloatArray) -> int:
    """The vertex farthest from the wrist, within a hand's length of the rough tip; -1 where there is none."""
    members = used_by(own, len(vertices))
    if not len(members):
        return -1
    away = np.linalg.norm(vertices[members] - near, axis=1)
    close = members[away <= max(0.6 * float(np.linalg.norm(near - wrist)), float(away.min()))]
    return int(close[np.linalg.norm(vertices[close] - wrist, axis=1).argmax()])


def straight_hand(axis: FloatArray, girth: FloatArray, wrist: float) -> tuple[FloatArray, FloatArray]:
    """Fingers spread; the line through them does not."""
    along = lengths(axis)
    end, hand = walk(axis, wrist), along > wrist
    share = (along[hand] - wrist) / (along[-1] - wrist)
    straight = axis.copy()
    straight[hand] = end + share[:, None] * (axis[-1] - end)
    return straight, girth
