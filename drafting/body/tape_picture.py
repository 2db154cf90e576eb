"""tape.png: the doll from the front, the side and the back, with every tape drawn where it lies and what it reads."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ..pattern.raster import draw, pen_lines, png
from ..pattern.sheet import LETTER_WIDTH, Lettering
from ..units import format_length
from ..words import plain
from .body import Body, FloatArray, Measure
from .shade import Shaded, View, shaded

VIEWS = {
    "front": View(np.array([1.0, 0.0, 0.0]), np.array([0.0, -1.0, 0.0])),
    "left side": View(np.array([0.0, 1.0, 0.0]), np.array([1.0, 0.0, 0.0])),
    "back": View(np.array([-1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])),
}
SHOWN = {
    "front": (
        "neck_width", "bust_girth", "underbust_girth", "waist_girth", "hip_girth", "thigh_girth", "knee_girth",
        "bust_point_distance", "front_waist_length", "upper_arm_girth", "wrist_girth", "hand_girth",
    ),
    "left side": (
        "head_girth", "neck_girth", "upper_hip_girth", "height", "rise", "waist_height", "inside_leg",
        "shoulder_height", "foot_length", "heel_ankle_girth", "ankle_girth",
    ),
    "back": (
        "chest_girth", "shoulder_width", "shoulder_length", "scye_depth", "back_waist_length", "span", "arm_length",
        "elbow_girth", "calf_girth",
    ),
}  # fmt: skip
"""Which view labels which tape; the others are drawn there too, thin."""
LETTER, GAP, LANE, EDGE = 17.0, 23.0, 26.0, 24.0
"""Pixels: height of the lettering, from label to label, from one upright line to the next, and free all round."""
TICK = np.array([5.0, 0.0])
INK, TAPE, FAINT, LEADER = (0.05, 0.05, 0.1), (0.78, 0.1, 0.12), (0.55, 0.42, 0.5), (0.45, 0.45, 0.5)


@dataclass(frozen=True)
class _Label:
    """A text, the point it belongs to, pixels, and the side it stands on: -1 left, 1 right."""

    text: str
    at: FloatArray
    side: int

    @property
    def wide(self) -> float:
        return _width(self.text)


def tape_png(body: Body, unit: str = "mm", high_px: int = 1000) -> bytes:
    """The picture as a PNG file, lengths written in "mm" or "in"; the doll is `high_px` pixels tall at most."""
    scale = high_px / body.height_mm
    sheets = [_sheet(body, name, shaded(body.skin, view, scale), unit) for name, view in VIEWS.items()]
    tall = max(len(sheet) for sheet in sheets)
    filled = [np.pad(sheet, ((tall - len(sheet), 0), (0, 0), (0, 0)), constant_values=1.0) for sheet in sheets]
    return png(np.round(255 * np.concatenate(filled, axis=1)).astype(np.uint8), scale)


def _sheet(body: Body, name: str, seen: Shaded, unit: str) -> FloatArray:
    """One view with its labels, (high, wide, 3) from 0 to 1."""
    paths = {each.name: each.path for each in body.measures.values() if each.path is not None}
    mine = [body.measures[each] for each in SHOWN[name] if each in paths]
    upright = [each for each in mine if _is_plumb(each.path)]
    wide = seen.grey.shape[1]
    texts = {each.name: f"{plain(each.name)} {format_length(each.mm, unit)}" for each in mine}
    lines = {each.name: _visible(seen, each.path) for each in mine if each not in upright}
    labels = [_label(texts[each], runs, wide) for each, runs in lines.items()]
    left = max([each.wide for each in labels if each.side < 0], default=0.0)
    lanes = LANE * len(upright)
    room = max([each.wide for each in labels if each.side > 0] + [_width(texts[each.name]) for each in upright] + [0.0])
    shift = np.array([left + 3 * EDGE, 3 * EDGE])
    high, across = len(seen.grey) + int(5 * EDGE), wide + int(shift[0] + room + lanes + 3 * EDGE)
    ink = {colour: np.zeros((high, across)) for colour in (FAINT, LEADER, TAPE, INK)}
    for each, path in paths.items():
        if not _is_plumb(path) and each not in lines:
            for run in _visible(seen, path):
                draw(ink[FAINT], run + shift, 1.3)
    for runs in lines.values():
        for run in runs:
            draw(ink[TAPE], run + shift, 3.0)
    right = wide + shift[0] + EDGE
    for place, plumb in enumerate(upright):
        labels.append(_upright(ink, seen, plumb, texts[plumb.name], right + LANE * place - shift[0], shift))
    for side, edge in ((-1, left + EDGE), (1, right + lanes)):
        _letter(ink, [each for each in labels if each.side == side], edge, shift, high)
    _write(ink[INK], name, np.array([shift[0] + wide / 2, EDGE]), "middle", 1.3)
    return _inked(seen, ink, shift)


def _is_plumb(path: FloatArray | None) -> bool:
    return path is not None and len(path) == 2 and bool(np.allclose(path[0, :2], path[1, :2]))


def _visible(seen: Shaded, path: FloatArray | None) -> list[FloatArray]:
    """The runs of a path that are seen, (k, 2) pixels each; all of it where it runs through the body."""
    assert path is not None
    steps = [
        np.linspace(a, b, max(int(np.linalg.norm(b - a) * seen.pixels_per_mm / 3), 1) + 1) for a, b in pairwise(path)
    ]
    even = np.concatenate(steps)
    free = seen.visible(even) if len(path) > 2 else np.ones(len(even), bool)
    if free.sum() < 2:
        return []
    parts = np.split(even, np.flatnonzero(np.diff(free.astype(int))) + 1)
    return [_plain(seen.place(part)) for part in parts[0 if free[0] else 1 :: 2] if len(part) > 1]


def _plain(run: FloatArray) -> FloatArray:
    """A straight run by its ends alone."""
    way = run[-1] - run[0]
    off = run - run[0]
    aside = np.abs(off[:, 0] * way[1] - off[:, 1] * way[0]).max()
    back = (np.diff(off @ way) < 0).any()
    return run if back or aside > 0.4 * np.linalg.norm(way) else run[[0, -1]]


def _label(text: str, runs: list[FloatArray], wide: float) -> _Label:
    """At the end of a tape that lies nearer to the picture's edge."""
    points = np.concatenate(runs) if runs else np.array([[wide / 2, 0.0]])
    low, high = points[points[:, 0].argmin()], points[points[:, 0].argmax()]
    side = -1 if low[0] < wide - high[0] - 4 else 1
    return _Label(text, low if side < 0 else high, side)


