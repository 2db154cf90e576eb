"""Is a limb in its sleeve? How often the cloth winds round it tells."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

PLACES = (0.2, 0.35, 0.5, 0.65, 0.8)  # of a sleeve's length: where it is closed all round
SLICE = 0.05  # of a sleeve's length: half of the slices of a limb whose middles the cloth should wind round


def turns_round(vertices: FloatArray, faces: IntArray, centre: FloatArray, axis: FloatArray) -> float:
    """How often a surface winds round a point, where a plane square to an axis cuts it there.

    Returns
    -------
    float
        1 in a tube whose right side is outside, 0 beside it, a share where it is open: the angle under which the cut is
        seen, in turns (the winding number of plane curves).
    """
    height = (vertices - centre) @ axis
    above = height[faces] > 0.0
    cut = faces[above.any(axis=1) & ~above.all(axis=1)]
    if not len(cut):
        return 0.0
    ends = np.stack([_where_cut(vertices, cut, height, k) for k in (0, 1)]) - centre
    corner = vertices[cut]
    outward = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    forward = np.sign(((ends[1] - ends[0]) * np.cross(axis, outward)).sum(axis=1))
    angle = np.arctan2(np.cross(ends[0], ends[1]) @ axis, (ends[0] * ends[1]).sum(axis=1))
    return float((forward * angle).sum() / (2.0 * np.pi))


def fewest_turns(vertices: FloatArray, faces: IntArray, limb: FloatArray, fold: IntArray) -> float:
    """How often a sleeve winds round the middle of a limb, where it does so least; 1 where the limb does not reach.

    Parameters
    ----------
    limb : (n, 3) float
        Points of the limb's skin.
    fold : (k,) int
        Vertices of the sleeve's fold: it lies along the limb, while a deep sleeve hangs past both ends of it.
    """
    middle = limb.mean(axis=0)
    axis = np.linalg.svd(limb - middle, full_matrices=False)[2][0]
    worn, along = (vertices[fold] - middle) @ axis, (limb - middle) @ axis
    begin, end = worn.min(), worn.max()
    turns = [1.0]
    for place in PLACES:
        near = np.abs(along - (begin + place * (end - begin))) < SLICE * (end - begin)
        if near.any():
            turns.append(abs(turns_round(vertices, faces, limb[near].mean(axis=0), axis)))
    return min(turns)


def _where_cut(vertices: FloatArray, cut: IntArray, height: FloatArray, which: int) -> FloatArray:
    """(m, 3) float: the first or second of the two points in which a plane cuts the sides of each triangle."""
    above = height[cut] > 0.0
    alone = np.where(above.sum(axis=1) == 1, above.argmax(axis=1), (~above).argmax(axis=1))
    rows = np.arange(len(cut))
    a, b = cut[rows, alone], cut[rows, (alone + 1 + which) % 3]
    share = height[a] / (height[a] - height[b])
    return vertices[a] + share[:, None] * (vertices[b] - vertices[a])
