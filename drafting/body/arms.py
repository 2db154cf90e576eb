"""Finding the arms: from the finger tips inwards, whatever the pose, up to the root where the sleeve is set in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import graph
from .body import Arm, FloatArray, IntArray
from .sections import Cuts, cut, cut_each, extent
from .steady import bowed, summit, turning
from .tape import length, lengths, walk

LEAP = 1.2
"""A section that grows by so much from one cut to the next has met the trunk."""
MERGED = 1.8
"""A section so much longer than the upper arm has met the trunk, however slowly."""
SPREAD = 0.04
"""No arm is thicker in its ring's standard deviation than this share of the height; rings in the trunk are."""
SLIM = 0.05
"""All sections within this share of the narrowest have a say in where the wrist is."""
NOTCH = 0.1
"""An arm narrows and widens evenly within this share of its length to both sides of the wrist."""
STUCK = 2.6
"""An arm root is no taller than so many times the arm's thickness; those of the sample bodies are 0.9 to 1.6."""
HAND_FULL = 1.1
"""A hand is fuller than the wrist by this factor."""
WRIST_SLIM = 0.9
"""A wrist is slimmer than the upper arm by this factor at least; the sample bodies' are below 0.6."""
STUMP = 0.95
"""The wrist of an arm without a hand, as a share of its length: a tape must lie before the end."""
JOINT = 0.012
"""So near the joint, as a share of the height, an arm's middle is not looked for: the trunk is about it."""
ROUND = 0.012
"""The top of the arm root is round from front to back within this share of the height to both sides."""
CREASE, CREASE_CUTS = 0.008, 17
"""The crease of the armpit is round within this share of the height; so many cuts show how it runs."""
STATIONS = 40
"""Sections along an arm."""
HAND_SHARE = 0.24
"""Hand of the whole arm, to start with: hand 193 mm of 780 mm from acromion to fingertip. From memory (ANSUR II)."""
ELBOW_SHARE = 0.575
"""Elbow between shoulder and wrist where an arm shows no bend. From memory (ANSUR II, upper arm and forearm)."""
ROOT_LEAN = 1 / 3
"""The arm root leans outwards by a third of the angle between the plumb line and the plane across the upper arm.

An arm that hangs gives 30 degrees; ANSUR II's axilla (chest breadth 289 / 2, height 1328 mm) and acromion (biacromial
breadth 415 / 2, height 1439 mm) stand at atan(63 / 111) = 29.6 degrees.
"""


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


def find_arm(vertices: FloatArray, faces: IntArray, net: graph.Net, near: list, tip: int) -> Limb | None:
    """The arm that ends at a node of the net, or None where nothing there is like an arm."""
    height = float(np.ptp(vertices[:, 2]))
    side = 1 if net.points[tip, 0] > 0 else -1
    far = graph.distances(near, tip)
    line, reach = _rough_line(net.points, far, height)
    if reach < 0.12 * height:
        return None
    from_tip = far[net.node]
    farthest = extent(from_tip[faces])[1]
    mine = np.flatnonzero(farthest < reach + 0.3 * height)
    # The arm alone, so that no cut has to look at the whole body again.
    used = np.unique(faces[mine])
    place = np.zeros(len(vertices), np.int64)
    place[used] = np.arange(len(used))
    skin, from_tip, farthest, own = vertices[used], from_tip[used], farthest[mine], place[faces[mine]]
    upper, start = _heading(line, 0.55, 0.85), walk(line, 0.62 * length(line))
    axis = line
    for last in (False, False, True):
        loop = _march(skin, own, start, upper, height)
        if loop is None:
            return None
        fork = _fork(loop, upper, side)
        armpit = _crease(skin, own, fork, upper, height) if last else fork
        lean, across = _lean(upper, side), upper
        deep = float(from_tip[((skin - fork) ** 2).sum(axis=1).argmin()])
        kept = farthest < deep + 0.2 * height
        mine, farthest, own = mine[kept], farthest[kept], own[kept]
        arm = own[farthest < deep + 0.04 * height]
        root = _root(skin, own, armpit, lean, side, height)
        if root is None:
            return None
        shoulder, joint = root
        axis, girth = _centre_line(skin, arm, axis, joint, fork, upper, height)
        wrist, elbow, with_hand = _joints(skin, arm, axis, girth, 2 if last else 0)
        upper = axis[0] - walk(axis, elbow)
        upper /= np.linalg.norm(upper)
        start = walk(axis, 0.7 * elbow)
        finger = _fingertip(skin, arm, walk(axis, wrist), axis[-1])
        if finger < 0:
            return None
        axis, tip_vertex = np.vstack([axis[:-1], skin[finger]])[::-1], int(used[finger])
    axis, girth = _straight_hand(axis[::-1], girth, wrist)
    return Limb(side, tip_vertex, axis, girth, fork, armpit, shoulder, across, lean, mine, elbow, wrist, with_hand)


