"""The printed form of a panel: cut line, sew line, notches, marks and words, for one size or for several nested."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from ..pattern.curve import stations, walk
from ..pattern.inner import inner_lines, inside, on_fold, tie_points, waist_level
from ..pattern.panel import Edge, FloatArray, Panel
from ..pattern.pattern import Pattern
from ..units import format_length
from ..words import edge as edge_word
from .allowance import Allowance, allowances_of, cut_line
from .halves import Fold, clipped, fold_of, half
from .ink import CUT, SEW, Ink, Line, Words, arrow_head, circle, overlap
from .notches import Notch, notches_of
from .space import is_clear, room_for

NAME_MM, LINE_MM, EDGE_MM = 5.0, 3.0, 2.1  # type sizes
NOTCH_HALF_WIDTH = 1.0
DRILL_MM = 1.2  # radius of a drill mark
SAME = 1e-6  # mm


@dataclass(frozen=True)
class Size:
    """One doll's pattern in a set.

    Attributes
    ----------
    label : str
        Such as "270 mm".
    place : int
        In the set, from 0: it chooses the line style.
    """

    label: str
    pattern: Pattern
    place: int = 0


@dataclass(frozen=True)
class Template:
    """What is printed for one panel.

    Attributes
    ----------
    inks : tuple of Ink
        In the panel's frame, mm.
    outlines : tuple of (n, 2) float
        The cut lines, closed, one a size.
    fold : Fold or None
        Drawn to the fold only.
    """

    name: str
    inks: tuple[Ink, ...]
    outlines: tuple[FloatArray, ...]
    fold: Fold | None = None

    @property
    def extent(self) -> FloatArray:
        """(2, 2) float: smallest and largest x and y of the cut lines, mm."""
        return np.array(
            [
                np.min([outline.min(axis=0) for outline in self.outlines], axis=0),
                np.max([outline.max(axis=0) for outline in self.outlines], axis=0),
            ]
        )


def templates(sizes: Sequence[Size], room: FloatArray, unit: str = "mm", *, folded: bool = False) -> list[Template]:
    """The templates of all panels, in sewing order.

    Parameters
    ----------
    room : (2,) float
        What can be printed on one page, mm: a panel that is the same on both sides of a fold is drawn whole where it
        fits, else to the fold.
    folded : bool
        Draw every such panel to the fold.
    """
    panels = [(size, panel) for size in sizes for panel in size.pattern.panels]
    names = dict.fromkeys(panel.name for _, panel in sorted(panels, key=lambda one: one[1].order))
    room = np.zeros(2) if folded else room
    return [_template([one for one in panels if one[1].name == name], len(sizes) > 1, room, unit) for name in names]


def cut_words(panel: Panel, fold: Fold | None = None) -> str:
    """How many to cut: "cut 2 (1 mirrored)"."""
    if fold is not None or on_fold(panel):
        return f"cut {panel.cut} on the fold"
    return f"cut {panel.count}"


def _template(nested: list[tuple[Size, Panel]], many: bool, room: FloatArray, unit: str) -> Template:
    folds = [fold_of(panel) for _, panel in nested]
    cuts = [cut_line(panel, allowances_of(size.pattern, panel)) for size, panel in nested]
    fits = all(_fits(np.ptp(cut, axis=0), room) for cut in cuts)
    fold = None if fits or None in folds else folds[0]
    leading = max(range(len(nested)), key=lambda i: float(np.ptp(cuts[i], axis=0).prod()))
    lead_size, lead = nested[leading]
    inks: list[Ink] = [] if fold is None else list(_place_on_fold(cuts[leading], fold))
    taken = tuple(inks)
    for (size, panel), cut in zip(nested, cuts, strict=True):
        inks += _drawn(panel, cut, size, fold, taken, size.label if many else "")
    labels = list(_size_words(nested, fold)) if many else []
    inks += [*labels, *_edge_words(lead, lead_size.pattern, fold, labels, _of_others(inks, lead_size.label), unit)]
    inks += _grain(lead, lead_size.pattern, fold)
    walls = [
        ink.points for ink in inks if isinstance(ink, Line) and not (_bounds(ink) and ink.size in ("", lead_size.label))
    ]
    walls += [np.concatenate([ink.corners, ink.corners[:1]]) for ink in inks if isinstance(ink, Words)]
    inks += _named(lead, lead_size.pattern, fold, [size.label for size, _ in nested], walls)
    outlines = tuple(cut if fold is None else clipped(cut, fold) for cut in cuts)
    return Template(lead.name, tuple(inks), outlines, fold)


def _bounds(line: Line) -> bool:
    """Whether a line is a panel's own outline rather than something inside it."""
    return line.layer in (CUT, SEW)


