"""The sides of an outline: from corner to corner, counter-clockwise from the lower left one, with their names."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Sequence
from itertools import groupby

import numpy as np

from ..errors import DraftError, LengthError
from ..pattern.curve import signed_area, stations, walk
from ..pattern.panel import Edge, FloatArray, trace
from ..units import format_length, parse_length
from .own_curve import flat
from .own_outline import Outline
from .own_words import tidy

CORNER = math.radians(20)  # a line that turns by more has a corner; flattened curves turn by less
MEANT = 0.02  # mm: a length that ends so near to a drawn point ends on it
STRAIGHT = math.radians(0.01)  # a point on a straight line that turns by less was set to part it


def sides_of(outline: Outline, origin: FloatArray, said: Sequence[tuple[FloatArray, str]] = ()) -> tuple[Edge, ...]:
    """The sides of an outline in its panel's frame, y upwards.

    A side ends where another drawn line begins, where the line turns by more than `CORNER`, and at a point that parts
    a straight line.

    Parameters
    ----------
    origin : (2,) float
        The frame's origin on the page, mm.
    said : sequence of ((2,) float, str)
        Places on the page, mm, each with the name of the side nearest to it.

    Returns
    -------
    tuple of Edge
        Each by its line's name, by what was said, or by its number from 1.
    """
    segments, labels = _counter_clockwise(outline, origin)
    corners = _corners(segments, labels)
    starts = np.array([segments[i][0] for i in corners])
    first = int(np.argmin(np.round(starts.sum(axis=1), 3)))
    corners = corners[first:] + corners[:first]
    runs = []
    for here, following in zip(corners, corners[1:] + corners[:1], strict=True):
        length = (following - here) % len(segments) or len(segments)
        inside = [(here + k) % len(segments) for k in range(length)]
        names = {labels[i][1] for i in inside}
        runs.append(
            (tidy(names.pop()) if len(names) == 1 else "", np.concatenate([flat(segments[i])[:-1] for i in inside]))
        )
    told = _told(runs, said, origin)
    named = [(name or told.get(i) or str(i + 1), points) for i, (name, points) in enumerate(runs)]
    return trace(*named)


def named_sides(panel: str, sides: Sequence[Edge], names: Sequence[str]) -> tuple[Edge, ...]:
    """The sides as a list names them, counter-clockwise from the lower left corner.

    Parameters
    ----------
    names : sequence of str
        "side" goes to the next corner, "slit 20mm" so far on. The same name twice in a row joins the two.

    Raises
    ------
    DraftError
        The list does not go round the outline just once.
    """
    outline = np.concatenate([*(edge.points[:-1] for edge in sides), sides[0].points[:1]])
    corners = np.cumsum([0.0, *(edge.length for edge in sides)])
    drawn = stations(outline)
    at, ends, called = 0.0, [0.0], []
    for text in names:
        name, length = _name_and_length(panel, text)
        beyond = corners[corners > at + 1e-3]
        if length is None and not len(beyond):
            break
        at = float(beyond[0]) if length is None else _on_point(at + length, drawn)
        ends.append(at)
        called.append(name)
    if len(called) < len(names) or abs(at - corners[-1]) > 0.1:
        lengths = ", ".join(format_length(edge.length) for edge in sides)
        raise DraftError(
            f"The {panel}'s list of {len(names)} edges does not go round it once: it has {len(sides)} sides between "
            f"corners, counter-clockwise from the lower left, of {lengths}. "
            "Name each, or give the length of one that ends before a corner."
        )
    ends[-1] = float(corners[-1])
    parts = [(name, _between(outline, a, b)) for name, a, b in zip(called, ends, ends[1:], strict=False)]
    return trace(*((name, np.concatenate([points for _, points in run])) for name, run in _joined(parts)))


def refuse_twice(panel: str, edges: Sequence[Edge]) -> None:
    """Every edge has a name of its own.

    Raises
    ------
    DraftError
        Two edges have the same one.
    """
    twice = [name for name, count in Counter(edge.name for edge in edges).items() if count > 1]
    if twice:
        raise DraftError(f"The {panel} has two edges called {twice[0]}. Give one of them another name.")


def _joined(parts: list[tuple[str, FloatArray]]) -> list[tuple[str, list[tuple[str, FloatArray]]]]:
    return [(name, list(run)) for name, run in groupby(parts, key=lambda part: part[0])]


def _on_point(at: float, drawn: FloatArray) -> float:
    """The drawn point that is meant by a length measured to it and rounded, else the length itself."""
    nearest = float(drawn[np.abs(drawn - at).argmin()])
    return nearest if abs(nearest - at) < MEANT else at


def _between(outline: FloatArray, start: float, end: float) -> FloatArray:
    """The points of a polyline from one distance along it up to, but without, another."""
    at = stations(outline)
    inner = outline[(at > start + 1e-6) & (at < end - 1e-6)]
    return np.concatenate([walk(outline, [start])[0], inner])


def _name_and_length(panel: str, text: str) -> tuple[str, float | None]:
    """ "slit 20mm" is a name and a length, "side" a name."""
    match = re.fullmatch(r"(\S+)(?:\s+(.+))?", text.strip())
    if match is None:
        raise DraftError(f'The {panel} has an edge without a name in its list: give it one, such as "hem".')
    try:
        return tidy(match[1]), parse_length(match[2]) if match[2] else None
    except LengthError as error:
        raise DraftError(f'The {panel}\'s edge "{text}" is neither a name nor a name and a length: {error}') from error


def _counter_clockwise(outline: Outline, origin: FloatArray) -> tuple[list[FloatArray], list[tuple[int, str]]]:
    """Segments in the panel's frame, running counter-clockwise as seen."""
    segments = [(segment - origin) * [1.0, -1.0] for segment in outline.segments]
    if signed_area(outline.points * [1.0, -1.0]) < 0:
        return [segment[::-1] for segment in segments[::-1]], outline.labels[::-1]
    return segments, list(outline.labels)