def _rough_line(points: FloatArray, far: FloatArray, height: float) -> tuple[FloatArray, float]:
    """Middles of the rings at equal distance from the tips, up to the ring that spreads into the trunk."""
    step = 0.012 * height
    ring = np.where(np.isfinite(far), far / step, 0).astype(int)
    line, spread = [], []
    for index in range(int(0.62 * height / step)):
        here = points[np.isfinite(far) & (ring == index)]
        if len(here) < 2:
            break
        line.append(here.mean(axis=0))
        spread.append(float(np.sqrt(((here - line[-1]) ** 2).sum(axis=1).mean())))
        usual = float(np.median(spread[-10:]))
        if len(spread) > 12 and spread[-1] > max(SPREAD * height, 1.6 * usual):
            while len(spread) > 6 and spread[-1] > 1.25 * usual:
                spread.pop()
                line.pop()
            break
    return np.array(line), len(line) * step


def _heading(line: FloatArray, low: float, high: float) -> FloatArray:
    """Unit direction of the part of a line between two shares of its length, from the tips inwards."""
    whole = length(line)
    way = walk(line, high * whole) - walk(line, low * whole)
    return way / np.linalg.norm(way)


def ring_about(cuts: Cuts, plane: int, middle: FloatArray) -> int:
    """The closed loop round `middle`, or the nearest large one; -1 where there is none or it is not closed."""
    loops = cuts.on(plane)
    if not len(loops):
        return -1
    within = ((cuts.low[loops] <= middle + 1e-3) & (cuts.high[loops] >= middle - 1e-3)).all(axis=1)
    size = np.abs(cuts.area[loops])
    likely = loops[within] if within.any() else loops[size > 0.25 * size[0]]
    if not len(likely):
        return -1
    loop = int(likely[((cuts.middle[likely] - middle) ** 2).sum(axis=1).argmin()])
    return loop if cuts.closed(loop) else -1


def _march(
    vertices: FloatArray, own: IntArray, start: FloatArray, upper: FloatArray, height: float
) -> FloatArray | None:
    """Points of the last section across the upper arm before it meets the trunk, going inwards from `start`."""
    step, reach, middle, last = 0.006 * height, 0.3 * height, start, None
    girths: list[float] = []
    for _ in range(4):
        offsets = float(middle @ upper) + np.arange(0 if last is None else step, reach + 0.5 * step, step)
        cuts = cut(vertices, own, upper, offsets)
        for plane in range(len(offsets)):
            loop = ring_about(cuts, plane, middle)
            if loop < 0 or (len(girths) > 2 and _merged(float(cuts.girth[loop]), girths)):
                break
            girths.append(float(cuts.girth[loop]))
            last = cuts.points(loop)
            middle = cuts.middle[loop]
            middle = middle + (offsets[plane] - middle @ upper + (step if plane + 1 < len(offsets) else 0)) * upper
        if last is None:
            return None
        low, high = extent((vertices @ upper)[own] - last[0] @ upper)
        own = own[(low < 2 * step) & (high > -2 * step)]
        middle = middle - (middle @ upper - last[0] @ upper) * upper
        step, reach = step / 5, step
    return last


def _merged(girth: float, before: list[float]) -> bool:
    """Whether a section is no longer the arm alone: it grew at a leap, or beyond any arm."""
    return girth > LEAP * before[-1] or girth > MERGED * float(np.median(before))


def _fork(loop: FloatArray, upper: FloatArray, side: int) -> FloatArray:
    """The point of the last free section that lies deepest between arm and trunk."""
    inward = np.array([-side * abs(upper[2]), 0.0, -abs(upper[0])])
    inward /= np.linalg.norm(inward)
    deep = loop @ inward
    lowest = loop[deep >= deep.max() - 0.08 * np.ptp(deep)]
    return np.array([lowest[:, 0].mean(), lowest[:, 1].mean(), lowest[:, 2].mean()])


