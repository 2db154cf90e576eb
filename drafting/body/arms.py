"""Finding the arms: from the finger tips inwards, whatever the pose, up to the root where the sleeve is set in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import graph
from .arm_joints import joints_of
from .arm_line import centre_line, fingertip, heading, rough_line, straight_hand
from .arm_root import crease_of, fork_of, last_free, lean_of, root_of
from .body import Arm, FloatArray, IntArray
from .sections import extent
from .tape import length, lengths, walk
from .weld import compact, used_by

STUCK = 2.6
"""An arm root is no taller than so many times the arm's thickness; those of the sample bodies are 0.9 to 1.6."""


@dataclass(frozen=True)
class Limb:
    """One arm as found on the skin.

    Attributes
    ----------
    side : {-1, 1}
        +1 for the doll's left.
    tip : int
        Skin vertex at the finger tips.
    axis : (k, 3) float
        Centre line, from the shoulder joint to the tips.
    girth : (k,) float
        Taut girth across the centre line at each of its points, mm.
    armpit, shoulder : (3,) float
        Lowest and highest point of the arm root.
    fork, upper : (3,) float
        A point of the last section in which the arm is free, and the unit vector up the upper arm, square to it.
    lean : (3,) float
        Unit vector that points up the root plane; together with Y it spans the plane.
    faces : (m,) int
        Faces that may belong to the arm.
    hand : bool
        Whether there is a hand beyond the wrist; else the wrist is where the arm ends.
    """

    side: int
    tip: int
    axis: FloatArray
    girth: FloatArray
    fork: FloatArray
    armpit: FloatArray
    shoulder: FloatArray
    upper: FloatArray
    lean: FloatArray
    faces: IntArray
    elbow: float
    wrist: float
    hand: bool

    def stuck(self, own: FloatArray) -> bool:
        """Whether the arm lies against the trunk: its root is far too tall, or its `own` vertices take in the trunk."""
        along = lengths(self.axis)
        girth = self.girth[(along > 0.3 * self.elbow) & (along < self.elbow) & np.isfinite(self.girth)]
        tall = float(np.linalg.norm(self.shoulder - self.armpit))
        taken_in = bool((self.side * own[:, 0] < 0.2 * abs(self.armpit[0])).any())
        return taken_in or not len(girth) or tall > STUCK * float(np.median(girth)) / np.pi

    @property
    def arm(self) -> Arm:
        """What the rest of the road needs to know."""
        return Arm(self.axis, self.elbow, self.wrist)

    @property
    def across(self) -> FloatArray:
        """Normal of the root plane, pointing into the arm."""
        return np.array([self.side * abs(self.lean[2]), 0.0, -self.side * self.lean[0]])


def find_arm(vertices: FloatArray, faces: IntArray, net: graph.Net, ways: graph.Ways, tip: int) -> Limb | None:
    """The arm that ends at a node of the net, or None where nothing there is like an arm."""
    height = float(np.ptp(vertices[:, 2]))
    side = 1 if net.points[tip, 0] > 0 else -1
    far = graph.distances(ways, tip)
    line, reach = rough_line(net.points, far, height)
    upper = heading(line, 0.55, 0.85) if reach >= 0.12 * height else None
    if upper is None:  # too short, or a ring that stays where it is
        return None
    from_tip = far[net.node]
    farthest = extent(from_tip.take(faces))[1]
    mine = np.flatnonzero(farthest < reach + 0.3 * height)
    # The arm alone, so that no cut has to look at the whole body again.
    near_by = faces.take(mine, axis=0)
    used = used_by(near_by, len(vertices))
    skin, own = compact(vertices, near_by)
    from_tip, farthest = from_tip[used], farthest[mine]
    start = walk(line, 0.62 * length(line))
    axis = line
    for last in (False, False, True):
        loop = last_free(skin, own, start, upper, height)
        if loop is None:
            return None
        fork = fork_of(loop, upper, side)
        armpit = crease_of(skin, own, fork, upper, height) if last else fork
        lean, across = lean_of(upper, side), upper
        deep = float(from_tip[((skin - fork) ** 2).sum(axis=1).argmin()])
        kept = farthest < deep + 0.2 * height
        mine, farthest, own = mine[kept], farthest[kept], own.take(np.flatnonzero(kept), axis=0)
        arm = own.take(np.flatnonzero(farthest < deep + 0.04 * height), axis=0)
        root = root_of(skin, own, armpit, lean, side, height)
        if root is None:
            return None
        shoulder, joint = root
        axis, girth = centre_line(skin, arm, axis, joint, fork, upper, height)
        wrist, elbow, with_hand = joints_of(skin, arm, axis, girth, 2 if last else 0)
        upper = axis[0] - walk(axis, elbow)
        upper /= np.linalg.norm(upper)
        start = walk(axis, 0.7 * elbow)
        finger = fingertip(skin, arm, walk(axis, wrist), axis[-1])
        if finger < 0:
            return None
        axis, tip_vertex = np.vstack([axis[:-1], skin[finger]])[::-1], int(used[finger])
    axis, girth = straight_hand(axis[::-1], girth, wrist)
    return Limb(side, tip_vertex, axis, girth, fork, armpit, shoulder, across, lean, mine, elbow, wrist, with_hand)
