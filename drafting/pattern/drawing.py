"""The cutter's draft: all panels at their sew lines, to scale, with their names, grain and the length of every edge."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ..units import MM_PER_INCH, format_length
from ..words import edge as edge_word
from .curve import stations, walk
from .inner import inner_lines, inside, on_fold, tie_points
from .panel import Edge, FloatArray, Panel
from .pattern import Pattern
from .raster import sheet_png
from .sheet import LETTER_WIDTH, Group, Lettering, Mark, Sheet, Stroke, extent, overlap, sheet_svg

LETTERS_ON_LONGEST = 110  # lettering heights on the longest side of the largest upright panel
SMALLEST_LETTERING = 2.0  # mm, still read with the naked eye
ROOM = 3.0  # lettering heights between the panels, and round all of them
STRIP = 4.0  # a panel this many times wider than high is laid below the others


def pattern_svg(pattern: Pattern, unit: str = "mm") -> str:
    """A scale drawing of all panels as SVG, millimetres at true size.

    Parameters
    ----------
    unit : {"mm", "in"}
        What the lengths are written in.
    """
    return sheet_svg(pattern_sheet(pattern, unit))


def pattern_png(pattern: Pattern, unit: str = "mm", longest_px: int = 2400) -> bytes:
    """The same drawing as a PNG file whose longer side has `longest_px` pixels."""
    return sheet_png(pattern_sheet(pattern, unit), longest_px)


def pattern_sheet(pattern: Pattern, unit: str = "mm") -> Sheet:
    """The same drawing as a sheet of strokes and lettering."""
    tallest = max(float(np.ptp(panel.outline[:, 1])) for panel in pattern.panels)
    letter = max(SMALLEST_LETTERING, tallest / LETTERS_ON_LONGEST)
    title = _title(pattern, unit)
    head = [
        Lettering(title, np.array([ROOM, ROOM]) * letter, 1.3 * letter, anchor="start", bold=True),
        Lettering(_allowances(pattern, unit), np.array([ROOM, ROOM + 1.8]) * letter, letter, anchor="start"),
    ]
    drawn = [(panel, _panel_marks(panel, pattern, letter, unit)) for panel in pattern.panels]
    groups = _layout(drawn, ROOM * letter, top=(2 * ROOM + 1) * letter)
    width, bottom = extent([*head, *(mark for group in groups for mark in group.marks)])[1] + ROOM * letter
    height = bottom + ROOM * letter
    scale = Group("scale", tuple(_scale_bar(np.array([width, height]) - ROOM * letter, letter, unit)))
    return Sheet(width, height, letter, title, (Group("title", tuple(head)), *groups, scale))


def _layout(drawn: list[tuple[Panel, list[Mark]]], room: float, top: float) -> list[Group]:
    """Upright panels side by side, their upper edges in one line, then the long strips below one another."""
    groups, x, y, bottom = [], room, top, top
    # What stands above an upright panel's upper edge; on the sheet that edge lies at minus its height in the frame.
    above = max(
        (-panel.outline[:, 1].max() - extent(marks)[0, 1] for panel, marks in drawn if not _is_strip(panel)),
        default=0.0,
    )
    for panel, marks in sorted(drawn, key=lambda one: (_is_strip(one[0]), one[0].order)):
        low, high = extent(marks)
        if _is_strip(panel):
            x, y = room, bottom
        down = y - low[1] if _is_strip(panel) else y + above + panel.outline[:, 1].max()
        groups.append(Group(panel.name, tuple(mark.moved(np.array([x - low[0], down])) for mark in marks)))
        x += high[0] - low[0] + room
        bottom = max(bottom, down + high[1] + room)
    return groups


def _is_strip(panel: Panel) -> bool:
    wide, high = np.ptp(panel.outline, axis=0)
    return bool(wide > STRIP * high)


def _panel_marks(panel: Panel, pattern: Pattern, letter: float, unit: str) -> list[Mark]:
    """Everything drawn for a panel, in its own frame but with y downwards as on the sheet."""
    marks: list[Mark] = [Stroke(_down(panel.outline), "sew", closed=True)]
    for edge in panel.edges:
        marks += _edge_marks(edge, marks, letter, unit)
    marks += _dimensions(panel, extent(marks), letter, unit)
    marks += [Stroke(_down(panel.grain)), *_arrows(panel.grain, letter)]
    marks += _ties(panel, pattern, letter)
    for name, line in inner_lines(panel, pattern):
        marks += [Stroke(_down(line), "dashed" if name == "waist" else "centre"), _line_name(name, line, letter)]
    return marks + list(_name(panel, letter))


def _edge_marks(edge: Edge, before: list[Mark], letter: float, unit: str) -> list[Mark]:
    """A tick where it begins, its name and its length: along it where there is room, else on a line drawn out."""
    middle, way = walk(edge.points, [0.0, stations(edge.points)[-1] / 2])
    outward = np.column_stack([way[:, 1], -way[:, 0]])
    tick = Stroke(_down(middle[0] + np.outer([0.0, 0.9 * letter], outward[0])))
    text = f"{edge_word(edge.name)} {_length(edge.length, unit)}"
    along = Lettering(text, _down(middle[1] + outward[1] * letter), letter, _upright(way[1]))
    span = float(np.linalg.norm(edge.points[-1] - edge.points[0]))
    if along.width < span and edge.length - span < 0.02 * span:
        return [tick, along]
    return [tick, *_drawn_out(text, middle[1], outward[1], before, letter)]


def _drawn_out(text: str, at: FloatArray, outward: FloatArray, before: list[Mark], letter: float) -> list[Mark]:
    """The text at the end of a line, which grows until the text is clear of what is there already."""
    anchor = "middle" if abs(outward[0]) < 0.6 else "start" if outward[0] > 0 else "end"
    beyond = np.array([0.0, np.sign(outward[1]) * 0.8] if anchor == "middle" else [np.sign(outward[0]) * 0.4, 0.0])
    reach = 2.0
    while True:
        end = at + outward * reach * letter
        words = Lettering(text, _down(end + beyond * letter), letter, anchor=anchor)
        if reach > 12 or not any(isinstance(mark, Lettering) and overlap(mark, words) for mark in before):
            return [Stroke(_down(np.array([at, end]))), words]
        reach += 0.7


def _dimensions(panel: Panel, taken: FloatArray, letter: float, unit: str) -> list[Mark]:
    """Overall width below and overall height at the left, clear of what is taken (y downwards)."""
    low, high = panel.outline.min(axis=0), panel.outline.max(axis=0)
    below, left = -taken[1, 1] - 1.5 * letter, taken[0, 0] - 1.5 * letter
    return [
        *_dimension(np.array([[low[0], below], [high[0], below]]), letter, unit),
        *_dimension(np.array([[left, low[1]], [left, high[1]]]), letter, unit),
    ]


def _dimension(line: FloatArray, letter: float, unit: str) -> list[Mark]:
    way = line[1] - line[0]
    length = float(np.linalg.norm(way))
    way = way / length
    square = np.array([-way[1], way[0]])
    ticks = [Stroke(_down(end + np.outer([-0.7, 0.7], square) * letter)) for end in line]
    outside = line.mean(axis=0) + square * (1.0 if abs(way[1]) > 0.5 else -1.0) * letter
    words = Lettering(_length(length, unit), _down(outside), letter, _upright(way))
    return [Stroke(_down(line)), *ticks, *_arrows(line, letter), words]


def _arrows(line: FloatArray, letter: float) -> Iterator[Stroke]:
    """A filled arrow at both ends of a line; smaller on a short one."""
    way = line[1] - line[0]
    length = float(np.linalg.norm(way))
    way = way / length * min(letter, length / 4)
    square = np.array([-way[1], way[0]])
    for end, back in ((line[0], 1.2 * way), (line[1], -1.2 * way)):
        yield Stroke(_down(np.array([end, end + back + 0.3 * square, end + back - 0.3 * square])), "thin", True, True)


def _ties(panel: Panel, pattern: Pattern, letter: float) -> list[Mark]:
    """A cross where a tie or a snap is sewn on."""
    points = tie_points(panel, pattern)
    arms = 0.5 * letter * np.array([[[-1, -1], [1, 1]], [[-1, 1], [1, -1]]])
    crosses: list[Mark] = [Stroke(_down(point + arm)) for point in points for arm in arms]
    return crosses + [Lettering("tie", _down(p + 0.9 * letter), 0.9 * letter, anchor="start") for p in points]


def _line_name(text: str, line: FloatArray, letter: float) -> Lettering:
    at, way = walk(line, [0.88 * stations(line)[-1]])
    side = np.array([-way[0, 1], way[0, 0]])
    return Lettering(text, _down(at[0] + 0.8 * letter * side), 0.9 * letter, _upright(way[0]))


def _name(panel: Panel, letter: float) -> Iterator[Lettering]:
    """Order, name and cut count beside the grain line: level where the panel is wide enough, else along the grain."""
    title = f"{panel.order}  {panel.name}"
    cut = f"cut {panel.count}" + (" on the fold" if on_fold(panel) else "")
    way = panel.grain[1] - panel.grain[0]
    at = panel.grain[0] + 0.62 * way
    lines = ((title, 1.6, 1.4), (cut, 1.0, -0.6))
    needed = (max(len(text) * size for text, size, _ in lines) * LETTER_WIDTH + 1.5) * letter
    rooms = [(side, _room(panel, at, side)) for side in (1, -1)] if abs(way[1]) > abs(way[0]) else []
    side, room = max(rooms, key=lambda one: one[1], default=(0, 0.0))
    if needed < room:
        for text, size, up in lines:
            yield Lettering(text, _down(at + np.array([side * room / 2, up * letter])), size * letter, bold=size > 1)
    else:
        way = way / np.linalg.norm(way)
        across = np.array([-way[1], way[0]]) * letter
        yield Lettering(f"{title}, {cut}", _down(at + across), 1.2 * letter, _upright(way), bold=True)


def _room(panel: Panel, at: FloatArray, side: int) -> float:
    """How far it is from a point level to the panel's outline or its centre line, mm."""
    stops = [x for line in inside(panel.outline, 1, at[1]) for x in line[:, 0]] + [0.0]
    return min((side * (x - at[0]) for x in stops if side * (x - at[0]) > 1e-9), default=0.0)


