"""Which closed lines of a drawing are panels, and what they are called."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable

import numpy as np

from ..errors import DraftError
from ..pattern.check import crossings
from ..pattern.panel import FloatArray
from .own_curve import MOST_POINTS
from .own_drawing import Drawing, Written
from .own_outline import Open, Outline, closed_lines, distance, holds, place, within
from .own_words import is_command, tidy

BESIDE = 0.5  # mm: a mark may begin so far outside of the panel it belongs to
GRAIN = re.compile("grain", re.IGNORECASE)


def find_outlines(drawing: Drawing, file: str) -> list[Outline]:
    """The outlines of all panels, named, in the order in which they were drawn.

    Raises
    ------
    DraftError
        A line that is open, crosses itself or has no name; a name given twice; no panel at all. Says where.
    """
    outlines, open_ones = closed_lines(drawing)
    _keep_sew_lines(outlines, drawing)
    _name_by_label(outlines, drawing)
    _name_by_group(outlines, drawing)
    _name_by_words(outlines, drawing.words)
    panels = [outline for outline in outlines if outline.name]
    _sort_open(open_ones, panels or outlines, drawing)
    for outline in outlines:
        if not outline.name and not _is_mark(outline, panels) and not any(within(p, outline) for p in panels):
            raise DraftError(
                f"The outline at {place(outline.box.mean(axis=0))} in {file} has no name. Name it in the drawing "
                "program, or write its name inside it."
            )
    if not panels:
        raise DraftError(f"{file} holds no closed outline. Draw each panel as one closed line, at its sew line.")
    _check(panels)
    return panels


def _keep_sew_lines(outlines: list[Outline], drawing: Drawing) -> None:
    """Where a group has a sew line, its other outlines are cut lines and marks."""
    sewn = defaultdict(list)
    for outline in outlines:
        if outline.layer == "sew":
            sewn[outline.home].append(outline)
    for outline in [one for one in outlines if one.layer == "cut"]:
        if outline.home not in sewn:
            raise DraftError(
                f"At {place(outline.box.mean(axis=0))} there is a cut line without a sew line. Draw the sew line, or "
                "give the line another name if it is one: allowances are added later."
            )
        outlines.remove(outline)
    for home, lines in sewn.items():
        if home is None:
            continue
        outer = [one for one in lines if not any(within(one, other) for other in lines)]
        if len(outer) > 1 or any(_alike(a, outer[0]) for a in lines if a is not outer[0]):
            raise DraftError(
                f"The {drawing.groups[home].name} has {len(lines)} sew lines. Keep those of one size in the drawing."
            )
        for one in [o for o in outlines if o.home == home and o is not outer[0]]:
            outlines.remove(one)
        outer[0].name = ""


def _alike(a: Outline, b: Outline) -> bool:
    """Whether one outline could be another size of the other."""
    ratio = np.ptp(a.box, axis=0) / np.ptp(b.box, axis=0)
    return bool((ratio > 0.5).all() and len(a.segments) == len(b.segments))


def _name_by_label(outlines: list[Outline], drawing: Drawing) -> None:
    for outline in outlines:
        outline.name = tidy(outline.name) if not outline.layer else ""


def _name_by_group(outlines: list[Outline], drawing: Drawing) -> None:
    """A group's name is that of the one outline in it, or of the one that all others in it lie within."""
    homes = defaultdict(list)
    for outline in outlines:
        if outline.home is not None and not outline.name:
            homes[outline.home].append(outline)
    for home, lines in homes.items():
        outer = [one for one in lines if not any(within(one, other) for other in lines)]
        # What lies on an outline of a group further out is a mark on it.
        if len(outer) == 1 and not any(o.home in outer[0].groups and within(outer[0], o) for o in outlines):
            outer[0].name = tidy(drawing.groups[home].name)


def _name_by_words(outlines: list[Outline], words: Iterable[Written]) -> None:
    """The first words in an outline name it, unless they tell something else; the innermost outline counts."""
    named = [outline for outline in outlines if outline.name]
    for word in words:
        around = [one for one in outlines if holds(one.points, word.at)[0]]
        if around and not is_command(word.text):
            inner = min(around, key=lambda one: float(np.prod(np.ptp(one.box, axis=0))))
            if not inner.name and not any(within(inner, one) or within(one, inner) for one in named):
                inner.name = tidy(word.text)


def _is_mark(outline: Outline, panels: list[Outline]) -> bool:
    return any(within(outline, panel) for panel in panels)


def _sort_open(open_ones: list[Open], panels: list[Outline], drawing: Drawing) -> None:
    """Open lines on a panel are marks, or its grain line; any other is an outline that was left open."""
    for line in open_ones:
        owner = next((panel for panel in panels if _is_on(line, panel)), None)
        if owner is None:
            group = next((drawing.groups[i].name for i in line.groups if drawing.groups[i].name), "")
            first, last = line.points[[0, -1]]
            raise DraftError(
                f"The {line.name or group or _words_in(line.points, drawing.words) or 'line'} is open: it begins at "
                f"{place(first)}, and ends at ({last[0]:.1f}, {last[1]:.1f}), {np.linalg.norm(last - first):.2f} mm "
                "away. Close it, or join it to the lines it should meet."
            )
        if GRAIN.search(line.name):
            owner.grain = line.points[[0, -1]]


def _is_on(line: Open, panel: Outline) -> bool:
    """Whether an open line is a mark on a panel: in its group or touching it, and no larger."""
    small = np.prod(np.ptp(line.points, axis=0)) <= np.prod(np.ptp(panel.box, axis=0))
    return bool(small and (panel.home in line.groups or _touches(panel, line.points)))


def _words_in(points: FloatArray, words: Iterable[Written]) -> str:
    inside = (
        word.text for word in words if len(points) > 2 and holds(points, word.at)[0] and not is_command(word.text)
    )
    return next(inside, "")


def _touches(panel: Outline, points: FloatArray) -> bool:
    some = points[np.linspace(0, len(points) - 1, min(len(points), 9)).astype(int)]
    return bool(holds(panel.points, some).any() or min(distance(panel.points, point) for point in some) < BESIDE)


def _check(panels: list[Outline]) -> None:
    """Names are given once, and no outline is too fine or crosses itself."""
    seen: dict[str, Outline] = {}
    for panel in panels:
        if panel.name in seen:
            raise DraftError(
                f"Two outlines are called {panel.name}: at {place(seen[panel.name].box.mean(axis=0))}, and at "
                f"{place(panel.box.mean(axis=0))}. Give one another name; write cut 2 in it if it is the same twice."
            )
        seen[panel.name] = panel
        if len(panel.points) > MOST_POINTS:
            raise DraftError(
                f"The {panel.name}'s outline has {len(panel.points)} points, more than {MOST_POINTS}. Simplify it in "
                "the drawing program."
            )
        if meeting := crossings(panel.points):
            at = place(panel.points[meeting[0][0]])
            raise DraftError(f"The {panel.name}'s outline crosses itself near {at}. Move its points apart.")