def _fits(size: FloatArray, room: FloatArray) -> bool:
    return bool((size <= room).all() or (size[::-1] <= room).all())


def _drawn(
    panel: Panel, cut: FloatArray, size: Size, fold: Fold | None, taken: Sequence[Ink], tag: str
) -> Iterator[Ink]:
    """All that differs from size to size."""
    for outline, pen, layer in ((cut, f"cut{size.place}", CUT), (panel.outline, "sew", SEW)):
        points = outline if fold is None else half(outline, fold)
        yield Line(points, pen, layer, closed=fold is None, size=tag)
    for notch in notches_of(size.pattern, panel, allowances_of(size.pattern, panel)):
        if fold is None or fold.keeps(notch.at):
            yield Line(nick(notch), "thin", CUT, closed=True, grey=0.0, size=tag)
    kept = panel.outline if fold is None else clipped(panel.outline, fold)
    ties = [ink for point in tie_points(panel, size.pattern) for ink in _drill(point, tag)]
    yield from ties
    for name, line in inner_lines(panel, size.pattern):
        if fold is None or abs(line[0, fold.axis] - fold.level) > SAME or abs(line[1, fold.axis] - fold.level) > SAME:
            line = line if fold is None else _cut_short(line, fold)
            yield Line(line, "fold" if name == "fold" else "centre", size=tag)
            yield from _line_words(name, line, [*ties, *taken], tag)
    for level in _sash_levels(panel, size.pattern):
        yield from (Line(line, "place", size=tag) for line in inside(kept, 1, level))


def nick(notch: Notch) -> FloatArray:
    """(3, 2) float: the corners of a notch's triangle on the cut line."""
    across = np.array([-notch.inwards[1], notch.inwards[0]]) * NOTCH_HALF_WIDTH
    return np.array([notch.at - across, notch.at + across, notch.at + notch.depth * notch.inwards])


def _drill(point: FloatArray, tag: str) -> Iterator[Ink]:
    yield Line(circle(point, DRILL_MM), "mark", closed=True, size=tag)
    for arm in (np.array([DRILL_MM, 0.0]), np.array([0.0, DRILL_MM])):
        yield Line(np.array([point - arm, point + arm]), "thin", size=tag)
    yield Words("tie", point + np.array([DRILL_MM + 0.6, DRILL_MM]), EDGE_MM, anchor="start", size=tag)


def _sash_levels(panel: Panel, pattern: Pattern) -> list[float]:
    """Where the sash's edges lie on a trunk panel."""
    sashes = [float(np.ptp(one.outline[:, 1])) for one in pattern.panels if one.role == "sash"]
    waist = waist_level(pattern)
    if panel.role != "trunk" or not sashes or not np.isfinite(waist):
        return []
    return [waist - sashes[0] / 2, waist + sashes[0] / 2]


def _line_words(name: str, line: FloatArray, taken: Sequence[Ink], tag: str) -> Iterator[Words]:
    """The name of an inner line beside it, near one of its ends, clear of what is there already."""
    level = abs(line[1, 1] - line[0, 1]) < abs(line[1, 0] - line[0, 0])
    along = np.array([1.0, 0.0]) if level else np.array([0.0, 1.0])
    beside = np.array([0.0, 1.4]) if level else np.array([1.5, 0.0])
    low, high = line[np.argsort(line @ along)]
    angle = 0.0 if level else 90.0
    texts = ("waist, middle of the sash", "waist") if name == "waist" else (name,)
    for text in (f"{name}, {tag}", name) if tag and name == "waist" else texts:
        for at, anchor in ((low + 2 * along, "start"), (high - 2 * along, "end"), ((low + high) / 2, "middle")):
            words = Words(text, at + beside, EDGE_MM, angle, anchor, size=tag)
            apart = all(
                (words.extent[0] > ink.extent[1]).any() or (words.extent[1] < ink.extent[0]).any() for ink in taken
            )
            if apart and words.width < np.linalg.norm(high - low) - 3:
                yield words
                return


