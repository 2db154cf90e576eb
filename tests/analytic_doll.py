"""A doll whose girths are known in closed form: an elliptic trunk, round limbs, a ball for a head, all one skin.

The mesh is lofted, ring by ring, so that every vertex of a constant stretch lies on its ellipse or circle exactly.
A limb leaves the trunk through a patch of the trunk's grid; the patch's rim becomes the limb's first ring.
"""

from __future__ import annotations

import itertools
from math import pi

import numpy as np
from numpy.typing import NDArray
from scipy.special import ellipe

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Ring = IntArray  # numbers of the vertices round a section

ROUND = 144  # vertices round the trunk; a multiple of 4
HEIGHT, HEAD, NECK = 420.0, 27.0, 12.5
LEG, ANKLE, LEG_X = 22.0, 12.0, 26.0
UPPER_ARM, WRIST, HAND = 10.0, 7.0, 9.0
HIP, WAIST, BUST = (54.0, 38.0), (36.0, 27.0), (44.0, 36.0)  # half width and half depth
HIP_LEVELS, WAIST_LEVELS, BUST_LEVELS, NECK_LEVELS = (208.0, 236.0), (258.0, 272.0), (294.0, 335.0), (356.0, 366.0)
THIGH_LEVELS, ANKLE_LEVELS = (130.0, 172.0), (32.0, 56.0)
CROTCH = 190.0
ARM_LEVELS, ARM_ROWS, ARM_HALF = (312.0, 334.0), 14, 6  # the patch an arm leaves through: rows up, columns to each side
UPPER_ARM_STRETCH, WRIST_STRETCH, ARM_END = (16.0, 70.0), (100.0, 118.0), 150.0  # along the arm from its root
ARM_BELOW_LEVEL = 45.0


def ellipse_girth(wide: float, deep: float) -> float:
    """Perimeter of an ellipse from its half axes, by the complete elliptic integral of the second kind."""
    long, short = max(wide, deep), min(wide, deep)
    return float(4 * long * ellipe(1 - (short / long) ** 2))


def analytic_doll(arm_below_level: float = ARM_BELOW_LEVEL) -> tuple[FloatArray, IntArray, dict[str, float]]:
    """The doll and what a tape must read on it.

    Parameters
    ----------
    arm_below_level : float
        Degrees by which the arms fall outwards.

    Returns
    -------
    vertices : (n, 3) float
        Millimetres; z up, faces -y, left hand at +x, soles at z = 0.
    faces : (m, 3) int
        Counter-clockwise seen from outside; one closed surface.
    sizes : dict of str to float
        See `sizes`.
    """
    loft = Loft()
    trunk = loft.trunk()
    between = loft.crotch()
    for side in (1, -1):
        loft.arm(trunk, side, arm_below_level)
        loft.leg(trunk[0], between, side)
    loft.head(trunk[-1])
    used, faces = np.unique(np.array(loft.faces), return_inverse=True)  # nothing of the trunk under the arms
    return np.array(loft.points)[used], faces.reshape(-1, 3), sizes(arm_below_level)


def sizes(arm_below_level: float = ARM_BELOW_LEVEL) -> dict[str, float]:
    """Every dimension in closed form, mm.

    `height`; `NAME_girth` for bust, waist, hip, neck, head, thigh, ankle, upper_arm, wrist. `NAME_low` and `NAME_high`
    are the heights between which a level girth is constant. For the arms `NAME_from` and `NAME_to` are distances along
    the axis, which starts at (+-`arm_x`, 0, `arm_z`) and falls outwards by `arm_below_level` degrees.
    """
    girths = {
        "bust": ellipse_girth(*BUST),
        "waist": ellipse_girth(*WAIST),
        "hip": ellipse_girth(*HIP),
        "neck": 2 * pi * NECK,
        "head": 2 * pi * HEAD,
        "thigh": 2 * pi * LEG,
        "ankle": 2 * pi * ANKLE,
        "upper_arm": 2 * pi * UPPER_ARM,
        "wrist": 2 * pi * WRIST,
    }
    stretches = {
        "bust": (BUST_LEVELS[0], ARM_LEVELS[0]),
        "waist": WAIST_LEVELS,
        "hip": HIP_LEVELS,
        "neck": NECK_LEVELS,
        "thigh": THIGH_LEVELS,
        "ankle": ANKLE_LEVELS,
    }
    return {
        "height": HEIGHT,
        "crotch_level": CROTCH,
        "arm_x": BUST[0],
        "arm_z": sum(ARM_LEVELS) / 2,
        "arm_below_level": arm_below_level,
        "arm_end": ARM_END,
        "upper_arm_from": UPPER_ARM_STRETCH[0],
        "upper_arm_to": UPPER_ARM_STRETCH[1],
        "wrist_from": WRIST_STRETCH[0],
        "wrist_to": WRIST_STRETCH[1],
        **{f"{name}_girth": girth for name, girth in girths.items()},
        **{f"{name}_low": low for name, (low, _) in stretches.items()},
        **{f"{name}_high": high for name, (_, high) in stretches.items()},
    }


