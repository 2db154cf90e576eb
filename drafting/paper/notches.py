"""Notches: where the two partners of a seam are matched."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ..pattern.curve import walk
from ..pattern.panel import Edge, FloatArray, Panel
from ..pattern.pattern import Pattern
from ..pattern.seam import Seam
from .allowance import Allowance

# All common practice at doll scale, no source: a seam is matched about every 60 mm, a curved one every 20 mm, one
# shorter than this not at all.
APART_MM, APART_ON_CURVES_MM = 60.0, 20.0
CURVED = math.radians(30)  # an edge that turns more than this is a curve
STRAIGHT_ON = math.radians(20)  # where edges meet at less than this there is no corner to match: a notch marks it
DEEPEST_MM = 3.0  # a nick of 2 to 3 mm: https://www.scribd.com/document/300645296
CLEAR = 0.5  # of the allowance: a nick stays this far from the sew line
NARROW_MM = 2.0  # a narrower allowance has no room for a nick: the notch stands outside, as long as this


@dataclass(frozen=True)
class Notch:
    """A nick into the allowance.

    Attributes
    ----------
    edge : str
        The edge on which it lies.
    along : float
        Distance from the edge's first point, mm.
    at, inwards : (2,) float
        Its place on the cut line, and the unit vector towards the sew line.
    depth : float
        mm; negative where the notch stands outside the cut line.
    """

    edge: str
    along: float
    at: FloatArray
    inwards: FloatArray
    depth: float


def seam_notches(pattern: Pattern, seam: Seam) -> tuple[list[float], list[float]]:
    """Where a seam is matched.

    Returns
    -------
    on_a, on_b : list of float
        Distances from the first point of a's and of b's edge, mm, a pair for each notch. From the end that both have
        in common they are equal; where ease is declared it is spread evenly.
    """
    a, b = (pattern.panel(name).edge(edge) for name, edge in (seam.a, seam.b))
    spacing = APART_ON_CURVES_MM if max(_turning(a), _turning(b)) > CURVED else APART_MM
    count = math.floor(min(a.length, b.length) / spacing)
    shares = [k / (count + 1) for k in range(1, count + 1)]
    on_a = [share * a.length for share in shares]
    from_common = [share * b.length if seam.ease_mm else along for share, along in zip(shares, on_a, strict=True)]
    return on_a, [b.length - along if seam.turned else along for along in from_common]


def notches_of(pattern: Pattern, panel: Panel, allowances: dict[str, Allowance]) -> list[Notch]:
    """All notches of a panel: those of its seams, and the ends of seams that are no corners of it."""
    places: dict[tuple[str, float], None] = {}
    for name, along in [*_of_seams(pattern, panel), *_of_ends(pattern, panel)]:
        places[name, round(along, 6)] = None
    return [_notch(panel, panel.edge(name), along, allowances[name].mm) for name, along in places]


def sewn_edges(pattern: Pattern, panel: Panel) -> set[str]:
    """Names of the panel's edges that are sewn to something."""
    own = {edge.name for edge in panel.edges}
    return {edge for seam in pattern.seams for name, edge in (seam.a, seam.b) if name == panel.name} & own


def _of_seams(pattern: Pattern, panel: Panel) -> Iterator[tuple[str, float]]:
    own = sewn_edges(pattern, panel)
    for seam in pattern.seams:
        for (name, edge), along in zip((seam.a, seam.b), seam_notches(pattern, seam), strict=True):
            if name == panel.name and edge in own:
                yield from ((edge, each) for each in along)


def _of_ends(pattern: Pattern, panel: Panel) -> Iterator[tuple[str, float]]:
    own = sewn_edges(pattern, panel)
    for before, edge in zip(panel.edges[-1:] + panel.edges[:-1], panel.edges, strict=True):
        u, v = before.points[-1] - before.points[-2], edge.points[1] - edge.points[0]
        straight_on = abs(math.atan2(u[0] * v[1] - u[1] * v[0], u @ v)) < STRAIGHT_ON
        if straight_on and own & {before.name, edge.name}:
            yield edge.name, 0.0


def _notch(panel: Panel, edge: Edge, along: float, allowance: float) -> Notch:
    places, ways = walk(edge.points, [along])
    out = np.array([ways[0, 1], -ways[0, 0]])
    reach = allowance
    if along == 0:  # where two edges meet almost straight on: on the mitre between them
        before = panel.edges[panel.edges.index(edge) - 1].points
        way = (before[-1] - before[-2]) / np.linalg.norm(before[-1] - before[-2])
        middle = out + np.array([way[1], -way[0]])
        middle = middle / np.linalg.norm(middle)
        reach, out = allowance / float(middle @ out), middle
    depth = -NARROW_MM if allowance < NARROW_MM else min(DEEPEST_MM, (1 - CLEAR) * allowance)
    return Notch(edge.name, along, places[0] + out * reach, -out, depth)


def _turning(edge: Edge) -> float:
    """How much an edge turns on its way, radians."""
    way = np.diff(edge.points, axis=0)
    turns = np.arctan2(way[:-1, 0] * way[1:, 1] - way[:-1, 1] * way[1:, 0], (way[:-1] * way[1:]).sum(axis=1))
    return float(np.abs(turns).sum())
