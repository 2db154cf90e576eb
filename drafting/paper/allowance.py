"""Seam allowances: how much cloth stands beyond each edge of a panel, and the cut line that this makes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ..errors import DraftError
from ..pattern.panel import Edge, FloatArray, Panel
from ..pattern.pattern import Pattern
from .outset import outset
from .trim import outer_boundary

USUAL = {"seam_allowance": 6.0, "hem_allowance": 10.0, "band_hem": 6.0, "trimming_allowance": 0.0}  # mm
STRAIGHT_ON = math.radians(5)  # edges that turn less than this are one straight run


@dataclass(frozen=True)
class Allowance:
    """Cloth beyond one edge.

    Attributes
    ----------
    mm : float
        Width, from the sew line to the cut line.
    turned : bool
        Turned up along the sew line, as a hem is: at its ends the cut line is the mirror image of what lies above,
        so that the hem lies flush with it.
    """

    mm: float
    turned: bool = False


def allowances_of(pattern: Pattern, panel: Panel) -> dict[str, Allowance]:
    """The allowance of every edge of a panel, from the pattern's options.

    Sewn edges take `seam_allowance`; edges that are left free are hems of `hem_allowance`; the neckband's ends take
    `band_hem`; the sash has a narrow hem as wide as a seam allowance. A slit or a wrist that runs straight on from a
    seam keeps the seam's allowance, so that the cut line stays straight: common practice, no source.
    """
    mm = {name: _chosen(pattern, name, usual) for name, usual in USUAL.items()}
    sewn = {edge for seam in pattern.seams for name, edge in (seam.a, seam.b) if name == panel.name}
    by_edge = {edge.name: _of_edge(panel, edge, edge.name in sewn, mm) for edge in panel.edges}
    for run in _straight_runs(panel.edges):
        kept = [by_edge[edge.name].mm for edge in run if edge.name in sewn]
        for edge in run if kept else ():
            by_edge[edge.name] = Allowance(min(kept), by_edge[edge.name].turned)
    return by_edge


def cut_line(panel: Panel, allowances: Mapping[str, Allowance], *, rounded: bool = False) -> FloatArray:
    """Where a panel is cut.

    Parameters
    ----------
    allowances : mapping of str to Allowance
        One for each edge by its name, as from `allowances_of`.
    rounded : bool
        Round the outer corners instead of mitring them.

    Returns
    -------
    (n, 2) float
        Counter-clockwise outline in the panel's frame, mm, without a repeated last point and without self-crossings:
        where allowances overlap in a sharp corner they are trimmed. Long mitres are cut off square.

    Raises
    ------
    DraftError
        If an edge has no allowance, or one that is not a length.
    """
    for edge in panel.edges:
        if edge.name not in allowances:
            raise DraftError(f"The {panel.name}'s {edge.name} edge has no allowance; give one, 0 mm for none.")
        if not 0 <= allowances[edge.name].mm < math.inf:
            raise DraftError(
                f"The allowance of the {panel.name}'s {edge.name} edge is {allowances[edge.name].mm}; "
                "it must be a length of 0 mm or more."
            )
    legs = [len(edge.points) - 1 for edge in panel.edges]
    widths = np.repeat([allowances[edge.name].mm for edge in panel.edges], legs)
    turned = np.repeat([allowances[edge.name].turned for edge in panel.edges], legs)
    return outer_boundary(outset(panel.outline, widths, turned, rounded=rounded))


def even(panel: Panel, mm: float) -> dict[str, Allowance]:
    """The same allowance on every edge."""
    return {edge.name: Allowance(mm) for edge in panel.edges}


def _chosen(pattern: Pattern, name: str, usual: float) -> float:
    value = pattern.options.get(name)
    return float(value) if isinstance(value, float | int) else usual


def _of_edge(panel: Panel, edge: Edge, sewn: bool, mm: Mapping[str, float]) -> Allowance:
    if panel.role == "sash":
        return Allowance(mm["seam_allowance"], turned=True)
    if panel.role == "band":
        return Allowance(mm["band_hem" if "end" in edge.name else "seam_allowance"])
    if not sewn:
        return Allowance(mm["hem_allowance"], turned=True)
    extra = mm["trimming_allowance"] if panel.role == "sleeve" and edge.name.startswith("bottom") else 0.0
    return Allowance(mm["seam_allowance"] + extra)


def _straight_runs(edges: tuple[Edge, ...]) -> list[list[Edge]]:
    """Edges that run straight on from one another, grouped; the outline is a ring."""
    starts = [not _runs_on(before, edge) for before, edge in zip(edges[-1:] + edges[:-1], edges, strict=True)]
    if not any(starts):
        return [list(edges)]
    first = starts.index(True)
    runs: list[list[Edge]] = []
    for edge, start in zip(edges[first:] + edges[:first], starts[first:] + starts[:first], strict=True):
        if start:
            runs.append([])
        runs[-1].append(edge)
    return runs


def _runs_on(a: Edge, b: Edge) -> bool:
    """Whether b goes on where a ends, in the same direction."""
    u, v = a.points[-1] - a.points[-2], b.points[1] - b.points[0]
    return abs(math.atan2(u[0] * v[1] - u[1] * v[0], u @ v)) < STRAIGHT_ON
