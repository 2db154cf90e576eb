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
    """Mask of the whole arm from the joint on, fingers too: what the hand reaches without passing the root."""
    off = vertices - limb.armpit
    upper = limb.axis[0] - limb.axis[len(limb.axis) // 3]
    upper /= np.linalg.norm(upper)
    gap = np.array([-upper[0], 0.0, -upper[2] - 1.0])
    gap /= max(float(np.linalg.norm(gap)), 1e-9)
    trunkward = np.array([limb.side * gap[2], 0.0, -limb.side * gap[0]])
    reach = 1.2 * float(np.linalg.norm(limb.shoulder - limb.armpit)) + 0.35 * limb.elbow
    above, near = off @ limb.lean > 0, np.linalg.norm(vertices - limb.axis[0], axis=1) < reach
    outside = np.where(above, off @ limb.across > 0, off @ trunkward < 0)
    barred = ~outside & near
    free = edges[~barred[edges].any(axis=1)]
    label = graph.components(len(vertices), free)
    return (label == label[limb.tip]) & ~barred


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
