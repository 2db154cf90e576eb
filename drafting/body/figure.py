"""A skin made ready for the tape: its arms, a stack of level cuts without them, and the cut along its middle."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..errors import ScanError
from . import graph
from .arms import Limb, find_arm
from .body import FloatArray, IntArray, Skin
from .column import Column
from .parts import arm_vertices
from .sections import Layers, cut
from .tape import length

ACROSS = np.array([1.0, 0.0, 0.0])
LOWEST_CROTCH = 0.08
"""A body whose middle reaches lower than this share of its height has no legs that part."""
MARGIN = 0.06
"""A tape between two points strays no farther above or below them than this share of the height."""
TOUCH = 0.5
"""Where the middle is less than half as deep as the thighs beside it, they only touch: the trunk ends above."""


@dataclass(frozen=True)
class Figure:
    """An upright skin with its arms told apart.

    Attributes
    ----------
    limbs, arms : mapping of "left" and "right"
        The arms found, and the mask of their vertices.
    """

    skin: Skin
    limbs: Mapping[str, Limb]
    arms: Mapping[str, IntArray]

    @property
    def vertices(self) -> FloatArray:
        """(n, 3) the skin's vertices."""
        return self.skin.vertices

    @cached_property
    def height(self) -> float:
        """Crown above sole, mm."""
        return float(np.ptp(self.vertices[:, 2]))

    @cached_property
    def faces(self) -> IntArray:
        """Faces that are not wholly of an arm."""
        arm = np.zeros(len(self.vertices), bool)
        for mine in self.arms.values():
            arm |= mine
        a, b, c = self.skin.faces.T
        return self.skin.faces[~(arm[a] & arm[b] & arm[c])]

    @cached_property
    def layers(self) -> Layers:
        """All faces by height."""
        return Layers.of(self.vertices, self.skin.faces)

    def near(self, *levels: float) -> IntArray:
        """Faces between the lowest and the highest of these levels and a little beyond."""
        margin = MARGIN * self.height
        return self.layers.between(min(levels) - margin, max(levels) + margin)

    @cached_property
    def trunk(self) -> Column:
        """Trunk, neck and head."""
        pits = [limb.armpit[2] for limb in self.limbs.values()]
        chest = float(np.mean(pits)) - 0.02 * self.height if pits else 0.72 * self.height
        return Column(self.vertices, self.faces, self.height, chest)

    def upright(self, x: float) -> FloatArray:
        """(k, 3) the longest cut along a plane from front to back, without the arms."""
        cuts = cut(self.vertices, self.faces, ACROSS, np.array([x]))
        return cuts.chain(int(cuts.on(0)[0]))

    @cached_property
    def middle(self) -> FloatArray:
        """(k, 3) the closed cut along the plane of symmetry, from the trunk's loop."""
        cuts = cut(self.vertices, self.skin.faces, ACROSS, np.array([0.0]))
        loops = cuts.on(0)
        if not len(loops):
            raise ScanError("the body does not reach its own middle: expected one standing doll; check the scan")
        return cuts.chain(int(loops[0]))

    @cached_property
    def crotch(self) -> FloatArray | None:
        """Where the legs part: the lowest point of the cut along the middle; None where no legs part.

        Thighs that touch have the middle between them; then it is where the middle grows thin.
        """
        middle = self.middle
        lowest = middle[middle[:, 2].argmin()]
        for level in np.arange(0.6 * self.height, lowest[2] + 0.04 * self.height, -0.004 * self.height):
            points, box = at_level(middle, float(level)), self.trunk.box(float(level))
            if np.ptp(points[:, 1]) < TOUCH * (box[1, 1] - box[0, 1]):
                return np.array([0.0, float(points[:, 1].mean()), float(level)])
        return lowest if lowest[2] > LOWEST_CROTCH * self.height else None

    @cached_property
    def legs(self) -> Mapping[str, Column]:
        """Each leg below the crotch; thighs that touch are parted in the middle."""
        if self.crotch is None:
            return {}
        faces = self.trunk.layers.between(0.0, float(self.crotch[2]))
        left = self.vertices[:, 0][faces].sum(axis=1) > 3 * self.crotch[0]
        sides = {"left": faces[left], "right": faces[~left]}
        return {side: Column(self.vertices, faces, self.height) for side, faces in sides.items() if len(faces)}


def at_level(chain: FloatArray, level: float) -> FloatArray:
    """(k, 3) where a chain of points crosses a level, or its nearest point."""
    below = chain[:, 2] < level
    at = np.flatnonzero(below[1:] != below[:-1])
    if not len(at):
        return chain[[np.abs(chain[:, 2] - level).argmin()]]
    share = (level - chain[at, 2]) / (chain[at + 1, 2] - chain[at, 2])
    return chain[at] + share[:, None] * (chain[at + 1] - chain[at])


def figure_of(skin: Skin) -> Figure:
    """Find the arms of an upright skin, in any pose."""
    vertices, faces = skin.vertices, skin.faces
    edges = graph.edges_of(faces, len(vertices))
    height = float(np.ptp(vertices[:, 2]))
    net = graph.net_of(vertices, edges, height / 120)
    near = net.neighbours()
    source = int(((net.points - vertices.mean(axis=0)) ** 2).sum(axis=1).argmin())
    limbs: dict[str, Limb] = {}
    for tip in _hands(net.points, graph.tips(near, graph.distances(near, source), 0.1 * height), height):
        limb = find_arm(vertices, faces, net, near, tip)
        side = "left" if net.points[tip, 0] > 0 else "right"
        if limb and (side not in limbs or length(limb.axis) > length(limbs[side].axis)):
            limbs[side] = limb
    return Figure(skin, limbs, {side: arm_vertices(vertices, edges, limb) for side, limb in limbs.items()})


def _hands(points: FloatArray, found: list[tuple[int, int]], height: float) -> list[int]:
    """Tips that may be hands: off the middle, clear of the floor, and not the crown."""
    ends = [tip for tip, _ in found]
    return [tip for tip in ends if abs(points[tip, 0]) > 0.06 * height and points[tip, 2] > 0.12 * height]
