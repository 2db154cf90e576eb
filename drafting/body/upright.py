"""Standing a scan up: which way is up and which way the doll faces, found from the body itself.

The body's plane of symmetry gives left and right, the legs give down, the feet and the swell of bust and seat give the
front, and the soles give the plumb line. Axes of the file are kept exactly where the body agrees with them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..errors import OptionError, ScanError
from .body import FloatArray, IntArray
from .weld import compact

AXES = {sign + name: (1 if sign == "+" else -1) * np.eye(3)[i] for i, name in enumerate("XYZ") for sign in "+-"}
KEPT, LOPSIDED = 0.8, 0.6
"""Share of the surface by which the plane of symmetry is found; of a body that may lack an arm or a leg."""
PLAIN, EXACT = 0.75, 0.007
"""The plane of symmetry misses less than the first share of what the next best does, and less than the second of the
size (as far as samples lie apart); else all are looked at closely."""
WIDE = 0.08
"""A body is spread at least so far to both sides of its plane of symmetry, as a share of its size."""
SAMPLES = 1000
"""Points that are mirrored to find the plane of symmetry."""
AGREES = np.radians(1.5)
"""A file's axis this near to what the body shows is taken as meant."""
FLAT = 0.05
"""A sole's hull edge at least this share of the height long is a sole to stand on; a foot is about 0.15."""
HAIR = 5e-4
"""Soles are straight if no corner stands out by more than this share of their length."""
STEEP = np.radians(25)
"""Soles that slope more against the body's long axis are not what it stands on."""


@dataclass(frozen=True)
class Stance:
    """How a scan is turned to stand upright.

    Attributes
    ----------
    turn : (3, 3) float
        Rotation; its rows are the doll's left, back and up in the scan's axes.
    shift : (3,) float
        Added after turning, in the scan's unit.
    note : str
        What was found, for the maker.
    axes : (str, str)
        The scan's own axes that point to the head and to where the doll faces, such as ("+Z", "-Y").
    """

    turn: FloatArray
    shift: FloatArray
    note: str
    axes: tuple[str, str] = ("", "")

    def place(self, vertices: FloatArray) -> FloatArray:
        """Vertices standing upright, soles on z = 0."""
        return vertices @ self.turn.T + self.shift


@dataclass(frozen=True)
class Turned:
    """How the maker turned a doll from where she was found to stand.

    Attributes
    ----------
    quarters : int
        Quarters of a turn to her own left, 0 to 3.
    flipped : bool
        Head for foot, left for right; before the quarters.
    """

    quarters: int = 0
    flipped: bool = False

    def by(self, quarters: int) -> Turned:
        """Turned on, to her left; below 0 to her right."""
        return Turned((self.quarters + quarters) % 4, self.flipped)

    def over(self) -> Turned:
        """Upside down from how she stands now, still seen from the same side."""
        return Turned(-self.quarters % 4, not self.flipped)

    @property
    def matrix(self) -> FloatArray:
        """(3, 3) float: the rotation, in the standing doll's frame."""
        cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[self.quarters % 4]
        about = np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
        return about @ np.diag([-1.0, 1.0, -1.0] if self.flipped else [1.0, 1.0, 1.0])


AS_FOUND = Turned()