def ramp(first: FloatArray | float, last: FloatArray | float, steps: int) -> list[FloatArray]:
    """From first (left out) to last in soft steps."""
    share = np.arange(1, steps + 1) / steps
    return [np.asarray(first + (last - first) * s) for s in share * share * (3 - 2 * share)]


def trunk_sections() -> FloatArray:
    """Height, half width and half depth of each ring from hip to neck, (k, 3)."""
    hip, waist, bust = np.array(HIP), np.array(WAIST), np.array(BUST)
    rows = [(level, *hip) for level in np.linspace(*HIP_LEVELS, 10)]
    rows += zip_levels(HIP_LEVELS[1], WAIST_LEVELS[0], ramp(hip, waist, 9))
    rows += [(level, *waist) for level in np.linspace(*WAIST_LEVELS, 6)[1:]]
    rows += zip_levels(WAIST_LEVELS[1], BUST_LEVELS[0], ramp(waist, bust, 9))
    rows += [(level, *bust) for level in np.linspace(BUST_LEVELS[0], ARM_LEVELS[0], 8)[1:]]
    rows += [(level, *bust) for level in np.linspace(*ARM_LEVELS, ARM_ROWS + 1)[1:]]
    shoulder = np.radians(np.linspace(0, 90, 16))
    for turn in shoulder:
        level = BUST_LEVELS[1] + (NECK_LEVELS[0] - BUST_LEVELS[1]) * np.sin(turn)
        rows.append((level, *(NECK + (bust - NECK) * np.cos(turn))))
    rows += [(level, NECK, NECK) for level in np.linspace(*NECK_LEVELS, 6)[1:]]
    return np.array(rows)


def zip_levels(low: float, high: float, axes: list[FloatArray]) -> list[tuple[float, ...]]:
    levels = np.linspace(low, high, len(axes) + 1)[1:]
    return [(level, *axis) for level, axis in zip(levels, axes, strict=True)]


