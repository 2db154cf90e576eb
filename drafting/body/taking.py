"""How the tape is handled: level rings, plumb lines, paths, and the tapes round foot, arm and hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ..errors import MeasureError
from .arm_line import ring_about
from .arms import Limb
from .body import FloatArray
from .column import Column, Ring
from .figure import Figure
from .landmarks import BACK, HEEL, arm_ring
from .sections import cut, cut_each
from .steady import FLAT, bowed, plateau
from .tape import lay, length, support, taut, walk

UP = np.array([0.0, 0.0, 1.0])
PRESSED = "an arm lies against the body and cannot be told from it; spread the arms, or tape this by hand"
HANDLESS = "the arm ends without a hand"
ARM_MARKS, TRUNK_MARKS = ("armpit", "shoulder", "elbow", "wrist", "hand"), ("neck", "bust", "underbust", "waist", "hip")
WHY = {
    "crotch": "its legs do not part",
    "hip": "its legs do not part below a waist",
    "waist": "its trunk is nowhere narrower than above and below",
    "bust": "no bust shows on its trunk between waist and armpits",
    "underbust": "no fold shows under a bust between waist and armpits",
    "neck": "no neck rises between its shoulders",
    "knee": "it has no such leg",
    "ankle": "it has no such leg",
    "heel": "its leg ends without a foot",
    "toe": "its leg ends without a foot",
}
"""Why a landmark was not found, by the first word of its name."""
WRIST = 0.06
"""The tape looks for the narrowest within this share of the arm's length to both sides of the wrist."""
FLARE = 0.3
"""So much of the upper arm, from the joint on, flares into the shoulder; common practice, no source."""


@dataclass(frozen=True)
class Taking:
    """A figure with its landmarks, ready to be measured."""

    figure: Figure
    marks: Mapping[str, FloatArray]

    def at(self, name: str) -> FloatArray:
        """One landmark."""
        if name not in self.marks:
            stem, _, side = name.partition("_")
            pressed = self.figure.doubtful.any()
            why = PRESSED if pressed and stem in TRUNK_MARKS else WHY.get(stem, f"this doll shows no {stem}")
            raise MeasureError(self.untold(side) if stem in ARM_MARKS else why)
        return self.marks[name]

    def limb(self, side: str) -> Limb:
        """One arm."""
        if side not in self.figure.limbs:
            raise MeasureError(self.untold(side))
        return self.figure.limbs[side]

    def handed(self, side: str) -> Limb:
        """One arm that has a hand, so that its wrist and elbow are known."""
        limb = self.limb(side)
        if not limb.hand:
            raise MeasureError(HANDLESS)
        return limb

    def untold(self, side: str) -> str:
        """Why there is no arm to measure."""
        if self.figure.doubtful.any():
            return PRESSED
        return f"this doll shows no {side} arm that stands clear of the body"

    def pit(self) -> float:
        """Level of the armpits."""
        pits = [self.marks[name][2] for name in ("armpit_left", "armpit_right") if name in self.marks]
        if not pits:
            raise MeasureError(self.untold("left"))
        return float(np.mean(pits))

    def clear_of_arms(self) -> None:
        """Refuse where a hand may lie against a thigh."""
        if self.figure.doubtful.any():
            raise MeasureError(PRESSED)

    def trunk(self, name: str, other: str | None = None) -> Ring | None:
        """The tape round the trunk at a landmark's level, or half-way between two; no arm may lie against it there."""
        level = float(self.at(name)[2] + self.at(other or name)[2]) / 2
        if not self.figure.clear(level):
            raise MeasureError(PRESSED)
        return self.figure.trunk.ring(level)

    def leg(self, side: str) -> Column:
        """One leg."""
        if side not in self.figure.legs:
            raise MeasureError(WHY["crotch"])
        return self.figure.legs[side]


Taken = tuple[float, float | None, FloatArray | None]
"""Millimetres, level, path."""


def ring_of(ring: Ring | None) -> Taken:
    """A level girth, or why there is none."""
    if ring is None:
        raise MeasureError("no closed section of the skin lies there")
    return ring.mm, ring.level, ring.path


def path_of(*parts: FloatArray) -> Taken:
    """A length along paths laid end to end."""
    path = np.vstack(parts)
    return sum(length(part) for part in parts), None, path


def plumb(top: FloatArray, low: float) -> Taken:
    """A plumb distance from a point down to a level."""
    path = np.array([top, [top[0], top[1], low]])
    return float(top[2] - low), None, path