def _cut_short(line: FloatArray, fold: Fold) -> FloatArray:
    """The part of a straight line on the drawn half."""
    off = fold.side * (line[:, fold.axis] - fold.level)
    if (off >= 0).all():
        return line
    if (off <= 0).all():
        return line[:1].repeat(2, axis=0)
    on = line[0] + off[0] / (off[0] - off[1]) * (line[1] - line[0])
    return np.array([on, line[int(off.argmax())]])


def _place_on_fold(cut: FloatArray, fold: Fold) -> Iterator[Ink]:
    """The fold as a line with two arrows that point to it."""
    along = 1 - fold.axis
    ends = half(cut, fold)[[0, -1]]
    yield Line(ends, "fold", CUT)
    inward = np.zeros(2)
    inward[fold.axis] = fold.side
    middle, span = ends.mean(axis=0), float(np.ptp(ends[:, along]))
    for share in (-0.22, 0.22):
        tip = middle.copy()
        tip[along] += share * span
        yield Line(np.array([tip + 6 * inward, tip + 1.5 * inward]), "mark")
        yield arrow_head(tip + 0.3 * inward, -inward, 2.0)
    text = "place on the fold" if span > 40 else "fold"
    if span <= 40:  # beside a lengthwise fold, which ends in the middle
        middle[along] += 0.11 * span
    yield Words(text, middle + 2.2 * inward, EDGE_MM, 90.0 if along == 1 else 0.0)


def _of_others(inks: Sequence[Ink], size: str) -> list[FloatArray]:
    """The lines of all sizes but one, as open polylines."""
    lines = [ink for ink in inks if isinstance(ink, Line) and ink.size not in ("", size)]
    return [np.concatenate([line.points, line.points[:1]]) if line.closed else line.points for line in lines]


def _edge_words(
    panel: Panel, pattern: Pattern, fold: Fold | None, taken: Sequence[Words], lines: Sequence[FloatArray], unit: str
) -> Iterator[Words]:
    """Each edge's name and allowance, in the allowance, clear of notches and of the words that are there already.

    Clear of some lines too, where that can be.
    """
    allowances = allowances_of(pattern, panel)
    notches = notches_of(pattern, panel, allowances)
    for edge in panel.edges:
        allowance = allowances[edge.name]
        hits = [notch.along for notch in notches if notch.edge == edge.name]
        text = f"{edge_word(edge.name)} {format_length(allowance.mm, unit)}"
        for words in (text, format_length(allowance.mm, unit)):
            found = _in_strip(edge, allowance, words, hits, fold)
            free = [one for one in found if not any(overlap(one, other) for other in taken)]
            if free:
                yield next((one for one in free if is_clear(one.extent, lines)), free[0])
                break