def find_stance(
    vertices: FloatArray,
    faces: IntArray,
    up: str | None = None,
    front: str | None = None,
    turned: Turned = AS_FOUND,
) -> Stance:
    """How to stand a scan up.

    Parameters
    ----------
    up, front : str, optional
        Axes such as "+Z" and "-Y" that overrule what the body shows.
    turned : Turned
        What the maker turned since.

    Raises
    ------
    OptionError
        Unknown axes, or a front that is not square to up.
    ScanError
        Where the body shows no plane of symmetry and no axes are given.
    """
    given_up, given_front = _axis(up, "up"), _axis(front, "front")
    cloud = _Cloud.of(vertices, faces)
    if given_up is not None and given_front is not None:
        if abs(given_up @ given_front) > 1e-9:
            raise OptionError(f"front {front} must be square to up {up}", about=["up", "front"])
        back = -given_front
        turn = np.stack([np.cross(back, given_up), back, given_up])
    else:
        turn = _turn(cloud, given_up, given_front)
    turn = turned.matrix @ turn
    ways = [name for name, way in (("up", given_up), ("the front", given_front)) if way is not None]
    told = f"{' and '.join(ways)} as given" if ways else "found from the body's shape"
    note = f"Stance: {told}{', then turned by you' if turned != AS_FOUND else ''}."
    return Stance(turn, _shift(vertices @ turn.T, turn, cloud), note, (_named(turn[2]), _named(-turn[1])))


def _axis(name: str | None, what: str) -> FloatArray | None:
    if name is None:
        return None
    key = name.strip().upper()
    key = key if key[:1] in "+-" else "+" + key
    if key not in AXES:
        raise OptionError(f"{what} cannot be {name!r}; expected one of {', '.join(AXES)}", about=[what])
    return AXES[key]


def _named(way: FloatArray) -> str:
    name = max(AXES, key=lambda each: float(AXES[each] @ way))
    return name if AXES[name] @ way > 1 - 1e-9 else f"({way[0]:+.3f}, {way[1]:+.3f}, {way[2]:+.3f})"


