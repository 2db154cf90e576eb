"""A drawing for each sewing step: the pieces in hand, and the garment on the table as it looks by then."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np

from ..garments.garment import Garment
from ..pattern.curve import stations, walk
from ..pattern.panel import FloatArray, Panel
from ..pattern.pattern import Pattern, Piece
from .ink import Ink, Line, Words, circle, extent
from .steps import Step

FINE_MM = 1.0  # between points of an outline that is laid on the table
STRAIGHT_MM = 0.02  # a point this close to the line between its neighbours is not drawn
GAP = 0.12  # of the drawing's height, between its parts
LETTERING = 0.055  # of the drawing's height
CLOTH, IN_HAND = 0.97, 0.88  # greys


def step_figure(pattern: Pattern, garment: Garment | None, steps: Sequence[Step], number: int) -> list[Ink]:
    """The drawing of a step.

    Parameters
    ----------
    garment : Garment or None
        None draws no table: the garment as it lies on it is not known.
    number : int
        Place of the step in `steps`, from 0.

    Returns
    -------
    list of Ink
        mm at the pattern's own scale; to be made smaller. Thick: what is sewn or turned in this step. Empty where
        nothing is in hand and there is no table.
    """
    step = steps[number]
    panels = [panel for panel in pattern.panels if panel.name in step.panels]
    table = _on_table(pattern, garment, steps[: number + 1], step) if garment else []
    boxes = [panel.outline for panel in panels] + ([extent(table)] if table else [])
    tall = max((float(np.ptp(box[:, 1])) for box in boxes), default=0.0)
    hand = _in_hand(step, panels, tall)
    if not hand or not table:
        return hand or table
    shift = extent(hand)[1, 0] + GAP * tall - extent(table)[0, 0]
    level = extent(hand)[:, 1].mean() - extent(table)[:, 1].mean()
    return hand + [ink.placed(np.array([shift, level])) for ink in table]


def _in_hand(step: Step, panels: Sequence[Panel], tall: float) -> list[Ink]:
    """The panels of the step side by side, the edges in question thick and, where sewn, lettered in pairs."""
    letters: dict[tuple[str, str], str] = {}
    for seam in step.seams:
        letter = letters.get(seam.a) or letters.get(seam.b) or chr(ord("A") + len(set(letters.values())) % 26)
        letters[seam.a] = letters[seam.b] = letter
    inks: list[Ink] = []
    x = 0.0
    for panel in panels:
        low, high = panel.outline.min(axis=0), panel.outline.max(axis=0)
        part: list[Ink] = [Line(panel.outline, "mark", closed=True, grey=IN_HAND)]
        for edge in panel.edges:
            end = (panel.name, edge.name)
            if end in letters or end in step.turned:
                part.append(Line(edge.points, "bold"))
            if end in letters:
                middle, way = walk(edge.points, [stations(edge.points)[-1] / 2])
                out = np.array([way[0, 1], -way[0, 0]])
                part.append(Words(letters[end], middle[0] + 0.8 * LETTERING * tall * out, LETTERING * tall, bold=True))
        part.append(Words(panel.name, (low + high) / 2, LETTERING * tall))
        shift = np.array([x - low[0], -(low[1] + high[1]) / 2])
        inks += [ink.placed(shift) for ink in part]
        x += float(high[0] - low[0]) + GAP * tall
    return inks


def _on_table(pattern: Pattern, garment: Garment, done: Sequence[Step], step: Step) -> list[Ink]:
    """The garment folded flat, fronts up: all pieces that have been joined, the ones beneath first."""
    joined = {name for one in done for name in one.panels if one.seams or one.ties} | set(step.panels)
    if step.ties:
        joined = {panel.name for panel in pattern.panels if panel.role != "sash"}
    thick = {end for seam in step.seams for end in (seam.a, seam.b)} | set(step.turned)
    layers: list[tuple[float, list[Ink]]] = []
    for piece in pattern.pieces():
        if piece.panel.name in joined:
            layers += _laid(pattern, garment, piece, thick)
    inks = [ink for _, part in sorted(layers, key=lambda one: one[0]) for ink in part]
    if step.ties and inks:
        tall = float(np.ptp(extent(inks)[:, 1]))
        for tie in pattern.ties:
            x, y, _ = _lay(pattern, garment, tie.a[0], np.array([tie.a[1:]]))[0]
            inks.append(Line(circle(np.array([x, y]), 0.015 * tall), "bold", closed=True, grey=1.0))
    return inks


def _laid(
    pattern: Pattern, garment: Garment, piece: Piece, thick: set[tuple[str, str]]
) -> Iterator[tuple[float, list[Ink]]]:
    """A piece in parts, each lying in one layer: the layer, the part's outline and its thick edges."""
    edges = piece.panel.worn or piece.panel.edges
    names, points = [], []
    for edge in edges:
        along = np.linspace(0.0, edge.length, max(2, round(edge.length / FINE_MM) + 1))[:-1]
        points.append(walk(edge.points, along)[0])
        names += [edge.name] * len(along)
    laid = garment.lay(pattern, piece, np.concatenate(points))
    turn = next((i for i in range(len(laid)) if laid[i, 2] != laid[i - 1, 2]), 0)
    order = np.roll(np.arange(len(laid)), -turn)
    for layer, run in groupby(order.tolist(), key=lambda i: float(laid[i, 2])):
        kept = list(run)
        # A part goes on to the next point, where it is folded over.
        ring = [kept[0] - 1, *kept, (kept[-1] + 1) % len(laid)] if len(kept) < len(laid) else kept
        outline = _simple(laid[ring][:, :2])
        inks: list[Ink] = [Line(outline, "thin", closed=True, grey=CLOTH)]
        for name, stretch in groupby(ring, key=lambda i: names[i]):
            if (piece.panel.name, name) in thick:
                line = list(stretch)
                line.append((line[-1] + 1) % len(laid))
                if len(line) > 1:
                    inks.append(Line(_simple(laid[line][:, :2]), "bold"))
        yield layer, inks


def _simple(points: FloatArray) -> FloatArray:
    """An open polyline without the points that lie between their neighbours."""
    before, after = points[:-2], points[2:]
    way = after - before
    off = (points[1:-1] - before)[:, 0] * way[:, 1] - (points[1:-1] - before)[:, 1] * way[:, 0]
    bends = np.abs(off) > STRAIGHT_MM * np.maximum(np.linalg.norm(way, axis=1), STRAIGHT_MM)
    return points[np.concatenate([[True], bends, [True]])]


def _lay(pattern: Pattern, garment: Garment, name: str, flat: FloatArray) -> FloatArray:
    piece = next(one for one in pattern.pieces() if one.name == name)
    return garment.lay(pattern, piece, flat)
