"""The root of an arm: the last section in which it is free, the armpit, and where the sleeve is set in."""

from __future__ import annotations

import numpy as np

from .arm_line import ring_about
from .body import FloatArray, IntArray
from .sections import cut, extent
from .steady import bowed

LEAP = 1.2
"""A section that grows by so much from one cut to the next has met the trunk."""
MERGED = 1.8
"""A section so much longer than the upper arm has met the trunk, however slowly."""
ROUND = 0.012
"""The top of the arm root is round from front to back within this share of the height to both sides."""
CREASE, CREASE_CUTS = 0.008, 17
"""The crease of the armpit is round within this share of the height; so many cuts show how it runs."""
ROOT_LEAN = 1 / 3
"""The arm root leans outwards by a third of the angle between the plumb line and the plane across the upper arm.

An arm that hangs gives 30 degrees; ANSUR II's axilla (chest breadth 289 / 2, height 1328 mm) and acromion (biacromial
breadth 415 / 2, height 1439 mm) stand at atan(63 / 111) = 29.6 degrees.
"""


def last_free(
    vertices: FloatArray, own: IntArray, start: FloatArray, upper: FloatArray, height: float
) -> FloatArray | None:
    """Points of the last section across the upper arm before it meets the trunk, going inwards from `start`."""
    step, reach, middle, last = 0.006 * height, 0.3 * height, start, None
    girths: list[float] = []
    for _ in range(4):
        offsets = float(middle @ upper) + np.arange(0 if last is None else step, reach + 0.5 * step, step)
        cuts = cut(vertices, own, upper, offsets)
        for plane in range(len(offsets)):
            loop = ring_about(cuts, plane, middle)
            if loop < 0 or (len(girths) > 2 and _merged(float(cuts.girth[loop]), girths)):
                break
            girths.append(float(cuts.girth[loop]))
            last = cuts.points(loop)
            middle = cuts.middle[loop]
            middle = middle + (offsets[plane] - middle @ upper + (step if plane + 1 < len(offsets) else 0)) * upper
        if last is None:
            return None
        low, high = extent((vertices @ upper - last[0] @ upper).take(own))
        own = own.take(np.flatnonzero((low < 2 * step) & (high > -2 * step)), axis=0)
        middle = middle - (middle @ upper - last[0] @ upper) * upper
        step, reach = step / 5, step
    return last


def _merged(girth: float, before: list[float]) -> bool:
    """Whether a section is no longer the arm alone: it grew at a leap, or beyond any arm."""
    return girth > LEAP * before[-1] or girth > MERGED * float(np.median(before))


def fork_of(loop: FloatArray, upper: FloatArray, side: int) -> FloatArray:
    """The point of the last free section that lies deepest between arm and trunk."""
    inward = np.array([-side * abs(upper[2]), 0.0, -abs(upper[0])])
    inward /= np.linalg.norm(inward)
    deep = loop @ inward
    lowest = loop[deep >= deep.max() - 0.08 * np.ptp(deep)]
    return np.array([lowest[:, 0].mean(), lowest[:, 1].mean(), lowest[:, 2].mean()])


def crease_of(vertices: FloatArray, own: IntArray, fork: FloatArray, upper: FloatArray, height: float) -> FloatArray:
    """The armpit, told from the whole crease between arm and trunk near the fork: it is cut in planes from front
    to back, and the tops of all cuts have a say, the nearer the more.
    """
    back, aside = np.array([0.0, 1.0, 0.0]), np.array([upper[2], 0.0, -upper[0]])
    aside /= np.linalg.norm(aside)
    up = np.cross(back, aside)
    up *= np.sign(up @ upper)
    flat, half, spot = np.stack([aside, up], axis=1), CREASE * height, fork
    about = np.logical_and.reduce([np.abs(column - at) < 5 * half for column, at in zip(vertices.T, fork, strict=True)])
    close = own.take(np.flatnonzero(about.take(own).any(axis=1)), axis=0)
    for _ in range(2):
        away = np.linspace(-2 * half, 2 * half, CREASE_CUTS)
        cuts = cut(vertices, close, back, spot[1] + away)
        start, end = (cuts.start - spot) @ flat, (cuts.end - spot) @ flat
        near = (np.abs(start) < half).all(axis=1)
        planes = np.unique(cuts.plane[near])
        if len(planes) < 3:
            return fork
        tops = np.array(
            [bowed(start[mine], end[mine], half) for mine in (near & (cuts.plane == each) for each in planes)]
        )
        spot = spot + flat @ np.average(tops, axis=0, weights=1 - np.abs(away[planes]) / (2.2 * half))
    return spot


def lean_of(upper: FloatArray, side: int) -> FloatArray:
    """Which way the root plane rises, from the heading of the upper arm (towards the shoulder)."""
    raised = np.degrees(np.arctan2(-side * upper[0], upper[2]))
    angle = np.radians(np.clip((90 - raised) * ROOT_LEAN, -20, 30))
    return np.array([side * np.sin(angle), 0.0, np.cos(angle)])


def root_of(
    vertices: FloatArray, own: IntArray, armpit: FloatArray, lean: FloatArray, side: int, height: float
) -> tuple[FloatArray, FloatArray] | None:
    """Shoulder end of the shoulder line, and the joint in the middle of the root; None where nothing rises above."""
    across = np.array([side * lean[2], 0.0, -side * lean[0]])
    cuts = cut(vertices, own, across, np.array([armpit @ across]))
    best = [loop for loop in cuts.on(0) if cuts.low[loop, 2] <= armpit[2] + 1 and cuts.high[loop, 2] > armpit[2]]
    mine = np.isin(cuts.loop, best) if best else np.ones(len(cuts.loop), bool)
    mine &= (cuts.start - armpit) @ lean > 0
    if not mine.any():
        return None
    plane = np.stack([np.array([0.0, 1.0, 0.0]), lean], axis=1)
    top = bowed(cuts.start[mine] @ plane, cuts.end[mine] @ plane, ROUND * height)
    shoulder = plane @ top + (armpit @ across) * across
    above = cuts.start[mine, 1]
    middle, depth = (armpit + shoulder) / 2, (above.min() + above.max()) / 2
    return shoulder, np.array([middle[0], (middle[1] + depth) / 2, middle[2]])