def _crease(vertices: FloatArray, own: IntArray, fork: FloatArray, upper: FloatArray, height: float) -> FloatArray:
    """The armpit, told from the whole crease between arm and trunk near the fork: it is cut in planes from front
    to back, and the tops of all cuts have a say, the nearer the more.
    """
    back, aside = np.array([0.0, 1.0, 0.0]), np.array([upper[2], 0.0, -upper[0]])
    aside /= np.linalg.norm(aside)
    up = np.cross(back, aside)
    up *= np.sign(up @ upper)
    flat, half, spot = np.stack([aside, up], axis=1), CREASE * height, fork
    close = own[(np.abs(vertices - fork).max(axis=1) < 5 * half)[own].any(axis=1)]
    for _ in range(2):
        away = np.linspace(-2 * half, 2 * half, CREASE_CUTS)
        cuts = cut(vertices, close, back, spot[1] + away)
        start, end = (cuts.start - spot) @ flat, (cuts.end - spot) @ flat
        near = (np.abs(start) < half).all(axis=1)
        planes = np.unique(cuts.plane[near])
        if len(planes) < 3:
            return fork
        tops = np.array(
            [bowed(start[mine], end[mine], half) for mine in (near & (cuts.plane == each) for each in planes)]
        )
        spot = spot + flat @ np.average(tops, axis=0, weights=1 - np.abs(away[planes]) / (2.2 * half))
    return spot


def _lean(upper: FloatArray, side: int) -> FloatArray:
    """Which way the root plane rises, from the heading of the upper arm (towards the shoulder)."""
    raised = np.degrees(np.arctan2(-side * upper[0], upper[2]))
    angle = np.radians(np.clip((90 - raised) * ROOT_LEAN, -20, 30))
    return np.array([side * np.sin(angle), 0.0, np.cos(angle)])


def _root(
    vertices: FloatArray, own: IntArray, armpit: FloatArray, lean: FloatArray, side: int, height: float
) -> tuple[FloatArray, FloatArray] | None:
    """Shoulder end of the shoulder line, and the joint in the middle of the root; None where nothing rises above."""
    across = np.array([side * lean[2], 0.0, -side * lean[0]])
    cuts = cut(vertices, own, across, np.array([armpit @ across]))
    best = [loop for loop in cuts.on(0) if cuts.low[loop, 2] <= armpit[2] + 1 and cuts.high[loop, 2] > armpit[2]]
    mine = np.isin(cuts.loop, best) if best else np.ones(len(cuts.loop), bool)
    mine &= (cuts.start - armpit) @ lean > 0
    if not mine.any():
        return None
    plane = np.stack([np.array([0.0, 1.0, 0.0]), lean], axis=1)
    top = bowed(cuts.start[mine] @ plane, cuts.end[mine] @ plane, ROUND * height)
    shoulder = plane @ top + (armpit @ across) * across
    above = cuts.start[mine, 1]
    middle, depth = (armpit + shoulder) / 2, (above.min() + above.max()) / 2
    return shoulder, np.array([middle[0], (middle[1] + depth) / 2, middle[2]])


def _centre_line(
    vertices: FloatArray,
    own: IntArray,
    line: FloatArray,
    joint: FloatArray,
    fork: FloatArray,
    upper: FloatArray,
    height: float,
) -> tuple[FloatArray, FloatArray]:
    """Middles and taut girths of sections square to the arm, from the joint to the tips."""
    start = min(float(fork @ upper), float(joint @ upper) - JOINT * height)
    rough = np.vstack([line[line @ upper < start], joint])[::-1]
    whole = length(rough)
    at = np.linspace(0, whole, STATIONS)
    spot = walk(rough, at)
    ahead = walk(rough, np.minimum(at + 0.07 * whole, whole)) - walk(rough, np.maximum(at - 0.07 * whole, 0))
    ahead /= np.linalg.norm(ahead, axis=1)[:, None]
    axis, girth = spot.copy(), np.full(STATIONS, np.nan)
    cuts = cut_each(vertices, own, ahead, spot)
    for index in range(1, STATIONS - 1):
        loop = ring_about(cuts, index, spot[index])
        if loop >= 0 and (cuts.points(loop) @ upper).max() < fork @ upper + 1e-6:
            axis[index], girth[index] = cuts.middle[loop], cuts.girth[loop]
    return axis, girth


def _fingertip(vertices: FloatArray, own: IntArray, wrist: FloatArray, near: FloatArray) -> int:
    """The vertex farthest from the wrist, within a hand's length of the rough tip; -1 where there is none."""
    members = np.unique(own)
    if not len(members):
        return -1
    away = np.linalg.norm(vertices[members] - near, axis=1)
    close = members[away <= max(0.6 * float(np.linalg.norm(near - wrist)), float(away.min()))]
    return int(close[np.linalg.norm(vertices[close] - wrist, axis=1).argmax()])