@dataclass(frozen=True)
class _Cloud:
    """Middles, normals and areas of the triangles, and their corners."""

    vertices: FloatArray
    points: FloatArray
    normals: FloatArray
    areas: FloatArray

    @classmethod
    def of(cls, vertices: FloatArray, faces: IntArray) -> _Cloud:
        # By columns: of a fine scan all together would be too large for the processor's cache.
        corner = [[column.take(each) for each in faces.T] for column in vertices.T]
        (ax, ay, az), (bx, by, bz) = ([each[i] - each[0] for each in corner] for i in (1, 2))
        cross = (ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx)
        double = np.sqrt(cross[0] * cross[0] + cross[1] * cross[1] + cross[2] * cross[2])
        if not double.sum() > 0:
            raise ScanError("the scan's triangles have no area; export it again")
        points = np.stack([(a + b + c) / 3 for a, b, c in corner], axis=1)
        normals = np.stack([each / np.maximum(double, 1e-300) for each in cross], axis=1)
        return cls(compact(vertices, faces)[0], points, normals, double / 2)

    def middle_and_axes(self, weight: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Weighted mean and the principal axes as rows, the longest first."""
        weight = weight / weight.sum()
        middle = weight @ self.points
        off = self.points - middle
        _, axes = np.linalg.eigh(off.T @ (off * weight[:, None]))
        return middle, axes.T[::-1]

    def picked(self, count: int) -> IntArray:
        """Indices spread evenly over the area."""
        along = np.cumsum(self.areas)
        return np.searchsorted(along, (np.arange(count) + 0.5) / count * along[-1])


def _turn(cloud: _Cloud, up: FloatArray | None, front: FloatArray | None) -> FloatArray:
    middle, axes = cloud.middle_and_axes(cloud.areas)
    fixed = up if up is not None else front
    if fixed is not None:
        axes = _square_axes(axes, fixed)
    sample = cloud.picked(SAMPLES)
    points = cloud.points[sample]
    misses = [_miss(points, cloud.points[cloud.picked(3 * SAMPLES)], middle, axis) for axis in axes]
    if fixed is not None:
        misses = [miss if abs(axis @ fixed) < 0.5 else np.inf for miss, axis in zip(misses, axes, strict=True)]
    lateral, origin = _symmetry(cloud, middle, axes, np.array(misses), fixed)
    flat = points - origin
    if up is None:
        others = [axis - (axis @ lateral) * lateral for axis in axes if abs(axis @ lateral) < 0.7][:2]
        others = [axis / np.linalg.norm(axis) for axis in others]
        if front is not None:
            others = [np.cross(lateral, front)]
        long = max(others, key=lambda axis: float(np.ptp(flat @ axis)))
        up = _head_end(cloud, origin, lateral, long)
        ahead = front if front is not None else _face_side(cloud, origin, lateral, up)
        if front is None:
            up = _plumb(cloud, lateral, up, ahead)
    else:
        ahead = front if front is not None else _face_side(cloud, origin, lateral, up)
    back = -(ahead - (ahead @ up) * up)
    back /= np.linalg.norm(back)
    return _kept(np.stack([np.cross(back, up), back, up]))


def _symmetry(
    cloud: _Cloud, middle: FloatArray, axes: FloatArray, misses: FloatArray, fixed: FloatArray | None
) -> tuple[FloatArray, FloatArray]:
    """The plane of symmetry: of the axis that is plainly the best; else of the one that fits most of the body best."""
    order = np.argsort(misses)
    size = float(max(np.ptp(cloud.points @ axis) for axis in axes))
    if misses[order[0]] < min(PLAIN * misses[order[1]], EXACT * size):
        return _mirror_plane(cloud, middle, axes[order[0]], fixed)
    points, targets = cloud.points[cloud.picked(SAMPLES)], cloud.points[cloud.picked(3 * SAMPLES)]
    # A raised arm or a lost leg turns the principal axes; the file's own, through the median, it does not.
    own = np.eye(3) if fixed is None else np.eye(3)[np.abs(fixed) < 0.5]
    starts = [(middle, axes[index]) for index in order if np.isfinite(misses[index])]
    starts += [(np.median(points, axis=0), axis) for axis in own]
    planes = [_mirror_plane(cloud, at, axis, fixed, LOPSIDED) for at, axis in starts]

    def off(plane: tuple[FloatArray, FloatArray]) -> float:
        """How badly a plane fits, for how wide the body is across it: what is thin is soon like its mirror image."""
        across = min(float((points @ plane[0]).std()), WIDE * size)
        return _miss(points, targets, plane[1], plane[0], LOPSIDED) / max(across, 1e-12)

    return min(planes, key=off)


def _square_axes(axes: FloatArray, fixed: FloatArray) -> FloatArray:
    """A frame that holds the fixed axis and the principal directions square to it."""
    side = axes[np.abs(axes @ fixed).argmin()]
    side = side - (side @ fixed) * fixed
    side /= np.linalg.norm(side)
    return np.stack([fixed, side, np.cross(fixed, side)])


def _miss(points: FloatArray, targets: FloatArray, origin: FloatArray, axis: FloatArray, kept: float = 0.85) -> float:
    """Trimmed mean distance of mirrored points from the surface's points."""
    mirrored = points - 2 * ((points - origin) @ axis)[:, None] * axis
    near, _ = _nearest(mirrored, targets)
    return float(np.sort(near)[: int(kept * len(near))].mean())


def _nearest(points: FloatArray, targets: FloatArray) -> tuple[FloatArray, IntArray]:
    square, across = (targets**2).sum(axis=1), np.ascontiguousarray(targets.T)
    away, index = [], []
    # As many at a time as keep the costs within the processor's cache.
    for block in np.array_split(points, max(len(points) // 20, 1)):
        cost = -2 * block @ across
        cost += square
        best = cost.argmin(axis=1)
        index.append(best)
        away.append(cost[np.arange(len(best)), best] + (block**2).sum(axis=1))
    return np.sqrt(np.maximum(np.concatenate(away), 0)), np.concatenate(index)


def _mirror_plane(
    cloud: _Cloud, origin: FloatArray, axis: FloatArray, fixed: FloatArray | None, kept: float = KEPT
) -> tuple[FloatArray, FloatArray]:
    """The plane that maps most of the body onto itself: its normal and a point on it.

    Each round pairs mirrored points with the surface, leaves out the worst fifth (hair, a turned hand) and takes the
    plane that is best for the pairs along the surface's normals.
    """
    picked, held = cloud.picked(SAMPLES), cloud.picked(3 * SAMPLES)
    points, targets, normals = cloud.points[picked], cloud.points[held], cloud.normals[held]
    size = float(np.ptp(points, axis=0).max())
    points, targets, origin0 = (points - origin) / size, (targets - origin) / size, origin
    at = np.zeros(3)
    for _ in range(12):
        mirrored = points - 2 * ((points - at) @ axis)[:, None] * axis
        near, index = _nearest(mirrored, targets)
        good = near <= np.quantile(near, kept)
        normal = normals[index[good]]
        gap = ((targets[index[good]] - mirrored[good]) * normal).sum(axis=1)
        sound = (
            np.abs((normals[index[good]] * (mirrored[good] - targets[index[good]])).sum(axis=1)) <= near[good] + 1e-12
        )
        u, w = _pair(axis)
        depth = (points[good] - at) @ axis
        lead = normal @ axis
        # Turning the plane's normal by small du, dw and moving it by ds moves a mirrored point p' by
        # -2 [(u.p du + w.p dw) n + (n.p)(u du + w dw)] + 2 ds n, with p from the plane's point.
        rows = np.stack(
            [
                -2 * ((points[good] - at) @ u * lead + depth * (normal @ u)),
                -2 * ((points[good] - at) @ w * lead + depth * (normal @ w)),
                2 * lead,
            ],
            axis=1,
        )
        step = np.linalg.lstsq(rows[sound], gap[sound], rcond=None)[0]
        step[:2] = np.clip(step[:2], -0.2, 0.2)
        at = at + step[2] * axis
        axis = axis + step[0] * u + step[1] * w
        if fixed is not None:
            axis = axis - (axis @ fixed) * fixed
        axis = axis / np.linalg.norm(axis)
        if np.abs(step).max() < 1e-5:
            break
    return axis, origin0 + size * at


def _pair(axis: FloatArray) -> tuple[FloatArray, FloatArray]:
    u = np.cross(axis, np.eye(3)[np.abs(axis).argmin()])
    u /= np.linalg.norm(u)
    return u, np.cross(axis, u)


def _head_end(cloud: _Cloud, origin: FloatArray, lateral: FloatArray, long: FloatArray) -> FloatArray:
    """The end of the long axis that is not parted in two: head up, legs down."""
    along = cloud.points @ long
    low, high = along.min(), along.max()
    share = (along - low) / (high - low)
    aside = np.abs((cloud.points - origin) @ lateral) / (high - low)
    middle = cloud.areas * (aside < 0.012)
    below, above = middle[share < 0.4].sum(), middle[share > 0.6].sum()
    return long if above >= below else -long


def _face_side(cloud: _Cloud, origin: FloatArray, lateral: FloatArray, up: FloatArray) -> FloatArray:
    """Where the toes point; without feet, where the breasts are and the seat is not."""
    ahead = np.cross(up, lateral)
    level = cloud.points @ up
    share = (level - level.min()) / np.ptp(level)
    depth = (cloud.points - origin) @ ahead / np.ptp(level)

    def mean(low: float, high: float) -> float:
        inside = np.flatnonzero((share >= low) & (share < high))
        areas = cloud.areas[inside]
        return float((depth[inside] * areas).sum() / max(areas.sum(), 1e-300))

    toes = mean(0.0, 0.03) - mean(0.07, 0.15)
    swell = mean(0.70, 0.76) - mean(0.46, 0.54)
    return ahead if (toes if abs(toes) > 0.012 else swell) >= 0 else -ahead


def _plumb(cloud: _Cloud, lateral: FloatArray, up: FloatArray, ahead: FloatArray) -> FloatArray:
    """Upright by the soles: square to the lower hull's edge that the body stands on; else as it was.

    The long axis of the body leans a little against the plumb line, the soles of a standing doll do not.
    """
    ahead = ahead - (ahead @ up) * up
    ahead /= np.linalg.norm(ahead)
    tall = float(np.ptp(cloud.points @ up))
    for _ in range(3):
        level, depth = cloud.vertices @ up, cloud.vertices @ ahead
        foot = level < level.min() + 0.12 * tall
        edge = _under(depth[foot], level[foot], float(np.average(cloud.points @ ahead, weights=cloud.areas)))
        if edge is None or np.linalg.norm(edge) < FLAT * tall or abs(np.arctan2(edge[1], edge[0])) > STEEP:
            return up
        tilt = np.arctan2(edge[1], edge[0])
        up, ahead = np.cos(tilt) * up - np.sin(tilt) * ahead, np.cos(tilt) * ahead + np.sin(tilt) * up
    return up


def _under(depth: FloatArray, level: FloatArray, weight: float) -> FloatArray | None:
    """The edge of the lower hull below the body's weight, across corners that stand out of it by a hair only."""
    order = np.lexsort((level, depth))
    chain: list[tuple[float, float]] = []
    for x, y in _lowest(np.stack([depth, level], axis=1)[order]).tolist():
        while len(chain) > 1:
            (ax, ay), (bx, by) = chain[-2:]
            if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0:
                break
            chain.pop()
        chain.append((x, y))
    corner = np.array(chain)
    below = np.flatnonzero((corner[:-1, 0] <= weight) & (corner[1:, 0] >= weight))
    if not len(below):
        return None
    low, high = int(below[0]), int(below[0]) + 1
    hair = HAIR * float(np.ptp(depth))
    while low > 0 and _straight(corner[low - 1 : high + 1], hair):
        low -= 1
    while high + 1 < len(corner) and _straight(corner[low : high + 2], hair):
        high += 1
    return corner[high] - corner[low]


def _lowest(points: FloatArray) -> FloatArray:
    """(n, 2) points sorted along x without most of those that lie above others: no such point is of the lower hull."""
    while len(points) > 2:
        a, b = points[1:-1] - points[:-2], points[2:] - points[:-2]
        above = b[:, 0] * a[:, 1] - b[:, 1] * a[:, 0] > 0
        if above.sum() < 0.05 * len(points):
            return points
        points = points[np.concatenate([[True], ~above, [True]])]
    return points


def _straight(corner: FloatArray, hair: float) -> bool:
    way = corner[-1] - corner[0]
    off = corner - corner[0]
    return bool(np.abs(off[:, 0] * way[1] - off[:, 1] * way[0]).max() <= hair * np.linalg.norm(way))


def _kept(turn: FloatArray) -> FloatArray:
    """The file's own axes, where all three agree with what the body shows."""
    nearest = np.abs(turn).argmax(axis=1)
    plain = np.zeros((3, 3))
    plain[np.arange(3), nearest] = np.sign(turn[np.arange(3), nearest])
    meant = len(set(nearest.tolist())) == 3 and np.linalg.det(plain) > 0
    return plain if meant and (np.abs((turn * plain).sum(axis=1)) > np.cos(AGREES)).all() else turn


def _shift(standing: FloatArray, turn: FloatArray, cloud: _Cloud) -> FloatArray:
    """Soles to z = 0, the plane of symmetry to x = 0, the trunk's depth about y = 0."""
    low, high = standing[:, 2].min(), standing[:, 2].max()
    tall = high - low
    middle, _ = cloud.middle_and_axes(cloud.areas)
    _, origin = _mirror_plane(cloud, middle, turn[0], turn[2])
    x = float(origin @ turn[0])
    waist = np.abs((standing[:, 2] - low) / tall - 0.62) < 0.02
    waist &= np.abs(standing[:, 0] - x) < 0.08 * tall
    depth = standing[waist, 1] if waist.any() else standing[:, 1]
    return -np.array([x, (depth.min() + depth.max()) / 2, low])