def _upright(ink: dict, seen: Shaded, measure: Measure, text: str, x: float, shift: FloatArray) -> _Label:
    """A plumb distance beside the body, with thin lines from the body to its ends."""
    assert measure.path is not None
    ends = seen.place(measure.path)
    line = np.array([[x, end[1]] for end in ends])
    for end, foot in zip(ends, line, strict=True):
        draw(ink[LEADER], np.array([end, foot + TICK]) + shift, 1.0)
    draw(ink[TAPE], line + shift, 3.0)
    return _Label(text, np.array([x, (0.7 * line[0, 1] + 0.3 * line[1, 1])]), 1)


def _letter(ink: dict, labels: list[_Label], edge: float, shift: FloatArray, high: int) -> None:
    """Write labels in a column, each as near to its tape's height as the others let it, with a line to its tape."""
    labels = sorted(labels, key=lambda each: float(each.at[1]))
    wanted = np.array([each.at[1] + shift[1] for each in labels])
    for each, y in zip(labels, spread(wanted, GAP, LETTER, high - LETTER), strict=True):
        end = np.array([edge, y])
        draw(ink[LEADER], np.array([each.at + shift, end - each.side * TICK, end]), 1.0)
        _write(ink[INK], each.text, end + each.side * TICK, "start" if each.side > 0 else "end")


def spread(wanted: FloatArray, gap: float, low: float, high: float) -> FloatArray:
    """Ascending places at least `gap` apart and nearest to those wanted (least squares, pooling those that collide)."""
    offset = gap * np.arange(len(wanted))
    pools: list[list[float]] = []
    for value in wanted - offset:
        pools.append([value, 1])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (a, n), (b, m) = pools[-2:]
            pools[-2:] = [[(a * n + b * m) / (n + m), n + m]]
    eased = np.repeat([value for value, _ in pools], [int(count) for _, count in pools])
    return np.clip(eased, low, high - gap * max(len(wanted) - 1, 0)) + offset


def _width(text: str) -> float:
    return LETTER_WIDTH * LETTER * len(text)


def _write(ink: FloatArray, text: str, at: FloatArray, anchor: str, larger: float = 1.0) -> None:
    for line, pen in pen_lines(Lettering(text, at, LETTER * larger, anchor=anchor), 1.0):
        draw(ink, line, max(1.5, pen))


def _inked(seen: Shaded, ink: dict, shift: FloatArray) -> FloatArray:
    """The shaded body with every ink laid over it, the first the lowest."""
    high, wide = next(iter(ink.values())).shape
    picture = np.ones((high, wide, 3))
    x, y = (int(each) for each in shift)
    picture[y : y + len(seen.grey), x : x + seen.grey.shape[1]] = seen.grey[:, :, None]
    for colour, covered in ink.items():
        picture += covered[:, :, None] * (np.array(colour) - picture)
    return picture
