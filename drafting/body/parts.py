"""Which part of the body each vertex of the skin belongs to."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from . import graph
from .arms import Limb
from .body import FloatArray, IntArray, Part

ARM = {"left": Part.ARM_LEFT, "right": Part.ARM_RIGHT}
LEG = {"left": Part.LEG_LEFT, "right": Part.LEG_RIGHT}


def arm_vertices(vertices: FloatArray, edges: IntArray, limb: Limb) -> IntArray:
    """Mask of the whole arm from the root on, fingers too.

    First all that the hand reaches without passing the last section in which the arm is free, be it never so close to
    the trunk; then the wedge of the shoulder between that section and the root.
    """
    off, beyond = vertices - limb.armpit, (vertices - limb.fork) @ limb.upper < -1e-6
    reach = 1.2 * float(np.linalg.norm(limb.shoulder - limb.armpit)) + 0.35 * limb.elbow
    near = np.linalg.norm(vertices - limb.axis[0], axis=1) < reach
    free = ~near | beyond
    hand = _reached(edges, free, limb.tip)
    wedge = near & ~free & (off @ limb.lean > 0) & (off @ limb.across > 0)
    return _reached(edges, hand | wedge, limb.tip)


def _reached(edges: IntArray, among: IntArray, start: int) -> IntArray:
    """Mask of the vertices `among` some that edges between them join to one."""
    within = np.flatnonzero(np.logical_and(*(among.take(end) for end in edges.T)))
    label = graph.components(len(among), edges.take(within, axis=0))
    return (label == label[start]) & among


def label_parts(
    vertices: FloatArray, arms: Mapping[str, IntArray], neck: float | None, crotch: FloatArray | None
) -> IntArray:
    """A `Part` for each vertex: arms as given, the head above the neck, the legs below the crotch."""
    parts = np.full(len(vertices), int(Part.TRUNK))
    if neck is not None:
        parts[vertices[:, 2] > neck] = Part.HEAD
    if crotch is not None:
        below = vertices[:, 2] < crotch[2]
        parts[below & (vertices[:, 0] >= crotch[0])] = Part.LEG_LEFT
        parts[below & (vertices[:, 0] < crotch[0])] = Part.LEG_RIGHT
    for side, mine in arms.items():
        parts[mine] = ARM[side]
    return parts
