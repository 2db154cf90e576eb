"""The closed lines of a drawing, drawn in one or joined of several, and where things lie on the page."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from ..pattern.panel import FloatArray
from .own_curve import flat
from .own_drawing import Drawing, Drawn

JOIN = 0.1  # mm: ends of lines nearer than this were meant to meet, half a pencil line
ONE_POINT = 1e-3  # mm: what is drawn smaller is a point that was set twice
CUT, SEW = re.compile(r"cut[\s._-]*line", re.IGNORECASE), re.compile(r"sew[\s._-]*line", re.IGNORECASE)


@dataclass(eq=False)
class Outline:
    """A closed line, mm on the page, y downwards.

    Attributes
    ----------
    segments : list of (2, 2) or (4, 2) float
    groups : tuple of int
        The groups that it lies in, the innermost first.
    home : int or None
        The group whose name may be its own.
    labels : list of (int, str)
        For each segment the number of the line that it was drawn with, and that line's own name.
    grain : (2, 2) float or None
        A grain line that was drawn on it.
    """

    segments: list[FloatArray]
    labels: list[tuple[int, str]]
    groups: tuple[int, ...]
    home: int | None
    layer: str = ""
    name: str = ""
    grain: FloatArray | None = None
    points: FloatArray = field(init=False)

    def __post_init__(self) -> None:
        self.points = np.concatenate([flat(segment)[:-1] for segment in self.segments])

    @property
    def box(self) -> FloatArray:
        """(2, 2) float: smallest and largest x and y."""
        return np.array([self.points.min(axis=0), self.points.max(axis=0)])


@dataclass(frozen=True)
class Open:
    """A line that no other closes: its points (k, 2), mm on the page, its name and the numbers of its groups."""

    points: FloatArray
    name: str
    groups: tuple[int, ...]


def place(at: FloatArray) -> str:
    """A place on the page in words."""
    return f"({at[0]:.1f}, {at[1]:.1f}) mm from the upper left corner"


def holds(outline: FloatArray, points: FloatArray) -> np.ndarray:
    """(n,) bool: which points lie inside a closed outline."""
    x, y = np.atleast_2d(points).T[:, :, None]
    a, b = outline, np.roll(outline, -1, axis=0)
    crosses = (a[:, 1] > y) != (b[:, 1] > y)
    rise = np.where(b[:, 1] == a[:, 1], 1.0, b[:, 1] - a[:, 1])
    return np.asarray((crosses & (x < a[:, 0] + (y - a[:, 1]) / rise * (b[:, 0] - a[:, 0]))).sum(axis=1) % 2 == 1)


def within(inner: Outline, outer: Outline) -> bool:
    """Whether one outline lies inside another, touching it or not."""
    if inner is outer or (inner.box[0] < outer.box[0] - JOIN).any() or (inner.box[1] > outer.box[1] + JOIN).any():
        return False
    inside = holds(outer.points, inner.points)
    return bool(all(inside[i] or distance(outer.points, inner.points[i]) < JOIN for i in range(len(inside))))


def distance(outline: FloatArray, point: FloatArray) -> float:
    """How far a point lies from a closed outline."""
    along = np.roll(outline, -1, axis=0) - outline
    share = ((point - outline) * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-12)
    return float(np.linalg.norm(outline + np.clip(share, 0, 1)[:, None] * along - point, axis=1).min())


def closed_lines(drawing: Drawing) -> tuple[list[Outline], list[Open]]:
    """All closed outlines, joined of several lines where these meet; and what stays open, with name and home."""
    outlines: list[Outline] = []
    loose: dict[int | None, list[tuple[int, Drawn]]] = defaultdict(list)
    for number, line in enumerate(drawing.lines):
        if np.ptp(np.concatenate(line.run.segments), axis=0).max() < ONE_POINT:
            continue
        home = _home(line, drawing)
        first, last = line.run.ends
        if line.run.closed or (len(line.run.segments) > 1 and np.linalg.norm(last - first) <= JOIN):
            outlines.append(_outline([(number, line)], home, drawing))
            outlines[-1].name = line.name
        else:
            loose[home].append((number, line))
    open_ones: list[Open] = []
    for home, lines in loose.items():
        for chain in _chains(lines):
            ends = chain[0][1].run.ends[0], chain[-1][1].run.ends[1]
            if len(chain) > 1 and np.linalg.norm(ends[1] - ends[0]) <= JOIN:
                outlines.append(_outline(chain, home, drawing))
            else:
                points = np.concatenate([flat(segment) for _, line in chain for segment in line.run.segments])
                open_ones.append(Open(points, next((one.name for _, one in chain if one.name), ""), chain[0][1].groups))
    return outlines, open_ones


def _outline(lines: Sequence[tuple[int, Drawn]], home: int | None, drawing: Drawing) -> Outline:
    """The outline that some lines make, one after the other; each begins where the one before ends."""
    segments: list[FloatArray] = []
    labels = []
    for number, line in lines:
        for segment in line.run.segments:
            if np.ptp(segment, axis=0).max() < ONE_POINT:
                continue
            if segments:
                segment = np.concatenate([segments[-1][-1:], segment[1:]])
            segments.append(segment)
            labels.append((number, line.name if len(lines) > 1 else ""))
    segments[-1] = np.concatenate([segments[-1][:-1], segments[0][:1]])
    first = lines[0][1]
    return Outline(segments, labels, first.groups, home, _layer(first, drawing))


def _chains(lines: list[tuple[int, Drawn]]) -> list[list[tuple[int, Drawn]]]:
    """Open lines put end to end, turned where that is needed."""
    left, chains = list(lines), []
    while left:
        chain = [left.pop(0)]
        while (
            np.linalg.norm(chain[0][1].run.ends[0] - chain[-1][1].run.ends[1]) > JOIN
            and (grown := _grown(chain, left)) is not None
        ):
            chain = grown
        chains.append(chain)
    return chains


def _grown(chain: list[tuple[int, Drawn]], left: list[tuple[int, Drawn]]) -> list[tuple[int, Drawn]] | None:
    """The chain with one more line, which is taken from those left; None if none meets it."""
    begin, end = chain[0][1].run.ends[0], chain[-1][1].run.ends[1]
    for i, (number, line) in enumerate(left):
        for way in (line, Drawn(line.run.reversed(), line.name, line.groups)):
            first, last = way.run.ends
            if np.linalg.norm(first - end) <= JOIN:
                del left[i]
                return [*chain, (number, way)]
            if np.linalg.norm(last - begin) <= JOIN:
                del left[i]
                return [(number, way), *chain]
    return None


def _home(line: Drawn, drawing: Drawing) -> int | None:
    """The innermost group that has a name, and is no layer: of sew or cut lines, or as "front.marks" in "front"."""
    names = [drawing.groups[group].name for group in line.groups]
    for i, (group, name) in enumerate(zip(line.groups, names, strict=True)):
        part = any(outer and name.startswith(f"{outer}.") for outer in names[i + 1 :])
        if name and not part and not CUT.search(name) and not SEW.search(name):
            return group
    return None


def _layer(line: Drawn, drawing: Drawing) -> str:
    """ "cut" or "sew" where the line, or a group that it lies in, is named so."""
    for name in (line.name, *(part for g in line.groups for part in (drawing.groups[g].name, drawing.groups[g].kind))):
        if SEW.search(name):
            return "sew"
        if CUT.search(name):
            return "cut"
    return ""