def _corners(segments: list[FloatArray], labels: list[tuple[int, str]]) -> list[int]:
    """The segments that begin at a corner; the lowest left one where there is none."""
    corners = [
        i
        for i in range(len(segments))
        if labels[i][0] != labels[i - 1][0] or _is_corner(segments[i - 1], segments[i], labels[i][1] != "")
    ]
    return corners or [int(np.argmin([segment[0].sum() for segment in segments]))]


def _is_corner(before: FloatArray, after: FloatArray, named: bool) -> bool:
    """Whether the line has a corner here; one line that has a name is one side, whatever its shape."""
    if named:
        return False
    u, v = _last_way(before), -_last_way(after[::-1])
    turn = abs(math.atan2(u[0] * v[1] - u[1] * v[0], u @ v))
    return turn > CORNER or (turn < STRAIGHT and len(before) == len(after) == 2)


def _last_way(segment: FloatArray) -> FloatArray:
    """The direction in which a segment ends."""
    steps = segment[-1] - segment[:-1]
    return np.asarray(steps[np.linalg.norm(steps, axis=1) > 1e-9][-1])


def _told(
    runs: list[tuple[str, FloatArray]], said: Sequence[tuple[FloatArray, str]], origin: FloatArray
) -> dict[int, str]:
    """The names that words give to the sides nearest to them."""
    names = {}
    for at, name in said:
        point = (at - origin) * [1.0, -1.0]
        lines = [
            np.concatenate([points, following[:1]])
            for (_, points), (_, following) in zip(runs, runs[1:] + runs[:1], strict=True)
        ]
        names[int(np.argmin([_distance(line, point) for line in lines]))] = tidy(name)
    return names


def _distance(line: FloatArray, point: FloatArray) -> float:
    along = np.diff(line, axis=0)
    share = ((point - line[:-1]) * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-12)
    return float(np.linalg.norm(line[:-1] + np.clip(share, 0, 1)[:, None] * along - point, axis=1).min())