def _straight_hand(axis: FloatArray, girth: FloatArray, wrist: float) -> tuple[FloatArray, FloatArray]:
    """Fingers spread; the line through them does not."""
    along = lengths(axis)
    end, hand = walk(axis, wrist), along > wrist
    share = (along[hand] - wrist) / (along[-1] - wrist)
    straight = axis.copy()
    straight[hand] = end + share[:, None] * (axis[-1] - end)
    return straight, girth


def _joints(
    vertices: FloatArray, own: IntArray, axis: FloatArray, girth: FloatArray, finer: int
) -> tuple[float, float, bool]:
    """Distances along the axis from the joint to wrist and elbow, and whether a hand follows; sought `finer` times."""
    along = lengths(axis)
    whole = along[-1]
    fore = np.flatnonzero((along > 0.6 * whole) & (along < 0.97 * whole) & np.isfinite(girth))
    if not len(fore):
        wrist = (1 - HAND_SHARE) * whole
    else:
        # The hand begins where the arm, having grown slimmer, grows fuller again.
        fuller = np.flatnonzero(girth[fore] > HAND_FULL * np.minimum.accumulate(girth[fore]))
        upper = girth[(along > 0.3 * whole) & (along < 0.55 * whole) & np.isfinite(girth)]
        tapers = float(girth[fore].min()) < WRIST_SLIM * float(np.median(upper)) if len(upper) else True
        if not len(fuller) or not tapers:
            return STUMP * whole, _elbow(axis, along, STUMP * whole), False
        wrist = float(along[fore[girth[fore[: fuller[0]]].argmin()]])
    for _ in range(finer):
        elbow = _elbow(axis, along, wrist)
        wrist += _narrowest(vertices, own, walk(axis, (wrist + elbow) / 2), walk(axis, wrist), whole)
    return wrist, _elbow(axis, along, wrist), True


def _narrowest(vertices: FloatArray, own: IntArray, fore: FloatArray, wrist: FloatArray, whole: float) -> float:
    """How far beyond a rough wrist the arm is narrowest, mm, square to the way from the middle of the forearm."""
    way = (wrist - fore) / np.linalg.norm(wrist - fore)
    offsets = np.linspace(-0.1, 0.1, 61) * whole
    cuts = cut(vertices, own, way, wrist @ way + offsets)
    rings = [ring_about(cuts, plane, wrist + offset * way) for plane, offset in enumerate(offsets)]
    girth = np.array([cuts.girth[loop] if loop >= 0 else np.inf for loop in rings])
    middle = slice(15, 46)
    if not np.isfinite(girth[middle]).any():
        return 0.0
    known = np.isfinite(girth)
    rough = summit(offsets, np.where(known, girth, 9 * girth.min()), -1, SLIM, middle)
    return turning(offsets[known], girth[known], -1, NOTCH * whole, SLIM, rough)


def _elbow(axis: FloatArray, along: FloatArray, wrist: float) -> float:
    """Where two straight pieces fit the axis best; an arm that bends nowhere between is shared out as people's are."""
    inner = along <= wrist
    straight = _off_line(axis[inner], axis[0], walk(axis, wrist))
    shares, cost = np.linspace(0.42, 0.68, 27), []
    for share in shares:
        bend = walk(axis, share * wrist)
        upper, lower = along <= share * wrist, inner & (along > share * wrist)
        cost.append(_off_line(axis[upper], axis[0], bend) + _off_line(axis[lower], bend, walk(axis, wrist)))
    least = int(np.argmin(cost))
    near = slice(max(least - 3, 0), least + 4)
    bend, slope, _ = np.polyfit(shares[near], cost[near], 2)
    best = -slope / (2 * bend) if bend > 0 else shares[least]
    bent = straight / max(inner.sum(), 1) > (0.012 * wrist) ** 2 and shares[0] < best < shares[-1]
    return float((best if bent else ELBOW_SHARE) * wrist)


def _off_line(points: FloatArray, a: FloatArray, b: FloatArray) -> float:
    """Sum of squared distances from the line through a and b."""
    way = (b - a) / max(float(np.linalg.norm(b - a)), 1e-12)
    off = points - a
    return float(((off - (off @ way)[:, None] * way) ** 2).sum())