def _title(pattern: Pattern, unit: str) -> str:
    doll = pattern.measures.get("height")
    tall = f" for a doll of {format_length(doll, unit)}" if doll else ""
    units = "millimetres" if unit == "mm" else "inches"
    return f"{pattern.garment.capitalize()}{tall}: sew lines without allowances, lengths in {units}"


def _allowances(pattern: Pattern, unit: str) -> str:
    """What to add when cutting, as far as the garment has such options."""
    words = {
        "seam_allowance": "at the seams",
        "hem_allowance": "at hems and openings",
        "band_hem": "at the neckband ends",
    }
    parts = [
        f"{format_length(float(mm), unit)} {words[name]}"
        for name, mm in pattern.options.items()
        if name in words and isinstance(mm, float | int)
    ]
    return "Add when cutting: " + ", ".join(parts) if parts else "Add allowances when cutting"


def _scale_bar(right: FloatArray, letter: float, unit: str) -> list[Mark]:
    length, text = (50.0, "50 mm") if unit == "mm" else (2 * MM_PER_INCH, "2 in")
    left = right - [length, 0.0]
    ticks = [Stroke(end + np.array([[0, -0.6], [0, 0.6]]) * letter) for end in (left, right)]
    words = Lettering(f"{text} at true scale", left - [letter, 0.0], letter, anchor="end")
    return [Stroke(np.array([left, right]), "sew"), *ticks, words]


def _length(mm: float, unit: str) -> str:
    """The bare number: the sheet's title names the unit."""
    return format_length(mm, unit).removesuffix(f" {unit}")


def _down(points: FloatArray) -> FloatArray:
    """From a panel's frame, y upwards, to the sheet's, y downwards."""
    return np.asarray(points, dtype=float) * np.array([1.0, -1.0])


def _upright(way: FloatArray) -> float:
    """Angle of lettering along a direction, readable from below or from the right, degrees from -80 to 100."""
    return (math.degrees(math.atan2(way[1], way[0])) + 80) % 180 - 80
