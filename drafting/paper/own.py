"""Bring your own: panels that the maker drew in any drawing program, as a pattern."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ..errors import DraftError
from ..garments.wear import Wear
from ..pattern.check import check, seam_difference
from ..pattern.panel import Edge, FloatArray, Panel
from ..pattern.pattern import Pattern, Rule
from ..pattern.seam import Seam
from ..pattern.tolerance import TOLERANCE
from .own_drawing import Drawing, Written, read_lines
from .own_ends import turned
from .own_outline import Outline, holds, place
from .own_panels import find_outlines
from .own_plan import SIDES, Address, PanelPlan, Plan, SeamPlan, read_plan, words_cut, words_plan
from .own_side import named_sides, refuse_twice, sides_of
from .own_words import EDGE

MOST_CUT = 100
"""Copies of one panel at most: a count above this is a slip of the pen."""
BOTH = (("left", "left"), ("right", "right"))


@dataclass(frozen=True)
class Own:
    """A drawing of the maker's own: the pattern as it is drawn, and how she says that it is worn."""

    pattern: Pattern
    wear: Wear


def read_drawing(path: Path, plan: Path | None = None) -> Pattern:
    """The pattern that a drawing shows; see `read_own`."""
    return read_own(path, plan).pattern


def read_own(path: Path, plan: Path | None = None) -> Own:
    """The pattern that a drawing shows, and how it is worn.

    Parameters
    ----------
    path : Path
        An SVG file: closed lines at the sew lines, without allowances, at true size.
    plan : Path or None
        A TOML file that says how it is cut and sewn; None takes the one beside the drawing that is named like it,
        if there is one.

    Returns
    -------
    Own
        Checked. Each panel's frame has its origin at the upper left corner of its box, y upwards. Without measures.

    Raises
    ------
    DraftError
        Names the panel, and the place on the page in mm from its upper left corner: an open line, one that crosses
        itself or has no name, seam partners that differ by more than their ease, a drawing without a true size; or
        what in the plan is not understood.
    """
    path = Path(path)
    beside = path.with_suffix(".toml")
    plan = plan or (beside if beside.is_file() else None)
    said = read_plan(plan) if plan else Plan()
    drawing = read_lines(path)
    outlines = find_outlines(drawing, path.name)
    if strange := sorted(set(said.panels) - {outline.name for outline in outlines}):
        raise DraftError(f"{plan} speaks of a panel {strange[0]!r}; drawn are {_listed(o.name for o in outlines)}.")
    panels = tuple(
        _panel(outline, said.panels.get(outline.name, PanelPlan()), _words_on(outline, outlines, drawing), number)
        for number, outline in enumerate(outlines, 1)
    )
    pattern = Pattern(
        garment=said.garment or path.stem,
        panels=tuple(sorted(panels, key=lambda panel: panel.order)),
        seams=(),
        ties=said.ties,
        rules=(Rule("drawing_unit", drawing.unit_mm, f"one unit of the drawing, from {drawing.scale_from}"),),
        measures={},
        options=dict(said.allowances),
    )
    plans = (*said.seams, *words_plan(word.text for word in drawing.words))
    for address in (end for plan in plans for end in (plan.a, plan.b)):
        _edge(pattern, address)
    pattern = replace(pattern, seams=tuple(_seam(pattern, seam, plans, outlines) for seam in plans))
    _check_ties(pattern)
    places = {outline.name: place(outline.box.mean(axis=0)) for outline in outlines}
    return Own(check(pattern), replace(said.wear, places=places))


def _words_on(outline: Outline, outlines: list[Outline], drawing: Drawing) -> list[Written]:
    """The words within an outline and in none of the panels inside it."""
    inner = [one for one in outlines if one is not outline and holds(outline.points, one.points).all()]
    return [
        word
        for word in drawing.words
        if holds(outline.points, word.at)[0] and not any(holds(one.points, word.at)[0] for one in inner)
    ]


def _panel(outline: Outline, plan: PanelPlan, words: list[Written], number: int) -> Panel:
    origin = outline.box[0]
    said = [(word.at, match[1]) for word in words if (match := EDGE.fullmatch(word.text))]
    edges = sides_of(outline, origin, said)
    if plan.edges:
        edges = named_sides(outline.name, edges, plan.edges)
    refuse_twice(outline.name, edges)
    cuts = [cut for word in words if (cut := words_cut(word.text)) is not None]
    cut = plan.cut if plan.cut is not None else cuts[0] if cuts else 1
    if not 1 <= cut <= MOST_CUT:
        raise DraftError(
            f"The {outline.name} at {place(outline.box.mean(axis=0))} is to be cut {cut} times. Write 1 to {MOST_CUT}; "
            "half of an even number are mirrored."
        )
    order = plan.order if plan.order is not None else number
    return Panel(outline.name, edges, cut, plan.role, _grain(outline, plan, edges), order)


