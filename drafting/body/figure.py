"""A skin made ready for the tape: its arms, a stack of level cuts without them, and the cut along its middle."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..errors import ScanError
from . import graph
from .arms import Limb, find_arm
from .body import SIDES, FloatArray, IntArray, Skin
from .column import Column
from .parts import arm_vertices
from .sections import BoolArray, Layers, cut
from .steady import bowed
from .tape import length
from .weld import used_by

ACROSS = np.array([1.0, 0.0, 0.0])
LOWEST_CROTCH = 0.08
"""A body whose middle reaches lower than this share of its height has no legs that part."""
MARGIN = 0.06
"""A tape between two points strays no farther above or below them than this share of the height."""
PRESSED = 0.05
"""A trunk is nowhere so hollow, as a share of its girth; one with arms against it is. Sample bodies: 0.034 at most."""
ROUND = 0.02
"""The crotch is round within this share of the height to both sides of its lowest point."""
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
    def whole(self) -> bool:
        """Whether it has arms and legs, so that its proportions can be trusted."""
        return bool(self.limbs) and self.crotch is not None

    @cached_property
    def doubtful(self) -> BoolArray:
        """(LEVELS,) where an arm that was not told apart may lie against the trunk, so that a tape would take it in.

        Such an arm shows by loops beside the trunk at some levels, or by the hollows between it and the trunk. Where
        all arms stand beside the trunk as loops of their own, the trunk is clear.
        """
        trunk, lost = self.trunk, len(SIDES) - len(self.limbs)
        low = self.crotch[2] if self.crotch is not None else 0.0
        inner = (trunk.levels > low) & (trunk.levels < 0.85 * self.height)
        signs = inner & (trunk.levels > low + 0.05 * self.height) & ((trunk.beside > 0) | (trunk.hollow > PRESSED))
        return inner & (trunk.beside < lost) & bool(lost and signs.any())

    def clear(self, level: float) -> bool:
        """Whether a tape at a level goes round the trunk alone."""
        return not self.doubtful[np.abs(self.trunk.levels - level).argmin()]

    @property
    def vertices(self) -> FloatArray:
        """(n, 3) the skin's vertices."""
        return self.skin.vertices

    @cached_property
    def height(self) -> float:
        """Crown above sole, mm."""
        return float(np.ptp(self.vertices[:, 2]))

    @cached_property
    def layers(self) -> Layers:
        """All faces by height."""
        return Layers.of(self.vertices, self.skin.faces)

    @cached_property
    def limb_faces(self) -> Mapping[int, IntArray]:
        """Of each arm, by its side's sign, the (m, 3) faces that may belong to it."""
        return {limb.side: self.skin.faces.take(limb.faces, axis=0) for limb in self.limbs.values()}

    def near(self, *levels: float) -> IntArray:
        """Faces between the lowest and the highest of these levels and a little beyond."""
        margin = MARGIN * self.height
        return self.layers.between(min(levels) - margin, max(levels) + margin)

    def points(self, low: float, high: float) -> FloatArray:
        """(k, 3) vertices of the trunk's and the legs' faces between two levels, and some beyond."""
        near = used_by(self.trunk.layers.between(low, high), len(self.vertices))
        return self.vertices.take(near, axis=0)

    @cached_property
    def trunk(self) -> Column:
        """Trunk, neck and head: all faces that are not wholly of an arm."""
        pits = [limb.armpit[2] for limb in self.limbs.values()]
        chest = float(np.mean(pits)) - 0.02 * self.height if pits else 0.6 * self.height
        arm = np.zeros(len(self.vertices), bool)
        for mine in self.arms.values():
            arm |= mine
        a, b, c = (arm.take(corner) for corner in self.layers.faces.T)
        return Column(self.layers.only(~(a & b & c)), self.height, chest)

    @property
    def faces(self) -> IntArray:
        """Faces that are not wholly of an arm, by height."""
        return self.trunk.layers.faces

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
        lowest = self._lowest(middle)
        for level in np.arange(0.6 * self.height, lowest[2] + 0.04 * self.height, -0.004 * self.height):
            points, box = at_level(middle, float(level)), self.trunk.box(float(level))
            if np.ptp(points[:, 1]) < TOUCH * (box[1, 1] - box[0, 1]):
                return np.array([0.0, float(points[:, 1].mean()), float(level)])
        return lowest if lowest[2] > LOWEST_CROTCH * self.height else None

    def _lowest(self, middle: FloatArray) -> FloatArray:
        """Lowest point of a chain of points, told from all that lies near it."""
        below = middle[:, 1:] * [1, -1]
        aside, deep = bowed(below[:-1], below[1:], ROUND * self.height)
        return np.array([0.0, aside, -deep])

    @cached_property
    def legs(self) -> Mapping[str, Column]:
        """Each leg below the crotch; thighs that touch are parted in the middle."""
        if self.crotch is None:
            return {}
        low = self.trunk.layers.below(float(self.crotch[2]))
        left = self.vertices[:, 0].take(low.faces).sum(axis=1) > 3 * self.crotch[0]
        sides = {"left": low.only(left), "right": low.only(~left)}
        return {side: Column(layers, self.height) for side, layers in sides.items() if len(layers.faces)}


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
    edges = graph.edges_of(faces, len(vertices), skin.closed)
    height = float(np.ptp(vertices[:, 2]))
    net = graph.net_of(*graph.strung(vertices, edges, height / 80, height / 120), height / 120)
    ways = net.ways()
    source = int(((net.points - vertices.mean(axis=0)) ** 2).sum(axis=1).argmin())
    limbs: dict[str, Limb] = {}
    for tip in _hands(vertices, net.points, graph.tips(ways, graph.distances(ways, source), 0.1 * height)):
        limb = find_arm(vertices, faces, net, ways, tip)
        side = "left" if net.points[tip, 0] > 0 else "right"
        if (
            limb
            and limb.side * limb.armpit[0] > 0
            and (side not in limbs or length(limb.axis) > length(limbs[side].axis))
        ):
            limbs[side] = limb
    arms = {side: arm_vertices(vertices, edges, limb) for side, limb in limbs.items()}
    free = [side for side in SIDES if side in limbs and not limbs[side].stuck(vertices[arms[side]])]
    return Figure(skin, {side: limbs[side] for side in free}, {side: arms[side] for side in free})


def _hands(vertices: FloatArray, points: FloatArray, found: list[tuple[int, int]]) -> list[int]:
    """Tips that may be hands: off the middle, and clear of the floor where there are legs to stand on it."""
    height = float(np.ptp(vertices[:, 2]))
    middle = vertices[np.abs(vertices[:, 0]) < 0.01 * height, 2]
    legs = bool(len(middle)) and float(middle.min()) > LOWEST_CROTCH * height
    low = 0.12 * height if legs else -1.0
    return [tip for tip, _ in found if abs(points[tip, 0]) > 0.06 * height and points[tip, 2] > low]