def _in_strip(
    edge: Edge, allowance: Allowance, text: str, taken: list[float], fold: Fold | None, places: Sequence[float] = ()
) -> Iterator[Words]:
    """Where words have room in an edge's allowance, clear of its notches: in the middle first."""
    height = min(EDGE_MM, 0.5 * allowance.mm)
    width = Words(text, np.zeros(2), height).width
    for share in places or (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
        middle = share * edge.length
        (begin, at, end), (_, way, _) = walk(edge.points, [middle - width / 2, middle, middle + width / 2])
        bent = edge.length > 0 and abs(np.linalg.norm(end - begin) - width) > 0.02 * width
        short = min(middle, edge.length - middle) < width / 2 + 1
        hit = any(abs(along - middle) < width / 2 + NOTCH_HALF_WIDTH + 0.5 for along in taken)
        hidden = fold is not None and not (fold.keeps(begin) and fold.keeps(end))
        if not (bent or short or hit or hidden) and height >= 1.2:
            out = np.array([way[1], -way[0]])
            angle = (np.degrees(np.arctan2(way[1], way[0])) + 80) % 180 - 80
            yield Words(text, at + out * allowance.mm / 2, height, float(angle))


def _size_words(nested: list[tuple[Size, Panel]], fold: Fold | None) -> Iterator[Words]:
    """Each size's label in the allowance of the edge at which the sizes differ most."""
    middles = {
        edge.name: [panel.edge(edge.name) for _, panel in nested if edge.name in {e.name for e in panel.edges}]
        for edge in nested[0][1].edges
    }

    def spread(name: str) -> float:
        edges = middles[name]
        centres = np.array([edge.points.mean(axis=0) for edge in edges])
        ways = np.array([edge.points[-1] - edge.points[0] for edge in edges])
        ways = ways / np.linalg.norm(ways, axis=1)[:, None]
        apart = (centres - centres[0]) @ np.array([ways[0, 1], -ways[0, 0]])
        kept = fold is None or all(fold.keeps(centre) for centre in centres)
        return float(np.ptp(apart)) if kept and min(edge.length for edge in edges) > 12 else -1.0

    name = max(middles, key=spread)
    for size, panel in nested:
        if name in {edge.name for edge in panel.edges}:
            allowance = allowances_of(size.pattern, panel)[name]
            for found in islice(
                _in_strip(panel.edge(name), allowance, size.label, [], fold, (0.8, 0.75, 0.85, 0.5)), 1
            ):
                yield replace(found, bold=True, size=size.label)


def _named(
    panel: Panel, pattern: Pattern, fold: Fold | None, labels: list[str], walls: list[FloatArray]
) -> Iterator[Words]:
    """The block that names the panel."""
    outline = panel.outline if fold is None else clipped(panel.outline, fold)
    size = ", ".join(labels) if len(labels) < 3 else f"{labels[0]} to {labels[-1]}"
    block = [
        (f"{panel.order}  {panel.name}", NAME_MM, True),
        (cut_words(panel, fold), LINE_MM, False),
        (pattern.garment if size == pattern.garment else f"{pattern.garment}, {size}", LINE_MM, False),
    ]
    return _block(block, outline, walls, panel.grain.mean(axis=0))


def grain_line(panel: Panel, pattern: Pattern) -> FloatArray:
    """(2, 2) float: where the grain is drawn: beside a centre line or a fold that runs along it."""
    grain = panel.grain
    across = (
        np.array([0.0, 1.0])
        if abs(grain[1, 0] - grain[0, 0]) > abs(grain[1, 1] - grain[0, 1])
        else np.array([1.0, 0.0])
    )
    if any(np.abs((line - grain[0]) @ across).max() < 1.0 for _, line in inner_lines(panel, pattern)):
        grain = grain + across * float(np.ptp(panel.outline @ across)) / 4
    return grain


def _grain(panel: Panel, pattern: Pattern, fold: Fold | None) -> Iterator[Ink]:
    """The grain line with an arrow at both ends, and its name."""
    grain = grain_line(panel, pattern)
    if fold is not None:
        grain = _cut_short(grain, fold)
        grain = grain + 0.24 * (grain.mean(axis=0) - grain)
    yield Line(grain, "mark")
    way = grain[1] - grain[0]
    head = min(3.0, float(np.linalg.norm(way)) / 4)
    yield from (arrow_head(grain[1], way, head), arrow_head(grain[0], -way, head))
    at, ways = walk(grain, [0.28 * stations(grain)[-1]])
    angle = (np.degrees(np.arctan2(ways[0, 1], ways[0, 0])) + 80) % 180 - 80
    beside = np.array([-np.sin(np.radians(angle)), np.cos(np.radians(angle))]) * 1.5
    yield Words("grain", at[0] + beside, EDGE_MM, float(angle))


def _block(
    lines: list[tuple[str, float, bool]], outline: FloatArray, walls: list[FloatArray], near: FloatArray
) -> Iterator[Words]:
    """Lines of text below one another, or on one line where the panel is narrow, where there is room for them."""
    words = [Words(text, np.zeros(2), height, bold=bold) for text, height, bold in lines]
    stacked = np.array([max(word.width for word in words), sum(1.35 * word.height for word in words)])
    joined = ", ".join(text for text, _, _ in lines)
    row = Words(joined, np.zeros(2), LINE_MM, bold=True)
    stacked_at = room_for(outline, walls, stacked, near)
    row_at = room_for(outline, walls, np.array([row.width, row.height]), near)
    if row_at[2] > 1.15 * stacked_at[2]:
        centre, angle, scale = row_at
        yield Words(joined, centre, LINE_MM * scale, angle, bold=True)
        return
    centre, angle, scale = stacked_at
    down = np.array([np.sin(np.radians(angle)), -np.cos(np.radians(angle))])
    top = -stacked[1] / 2
    for word in words:
        middle = top + 1.35 * word.height / 2
        top += 1.35 * word.height
        yield Words(word.text, centre + down * middle * scale, word.height * scale, angle, bold=word.bold)
