"""Where a label stands on a drawing: as near as it can to what it names, on no line and no other label."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np

from .table import FloatArray

STRIDE = 0.25  # of the label's height, from one place that is tried to the next
FARTHEST = 40  # strides that a label may lie away from where it would be best
# Strides along and across, the nearest first, and places straight on before those beside; sorted once, since a view is
# drawn often.
PLACES = sorted(
    itertools.product(range(FARTHEST), range(-FARTHEST, FARTHEST + 1)),
    key=lambda place: math.hypot(place[0], 1.5 * place[1]),
)


def place_label(
    size: FloatArray,
    end: FloatArray,
    way: FloatArray,
    pieces: FloatArray,
    taken: Sequence[FloatArray],
    within: FloatArray,
) -> FloatArray:
    """(2, 2) float: the lowest and the highest corner of a label.

    Parameters
    ----------
    size : (2,) float
        Width and height of the label, with the room that it wants round it.
    end, way : (2,) float
        Where the line that it names ends, and the direction in which it goes on.
    pieces : (k, 2, 2) float
        The straight pieces of all lines.
    taken : sequence of (2, 2) float
        Labels that stand already.
    within : (2, 2) float
        Where labels may stand. Where nothing is free the label stands where it would be best.
    """
    best = end + way * 0.5 * size
    stride = STRIDE * float(size[1])
    aside = np.array([-way[1], way[0]])
    for along, across in PLACES:
        middle = best + stride * (along * way + across * aside)
        box = np.array([middle - 0.5 * size, middle + 0.5 * size])
        inside = (box[0] >= within[0]).all() and (box[1] <= within[1]).all()
        if inside and not any(_overlap(box, other) for other in taken) and not crosses(box, pieces).any():
            return box
    return np.array([best - 0.5 * size, best + 0.5 * size])


def crosses(box: FloatArray, pieces: FloatArray) -> np.ndarray:
    """(k,) bool: which straight pieces have a point in a box.

    Each piece is cut by the two strips whose common part the box is (Liang and Barsky, "A new concept and method for
    line clipping", 1984).
    """
    start, along = pieces[:, 0], pieces[:, 1] - pieces[:, 0]
    level = along == 0.0
    safe = np.where(level, 1.0, along)
    ends = np.stack([(box[0] - start) / safe, (box[1] - start) / safe])
    between = (start >= box[0]) & (start <= box[1])
    enter = np.where(level, np.where(between, -np.inf, np.inf), ends.min(axis=0)).max(axis=1)
    leave = np.where(level, np.inf, ends.max(axis=0)).min(axis=1)
    hit: np.ndarray = np.maximum(enter, 0.0) <= np.minimum(leave, 1.0)
    return hit


def _overlap(one: FloatArray, other: FloatArray) -> bool:
    return bool((one[0] < other[1]).all() and (one[1] > other[0]).all())
