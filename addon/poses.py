"""How the doll moves while it is dressed: flat like a paper doll, swollen, and its arms lowered at last."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from drafting.body.body import Body
from drafting.body.pose import pose, spread_of

FloatArray = NDArray[np.float64]
Poses = Sequence[tuple[int, FloatArray]]

FLATTENED = 0.08  # share of the doll's depth while it lies flat in the folded garment
TURNS = 6  # steps in which the arms come down


def swelling(body: Body, sewn: int, swollen: int) -> Poses:
    """Arms spread: flat until a frame, then swollen to the true depth at another."""
    spread = spread_of(body)
    flat = pose(body, spread, 1.0, FLATTENED)
    return [(1, flat), (sewn, flat), (swollen, pose(body, spread, 1.0))]


def lowering(body: Body, lowered: int) -> Poses:
    """From spread arms to the scanned skin, in small turns."""
    spread = spread_of(body)
    frames = [1 + (lowered - 1) * turn // TURNS for turn in range(TURNS + 1)]
    return [(frame, pose(body, spread, 1.0 - turn / TURNS)) for turn, frame in enumerate(frames)]


def pose_at(path: Poses, frame: int) -> FloatArray:
    """(n, 3) float: the body at a frame, straight lines between the poses."""
    for (begin, before), (end, after) in itertools.pairwise(path):
        if frame < end:
            return before + (frame - begin) / (end - begin) * (after - before)
    return path[-1][1]