def heel_ankle_tape(on: Taking, side: str) -> Taken:
    """The shortest tape through the back corner of the heel, over all tilts of its plane."""
    figure, heel, ahead = on.figure, on.at(f"heel_{side}"), foot_ahead(on, side)
    faces = on.leg(side).layers.between(-1.0, 2.5 * float(on.at(f"ankle_{side}")[2]))
    long = float((on.at(f"toe_{side}") - heel) @ ahead)
    aside, tilts = np.cross(UP, ahead), np.radians(np.arange(15, 76, 3))[:, None]
    profile = cut(figure.vertices, faces, aside, np.array([heel @ aside]))
    flat = np.stack([ahead - UP, -ahead - UP], axis=1) / np.sqrt(2)
    corner = bowed((profile.start - heel) @ flat, (profile.end - heel) @ flat, HEEL * long)
    back = heel + flat @ corner + 0.02 * long * (ahead + UP)
    normals = np.cross(aside, np.cos(tilts) * ahead + np.sin(tilts) * UP)
    cuts = cut_each(figure.vertices, faces, normals, np.tile(back, (len(normals), 1)))
    taken = []
    for plane, normal in enumerate(normals):
        whole = [int(loop) for loop in cuts.on(plane)[:3] if cuts.closed(int(loop))]
        if whole:
            near = min(whole, key=lambda loop: float(((cuts.points(loop) - back) ** 2).sum(axis=1).min()))
            taken.append((near, normal))
    if not taken:
        raise MeasureError("no closed section of the foot passes heel and instep")
    loop, normal = min(taken, key=lambda each: float(cuts.girth[each[0]]))
    mm, path = taut(cuts.points(loop), normal)
    return mm, None, path


def foot_ahead(on: Taking, side: str) -> FloatArray:
    """Level direction of a foot, from heel to toe."""
    way = (on.at(f"toe_{side}") - on.at(f"heel_{side}")) * np.array([1.0, 1.0, 0.0])
    return way / np.linalg.norm(way)


def upper_arm_tape(on: Taking, side: str) -> Taken:
    """The longest tape square to the upper arm, below its flare into the shoulder."""
    limb = on.limb(side)
    upper = limb.axis[0] - walk(limb.axis, limb.elbow)
    upper /= np.linalg.norm(upper)
    below = float((limb.axis[0] - limb.fork) @ upper) + 0.06 * limb.elbow
    return _best(on, limb, np.linspace(0.85 * limb.elbow, max(below, FLARE * limb.elbow), 25), upper, 1)


def wrist_tape(on: Taking, side: str) -> Taken:
    """The shortest tape square to the forearm, near the wrist."""
    limb = on.handed(side)
    fore = walk(limb.axis, limb.wrist) - walk(limb.axis, (limb.elbow + limb.wrist) / 2)
    return _best(on, limb, limb.wrist * np.linspace(1 - WRIST, 1 + WRIST, 25), fore / np.linalg.norm(fore), -1)


def _best(on: Taking, limb: Limb, at: FloatArray, way: FloatArray, sign: int) -> Taken:
    """The longest (sign 1) or shortest (-1) of the tapes round an arm at some places along it, square to `way`; the
    middle one of those that are as good, as where an arm is even.
    """
    middles = walk(limb.axis, at)
    middles = middles[np.argsort(middles @ way)]
    cuts = cut(on.figure.vertices, on.figure.limb_faces[limb.side], way, middles @ way)
    rings = [loop for plane, middle in enumerate(middles) if (loop := ring_about(cuts, plane, middle)) >= 0]
    if not rings:
        raise MeasureError("the arm has no closed section there")
    alike = plateau(cuts.girth[rings], sign, FLAT)
    mm, path = taut(cuts.points(rings[int(alike[len(alike) // 2])]), way)
    return mm, float(path[:, 2].mean()), path


def across(on: Taking, limb: Limb, middle: FloatArray, way: FloatArray) -> Taken:
    """The tape round an arm through `middle`, square to `way`."""
    mm, path = arm_ring(on.figure, limb, middle, way / np.linalg.norm(way))
    return mm, float(middle[2]), path


def hand_tape(on: Taking, side: str) -> Taken:
    """The longest tape square to the hand, thumb and all fingers within it."""
    limb, figure = on.handed(side), on.figure
    wrist, tip = walk(limb.axis, limb.wrist), limb.axis[-1]
    reach = float(np.linalg.norm(tip - wrist))
    way = (tip - wrist) / reach
    arm = figure.limb_faces[limb.side]
    mine = arm.take(np.flatnonzero(figure.arms[side].take(arm).all(axis=1)), axis=0)
    offsets = float(wrist @ way) + np.linspace(0.02, 0.9, 45) * reach
    cuts = cut(figure.vertices, mine, way, offsets)
    sections = [cuts.start[cuts.plane == plane] for plane in np.unique(cuts.plane)]
    mm, path = taut(max(sections, key=lambda points: support(points, way)), way)
    return mm, float(path[:, 2].mean()), path


def down_the_back(on: Taking, level: float) -> FloatArray:
    """The middle of the back from the neck down to a level."""
    path = lay(on.figure.middle, on.at("neck_back"), on.at("waist_back"), BACK)
    return until(path, level)


def until(path: FloatArray, level: float) -> FloatArray:
    """A path that goes down, cut off at a level."""
    below = np.flatnonzero(path[:, 2] <= level)
    if not len(below) or below[0] == 0:
        return path
    at = below[0]
    share = (path[at - 1, 2] - level) / (path[at - 1, 2] - path[at, 2])
    return np.vstack([path[:at], path[at - 1] + share * (path[at] - path[at - 1])])
