"""Lines and curves of a drawing, as runs of straight pieces and cubic curves: SVG 2, chapters 9 and 10.

https://www.w3.org/TR/SVG2/paths.html and https://www.w3.org/TR/SVG2/shapes.html, from memory; the tests compare with an
independent library.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

import numpy as np

from ..errors import DraftError
from ..pattern.panel import FloatArray
from ..pattern.tolerance import TOLERANCE

QUARTER = math.pi / 8  # an arc is parted into curves of no more than this angle, 1e-7 of its radius off
SAME = 1e-9  # of a coordinate: rounding
MOST_POINTS = 3000  # of one outline; crossings are looked for between all of them

_NUMBER = re.compile(r"[\s,]*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)")
_FLAG = re.compile(r"[\s,]*([01])")
_COMMAND = re.compile(r"[\s,]*([MmZzLlHhVvCcSsQqTtAa])")
_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}


@dataclass(frozen=True)
class Run:
    """One unbroken line.

    Attributes
    ----------
    segments : tuple of (2, 2) or (4, 2) float
        Straight pieces by their ends, cubic curves by their four points.
    """

    segments: tuple[FloatArray, ...]
    closed: bool

    @property
    def ends(self) -> tuple[FloatArray, FloatArray]:
        """First and last point."""
        return self.segments[0][0], self.segments[-1][-1]

    def moved(self, matrix: FloatArray) -> Run:
        """The run under a (2, 3) affine map."""
        return replace(self, segments=tuple(s @ matrix[:, :2].T + matrix[:, 2] for s in self.segments))

    def reversed(self) -> Run:
        """The same line drawn the other way."""
        return replace(self, segments=tuple(s[::-1] for s in self.segments[::-1]))


def flat(segment: FloatArray) -> FloatArray:
    """(k, 2) float: a segment as a polyline, both ends included, that leaves it by at most `TOLERANCE.chord_mm`."""
    if len(segment) == 2:
        return segment
    # A chord over 1 / n of a cubic leaves it by at most its greatest second difference times 6 / 8 n^2.
    bend = np.linalg.norm(segment[:-2] - 2 * segment[1:-1] + segment[2:], axis=1).max()
    steps = min(MOST_POINTS, max(1, math.ceil(math.sqrt(0.75 * bend / TOLERANCE.chord_mm))))
    t = np.linspace(0.0, 1.0, steps + 1)[:, None]
    a, b, c, d = segment
    return (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d


def path_runs(data: str) -> list[Run]:
    """The runs of a path's "d" attribute, in the path's own units.

    Raises
    ------
    DraftError
        It is not path data.
    """
    return _Pen(data).draw()


def polygon_run(numbers: str, *, closed: bool) -> list[Run]:
    """The run of a polygon's or polyline's "points"."""
    values = [float(number) for number in _NUMBER.findall(numbers)]
    if not np.isfinite(values).all():
        raise DraftError("one of its points lies infinitely far away; draw it again")
    points = np.array(values[: len(values) // 2 * 2]).reshape(-1, 2)
    return _run([points[i : i + 2] for i in range(len(points) - 1)], closed)


def rectangle_run(x: float, y: float, width: float, height: float, rx: float, ry: float) -> list[Run]:
    """The run of a rectangle, its corners rounded by rx and ry."""
    rx, ry = min(abs(rx), width / 2), min(abs(ry), height / 2)
    right, bottom = x + width, y + height
    if rx == 0 or ry == 0:
        return polygon_run(f"{x!r} {y!r} {right!r} {y!r} {right!r} {bottom!r} {x!r} {bottom!r}", closed=True)
    corners = [
        ((right - rx, y + ry), -90),
        ((right - rx, bottom - ry), 0),
        ((x + rx, bottom - ry), 90),
        ((x + rx, y + ry), 180),
    ]
    segments: list[FloatArray] = []
    for centre, start in corners:
        arc = _arc(np.array(centre), np.array([[rx, 0.0], [0.0, ry]]), math.radians(start), math.pi / 2)
        if segments:
            segments.append(np.array([segments[-1][-1], arc[0][0]]))
        segments += arc
    return _run(segments, closed=True)


def ellipse_run(cx: float, cy: float, rx: float, ry: float) -> list[Run]:
    """The run of an ellipse or a circle."""
    return _run(_arc(np.array([cx, cy]), np.array([[rx, 0.0], [0.0, ry]]), 0.0, 2 * math.pi), closed=True)


def _run(segments: list[FloatArray], closed: bool) -> list[Run]:
    """The run of those segments that have a length, closed by a straight piece where that is missing."""
    if closed and segments:
        end, gap = segments[0][0], segments[-1][-1] - segments[0][0]
        if np.abs(gap).max() > SAME * (1 + np.abs(end).max()):
            segments = [*segments, np.array([segments[-1][-1], end])]
        else:  # an ellipse ends where it began but for rounding
            segments = [*segments[:-1], np.concatenate([segments[-1][:-1], [end]])]
    kept = tuple(s for s in segments if np.ptp(s, axis=0).max() > 0)
    return [Run(kept, closed)] if kept else []


def _arc(centre: FloatArray, axes: FloatArray, start: float, sweep: float) -> list[FloatArray]:
    """Cubic curves along an ellipse; `axes` maps the unit circle onto it about its centre."""
    count = max(1, math.ceil(abs(sweep) / QUARTER))
    step = sweep / count
    reach = 4 / 3 * math.tan(step / 4)
    curves = []
    for a in start + step * np.arange(count):
        ends = np.array([[math.cos(t), math.sin(t)] for t in (a, a + step)])
        ways = np.array([[-y, x] for x, y in ends]) * reach
        curves.append(np.array([ends[0], ends[0] + ways[0], ends[1] - ways[1], ends[1]]) @ axes.T + centre)
    return curves


class _Pen:
    """Follows path data."""

    def __init__(self, data: str) -> None:
        self.data, self.place = data, 0
        self.at = self.begin = np.zeros(2)
        self.handle: FloatArray | None = None  # the last curve's second handle, for a smooth one to mirror
        self.handle_of, self.begun = "", False
        self.runs: list[Run] = []
        self.segments: list[FloatArray] = []

    def draw(self) -> list[Run]:
        command = ""
        while self.data[self.place :].strip(" \t\r\n,"):
            if match := _COMMAND.match(self.data, self.place):
                command, self.place = match[1], match.end()
            elif command in ("", "Z", "z"):
                raise self.fault()
            if not self.begun and command not in "Mm":
                raise self.fault()
            self.begun = True
            self.step(command)
            command = {"M": "L", "m": "l"}.get(command, command)
        self.finish(closed=False)
        return self.runs

    def step(self, command: str) -> None:
        kind, relative = command.upper(), command.islower()
        numbers = self.numbers(kind)
        base = self.at if relative else np.zeros(2)
        before, handle = self.handle_of, self.handle
        self.handle, self.handle_of = None, kind
        if kind == "Z":
            self.finish(closed=True)
            self.at = self.begin
        elif kind == "M":
            self.finish(closed=False)
            self.at = self.begin = base + numbers
        elif kind == "H":
            self.line(np.array([base[0] + numbers[0], self.at[1]]))
        elif kind == "V":
            self.line(np.array([self.at[0], base[1] + numbers[0]]))
        elif kind == "L":
            self.line(base + numbers)
        elif kind == "A":
            self.arc(numbers, base + numbers[-2:])
        else:
            points = base + np.reshape(numbers, (-1, 2))
            if kind in "ST":
                smooth = handle is not None and before in ("CS" if kind == "S" else "QT")
                points = np.concatenate([[2 * self.at - handle if smooth and handle is not None else self.at], points])
            self.curve(points)

    def curve(self, points: FloatArray) -> None:
        """A cubic curve by its last three points, or a quadratic one by its last two."""
        self.handle = points[-2]
        if len(points) == 2:
            points = np.array(
                [self.at + 2 / 3 * (points[0] - self.at), points[1] + 2 / 3 * (points[0] - points[1]), points[1]]
            )
        self.segments.append(np.concatenate([[self.at], points]))
        self.at = points[-1]

    def line(self, to: FloatArray) -> None:
        self.segments.append(np.array([self.at, to]))
        self.at = to

    def arc(self, numbers: FloatArray, to: FloatArray) -> None:
        """From end points to the centre: https://www.w3.org/TR/SVG2/implnote.html#ArcConversionEndpointToCenter ."""
        rx, ry = abs(numbers[0]), abs(numbers[1])
        if rx == 0 or ry == 0 or np.array_equal(self.at, to):
            return self.line(to)
        phi, large, sweep = math.radians(numbers[2]), numbers[3] > 0, numbers[4] > 0
        turn = np.array([[math.cos(phi), -math.sin(phi)], [math.sin(phi), math.cos(phi)]])
        # Where the ellipse is a unit circle, half of the chord and the way from its middle to the centre.
        half = (self.at - to) / 2 @ turn / [rx, ry]
        size = float(half @ half)
        grow = math.sqrt(max(1.0, size))
        half = half / grow
        away = math.sqrt(max(0.0, 1 / (half @ half) - 1)) * (1 if large == sweep else -1)
        middle = away * np.array([-half[1], half[0]])
        start = half - middle
        end = -half - middle
        first = math.atan2(start[1], start[0])
        angle = (math.atan2(end[1], end[0]) - first) % (2 * math.pi)
        angle = angle if sweep else angle - 2 * math.pi
        axes = turn * np.array([rx, ry]) * grow
        curves = _arc(axes @ middle + (self.at + to) / 2, axes, first, angle)
        curves[0][0], curves[-1][-1] = self.at, to
        self.segments += curves
        self.at = to
        return None

    def finish(self, *, closed: bool) -> None:
        self.runs += _run(self.segments, closed)
        self.segments = []

    def numbers(self, kind: str) -> FloatArray:
        values = []
        for i in range(_TAKES[kind]):
            pattern = _FLAG if kind == "A" and i in (3, 4) else _NUMBER
            match = pattern.match(self.data, self.place)
            if match is None:
                raise self.fault()
            values.append(float(match[1]))
            self.place = match.end()
        if not np.isfinite(values).all():
            raise self.fault()
        return np.array(values)

    def fault(self) -> DraftError:
        near = self.data[self.place : self.place + 20]
        return DraftError(f'a path cannot be read at "{near}", letter {self.place + 1} of its data; draw it again')