class Loft:
    """Points and triangles under construction.

    A ring holds vertex numbers, counter-clockwise as seen by one who looks back at the loft as it comes.
    """

    def __init__(self) -> None:
        self.points: list[FloatArray] = []
        self.faces: list[tuple[int, int, int]] = []

    def add(self, points: FloatArray) -> Ring:
        first = len(self.points)
        self.points.extend(points)
        return np.arange(first, len(self.points))

    def at(self, ring: Ring) -> FloatArray:
        return np.array([self.points[i] for i in ring])

    def quad(self, a: int, b: int, c: int, d: int) -> None:
        """Two triangles over a, b, c, d, cut along the shorter diagonal."""
        p = self.points
        if np.linalg.norm(p[a] - p[c]) <= np.linalg.norm(p[b] - p[d]):
            self.faces += [(a, b, c), (a, c, d)]
        else:
            self.faces += [(a, b, d), (b, c, d)]

    def tube(self, ring: Ring, further: list[FloatArray]) -> Ring:
        """On from a ring through rings of as many points each; the last one's numbers."""
        for points in further:
            fresh = self.add(points)
            for i, j in zip(range(len(ring)), np.roll(range(len(ring)), -1), strict=True):
                self.quad(ring[i], ring[j], fresh[j], fresh[i])
            ring = fresh
        return ring

    def cap(self, ring: Ring, tip: FloatArray) -> None:
        (top,) = self.add(tip[None])
        self.faces += [(a, b, top) for a, b in zip(ring, np.roll(ring, -1), strict=True)]

    def trunk(self) -> list[Ring]:
        """Elliptic rings from hip to neck, vertex 0 at +x, on to the back; the arms' patches stay open."""
        turn = 2 * pi * np.arange(ROUND) / ROUND
        rings = [
            self.add(np.stack([wide * np.cos(turn), deep * np.sin(turn), np.full(ROUND, level)], 1))
            for level, wide, deep in trunk_sections()
        ]
        from_side = np.abs((np.arange(ROUND) + 0.5 + ROUND / 4) % (ROUND / 2) - ROUND / 4)
        for low, high in itertools.pairwise(rings):
            beside_arm = ARM_LEVELS[0] <= self.points[low[0]][2] < ARM_LEVELS[1]
            for i in range(ROUND):
                if not (beside_arm and from_side[i] < ARM_HALF):
                    j = (i + 1) % ROUND
                    self.quad(low[i], low[j], high[j], high[i])
        return rings

    def arm(self, trunk: list[Ring], side: int, below_level: float) -> None:
        """From the patch's rim: straight and round, narrower at the wrist, a small round hand."""
        rows = [ring for ring in trunk if ARM_LEVELS[0] <= self.points[ring[0]][2] <= ARM_LEVELS[1]]
        middle = 0 if side > 0 else ROUND // 2
        grid = np.array([[row[(middle + k) % ROUND] for k in range(-ARM_HALF, ARM_HALF + 1)] for row in rows])
        rim = np.concatenate([grid[0, :-1], grid[:-1, -1], grid[-1, :0:-1], grid[:0:-1, 0]])
        slope = np.radians(below_level)
        way = np.array([side * np.cos(slope), 0, -np.sin(slope)])
        up = np.array([side * np.sin(slope), 0, np.cos(slope)])
        back = np.array([0.0, side, 0.0])
        root = np.array([side * BUST[0], 0, sum(ARM_LEVELS) / 2])
        first = self.points[rim[0]] - root
        angle = np.arctan2(first @ up, first @ back) + 2 * pi * np.arange(len(rim)) / len(rim)
        circle = np.cos(angle)[:, None] * back + np.sin(angle)[:, None] * up
        sections = [root + along * way + radius * circle for along, radius in arm_sections()]
        joint = ramp(self.at(rim), sections[0], 7)
        self.cap(self.tube(rim, joint + sections[1:]), root + ARM_END * way)

    def crotch(self) -> Ring:
        """The line from front to back between the legs."""
        y = np.linspace(-HIP[1], HIP[1], 34)[1:-1]
        z = CROTCH + (HIP_LEVELS[0] - CROTCH) * (y / HIP[1]) ** 2
        return self.add(np.stack([np.zeros_like(y), y, z], 1))

    def leg(self, hip: Ring, between: Ring, side: int) -> None:
        """Half of the hip and the line between the legs lead to a round thigh, an ankle and a foot."""
        quarter = ROUND // 4
        outer = np.roll(hip, quarter)[: 2 * quarter + 1] if side > 0 else hip[quarter : 3 * quarter + 1]
        rim = np.concatenate([outer, between[::-1] if side > 0 else between])[::-1]
        centre = np.array([side * LEG_X, 0.0, 0.0])
        first = self.points[rim[0]] - centre
        angle = np.arctan2(first[1], first[0]) - 2 * pi * np.arange(len(rim)) / len(rim)
        circle = np.stack([np.cos(angle), np.sin(angle), np.zeros_like(angle)], 1)
        up = np.array([0.0, 0.0, 1.0])
        sections = [centre + level * up + radius * circle for level, radius in leg_sections()]
        forward = np.array([0.0, -1.0, 0.0])
        front = np.clip(circle @ forward, 0, 1)[:, None] ** 2
        for drop, reach in ((26.0, 6.0), (20.0, 15.0), (14.0, 24.0), (7.0, 30.0), (0.0, 30.0)):
            sections.append(centre + drop * up + (ANKLE + 0.03 * reach) * circle + reach * front * forward)
        sole = sections[-1]
        middle = centre + 10.0 * forward
        sections += [middle + share * (sole - middle) for share in (0.75, 0.5, 0.25)]
        self.cap(self.tube(rim, ramp(self.at(rim), sections[0], 9) + sections[1:]), middle)

    def head(self, neck: Ring) -> None:
        """A ball on the neck, up to the crown."""
        turn = 2 * pi * np.arange(ROUND) / ROUND
        circle = np.stack([np.cos(turn), np.sin(turn), np.zeros(ROUND)], 1)
        up = np.array([0.0, 0.0, 1.0])
        tilts = np.linspace(pi - np.arcsin(NECK / HEAD), 0, 50)[:-1]
        ball = [(HEIGHT - HEAD + HEAD * np.cos(tilt)) * up + HEAD * np.sin(tilt) * circle for tilt in tilts]
        self.cap(self.tube(neck, ball), HEIGHT * up)


def arm_sections() -> list[tuple[float, float]]:
    """Distance along the arm and radius, from the end of the shoulder to just before the finger tips."""
    rows = [(along, UPPER_ARM) for along in np.linspace(*UPPER_ARM_STRETCH, 28)]
    rows += zip_levels(UPPER_ARM_STRETCH[1], WRIST_STRETCH[0], [r[None] for r in ramp(UPPER_ARM, WRIST, 15)])
    rows += [(along, WRIST) for along in np.linspace(*WRIST_STRETCH, 10)[1:]]
    rows += zip_levels(WRIST_STRETCH[1], ARM_END - 2 * HAND, [r[None] for r in ramp(WRIST, HAND, 8)])
    turn = np.radians(np.linspace(0, 90, 12))[1:-1]
    return rows + [(ARM_END - 2 * HAND * (1 - np.sin(t)), HAND * np.cos(t)) for t in turn]


def leg_sections() -> list[tuple[float, float]]:
    """Height and radius from the top of the thigh down to the ankle."""
    rows = [(level, LEG) for level in np.linspace(*THIGH_LEVELS[::-1], 20)]
    rows += zip_levels(THIGH_LEVELS[0], ANKLE_LEVELS[1], [r[None] for r in ramp(LEG, ANKLE, 30)])
    return rows + [(level, ANKLE) for level in np.linspace(*ANKLE_LEVELS[::-1], 10)[1:]]