def _grain(outline: Outline, plan: PanelPlan, edges: tuple[Edge, ...]) -> FloatArray:
    """The grain line drawn, or one through the middle of the panel; it points upwards, or to the right."""
    if plan.grain is None and outline.grain is not None:
        line = (outline.grain - outline.box[0]) * [1.0, -1.0]
        down = tuple(np.round(line[1] - line[0], 6)[::-1]) < (0.0, 0.0)
        return line[::-1] if down else line
    angle = math.radians(90.0 if plan.grain is None else plan.grain)
    way = np.array([math.cos(angle), math.sin(angle)])
    points = np.concatenate([edge.points for edge in edges])
    reach = np.ptp(points @ way) / 4
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    return np.array([middle - reach * way, middle + reach * way])


def _seam(pattern: Pattern, plan: SeamPlan, plans: Sequence[SeamPlan], outlines: list[Outline]) -> Seam:
    edges = [_edge(pattern, address) for address in (plan.a, plan.b)]
    pairs = _pairs(pattern, plan)
    a, b = plan.a.end, plan.b.end
    way = turned(pattern, a, b, pairs[0], [(one.a.end, one.b.end) for one in plans]) != plan.swap
    seam = Seam(a, b, pairs, way, plan.ease_mm)
    difference = seam_difference(pattern, seam)
    if abs(difference) > TOLERANCE.seam_mm:
        at = [
            place(next(o for o in outlines if o.name == address.panel).box[0] + edge.points.mean(axis=0) * [1.0, -1.0])
            for address, edge in zip((plan.a, plan.b), edges, strict=True)
        ]
        raise DraftError(
            f"{plan.a} at {at[0]} is {edges[0].length:.2f} mm long, and {plan.b} at {at[1]} {edges[1].length:.2f} mm: "
            f"the first is longer by {edges[0].length - edges[1].length:.2f} mm, and {plan.ease_mm:g} mm of ease are "
            "declared. Correct the drawing, or declare the ease, the longer edge first."
        )
    return seam


def _check_ties(pattern: Pattern) -> None:
    pieces = {piece.name: piece.panel for piece in pattern.pieces()}
    for name, x, y in (end for tie in pattern.ties for end in (tie.a, tie.b)):
        if name not in pieces:
            raise DraftError(f"A tie names {name}; there are the pieces {_listed(pieces)}.")
        wide, high = np.ptp(pieces[name].outline, axis=0)
        if x > wide or -y > high:
            raise DraftError(
                f"A tie lies {x:.1f} mm from the left and {-y:.1f} mm from the top of {name}, which is {wide:.1f} mm "
                f"wide and {high:.1f} mm high."
            )


def _edge(pattern: Pattern, address: Address) -> Edge:
    names = {panel.name: panel for panel in pattern.panels}
    if address.panel not in names:
        raise DraftError(f"A seam names {address}; drawn are the panels {_listed(names)}.")
    edges = {edge.name: edge for edge in names[address.panel].edges}
    if address.edge not in edges:
        raise DraftError(f"A seam names {address}; the {address.panel} has the edges {_listed(edges)}.")
    if address.side and len(names[address.panel].sides) == 1:
        count = names[address.panel].count
        raise DraftError(f"A seam names {address}; the {address.panel} is cut {count}, it has no left and right.")
    return edges[address.edge]


def _pairs(pattern: Pattern, plan: SeamPlan) -> tuple[tuple[str, str], ...]:
    """Which copies meet: left with left and right with right, but where the plan says so or a panel is cut once."""
    a, b = plan.a, plan.b
    twice = [len(pattern.panel(address.panel).sides) == 2 for address in (a, b)]
    sides = [address.side if two else "one" for address, two in zip((a, b), twice, strict=True)]
    if all(sides):
        if a.end == b.end and sides[0] == sides[1]:
            raise DraftError(f"A seam sews {a} to itself. Name two edges.")
        return ((sides[0], sides[1]),)
    if all(twice) and not any(sides):
        return (SIDES,) if a == b else BOTH
    vague = (a, b)[sides.index("")]
    raise DraftError(
        f"The seam of {a} and {b} leaves open which {vague.panel} is meant: write {vague.panel}.left.{vague.edge} or "
        f"{vague.panel}.right.{vague.edge}."
    )


def _listed(names: Iterable[str]) -> str:
    return ", ".join(names)
