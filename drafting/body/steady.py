"""Where a sampled curve is least or greatest, told from its whole bottom, so that a little noise hardly moves it."""

from __future__ import annotations

import numpy as np

from .body import FloatArray, IntArray
from .sections import BoolArray

FLAT = 2e-4
"""Samples that differ by less than this share are one: their middle stands for them."""
EVEN = 1e-3
"""A stretch that differs by less than this share has no tip to be told from its surroundings."""
TINY = 1e-12
PIECES, LEAST = 3, 7
"""Points looked at on each straight piece of a line, and how few of them say nothing."""
FEWEST, ROUNDS, SETTLED, WAY = 4, 12, 1e-4, 101
"""A parabola needs so many samples; it is laid anew so often, until its tip moves by less than this share; places
looked at on the way from the start to it."""
BETWEEN = 8
"""Places looked at between two samples, so that it does not show where the samples happen to lie."""


def plateau(value: FloatArray, sign: int, share: float, among: slice | BoolArray = slice(None)) -> IntArray:
    """Indices of the unbroken run about the greatest (sign 1) or least (-1) value that keeps within a share of it.

    The value is sought `among` some of them only.
    """
    best = int(np.arange(len(value))[among][(sign * value[among]).argmax()])
    off = np.flatnonzero(~(np.abs(value - value[best]) <= share * abs(value[best])))
    left, right = off[off < best], off[off > best]
    return np.arange(left[-1] + 1 if len(left) else 0, right[0] if len(right) else len(value))


def summit(at: FloatArray, value: FloatArray, sign: int, share: float, among: slice = slice(None)) -> float:
    """Where a curve is greatest (sign 1) or least (-1): the middle of all that keeps within a share of the best, what
    comes nearer to it counting more. Of a flat stretch it is the middle, of a peak its tip.
    """
    run = plateau(value, sign, share, among)
    wide = slice(max(int(run[0]) - 1, 0), int(run[-1]) + 2)
    near, height = at[wide], value[wide]
    fine = np.linspace(near[0], near[-1], BETWEEN * (len(near) - 1) + 1)
    close = sign * np.interp(fine, near, height)
    weight = np.clip(1 - (close.max() - close) / max(share * abs(close.max()), TINY), 0, None)
    return float(weight @ fine / weight.sum())


def turning(at: FloatArray, value: FloatArray, sign: int, half: float, share: float, start: float) -> float:
    """Where a curve near `start` is greatest (sign 1) or least (-1): the tip of the parabola through all that lies
    within `half` to both sides of it, as far as the curve there keeps within a `share` of its best; the start itself
    where the curve is flat or does not bend that way.
    """
    tip, best = start, float(np.interp(start, at, value))
    flat = at[plateau(value, sign, EVEN, np.abs(at - start) <= half)]
    if np.ptp(flat) > half:
        return start
    for _ in range(ROUNDS):
        weight = np.clip(1 - ((at - tip) / half) ** 2, 0, None)
        near = weight > 0
        if near.sum() < FEWEST:
            return start
        bend, slope, _ = np.polyfit(at[near] - tip, value[near], 2, w=np.sqrt(weight[near]))
        if not sign * bend < 0:
            return start
        step = float(np.clip(-slope / (2 * bend), -half / 2, half / 2))
        tip = float(np.clip(tip + step, at[0], at[-1]))
        if abs(step) < half * SETTLED:
            break
    way = start + np.linspace(0, 1, WAY) * (tip - start)
    worse = np.flatnonzero(sign * (best - np.interp(way, at, value)) > share * abs(best))
    return float(way[worse[0] - 1]) if len(worse) else tip


def bowed(start: FloatArray, end: FloatArray, half: float) -> FloatArray:
    """Highest point of a line in its plane, told from all that lies near it; its topmost corner where it is not round.

    A parabola is laid through all of the line near its top, so that it does not show where its corners lie.

    Parameters
    ----------
    start, end : (k, 2) float
        The line's straight pieces: aside and up, mm, in any order.
    half : float
        What lies within so many mm of the top, aside and up, has a say.
    """
    share = ((np.arange(PIECES) + 0.5) / PIECES)[:, None, None]
    points = (start + share * (end - start)).reshape(-1, 2)
    weight = np.sqrt(np.tile(np.linalg.norm(end - start, axis=1), PIECES))
    top = best = start[start[:, 1].argmax()]
    for _ in range(2):
        near = np.abs(points - top).max(axis=1) < half
        if near.sum() < LEAST:
            return best
        aside, up = (points[near] - top).T
        if np.ptp(aside) < half / 4:
            return best
        bend, slope, rise = np.polyfit(aside, up, 2, w=weight[near])
        if not bend < 0:
            return best
        step = np.clip(-slope / (2 * bend), -half, half)
        top = top + np.array([step, rise + slope * step + bend * step**2])
    return top


def passing(at: FloatArray, value: FloatArray, limit: float) -> float:
    """Where a curve first reaches a limit, between its samples; the last place where it never does."""
    over = np.flatnonzero(value >= limit)
    if not len(over):
        return float(at[-1])
    i = int(over[0])
    if i == 0:
        return float(at[0])
    return float(at[i - 1] + (limit - value[i - 1]) / (value[i] - value[i - 1]) * (at[i] - at[i - 1]))
