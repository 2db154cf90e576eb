"""A panel: one flat piece of cloth, drawn at its sew lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .tolerance import TOLERANCE

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Edge:
    """One named side of a panel: a polyline from corner to corner.

    Attributes
    ----------
    points : (k, 2) float
        At least two points, mm; the last is the first of the next edge.
    """

    name: str
    points: FloatArray

    @property
    def length(self) -> float:
        """Length along the edge, mm."""
        return float(np.linalg.norm(np.diff(self.points, axis=0), axis=1).sum())


@dataclass(frozen=True)
class Panel:
    """One flat piece, drawn as the wearer's left one where it is cut twice.

    The frame: x = 0 is the body's (or sleeve's) centre line and grows towards the side (or wrist); y = 0 is the
    shoulder line (or sleeve fold) and grows upwards, so that a hem lies at negative y. On trunk panels cloth at
    x < 0 is lap: it crosses the centre line and lies over or under its partner.

    Attributes
    ----------
    edges : tuple of Edge
        Counter-clockwise, closed: the sew line.
    cut : int
        How many to cut; half of an even number are mirrored.
    role : {"trunk", "sleeve", "band", "sash"}
        What it covers, for reading the fit.
    grain : (2, 2) float
        Two points of the warp direction.
    order : int
        Place in the sewing order, from 1.
    worn : tuple of Edge
        The part that is draped where that is not the whole panel (a sash without its tails), counter-clockwise;
        its edges may be named in seams. Empty: all of it.
    layer : int
        How many garments it is worn under: 0 for the outermost.
    """

    name: str
    edges: tuple[Edge, ...]
    cut: int
    role: str
    grain: FloatArray
    order: int = 1
    worn: tuple[Edge, ...] = ()
    layer: int = 0

    @property
    def outline(self) -> FloatArray:
        """(n, 2) float: the closed sew line without the repeated last point."""
        return np.concatenate([edge.points[:-1] for edge in self.edges])

    @property
    def sides(self) -> tuple[str, ...]:
        """What its copies are: "left" and "right" ones, or "one" where none is mirrored."""
        return ("left", "right") if self.cut % 2 == 0 else ("one",)

    @property
    def count(self) -> str:
        """How many to cut, in words: "2 (1 mirrored)"."""
        return f"{self.cut} ({self.cut // 2} mirrored)" if len(self.sides) == 2 else f"{self.cut}"

    def edge(self, name: str) -> Edge:
        """The edge of that name; KeyError if there is none."""
        for edge in self.edges + self.worn:
            if edge.name == name:
                return edge
        raise KeyError(f"{self.name} has no edge {name!r}")


def trace(*runs: tuple[str, ArrayLike]) -> tuple[Edge, ...]:
    """The edges of a closed outline, each given by its name and its points up to where the next one begins.

    Parameters
    ----------
    runs : (name, (2,) or (k, 2) float)
        Counter-clockwise. The last run ends where the first begins. A run without length is left out.
    """
    starts = [np.atleast_2d(np.asarray(points, dtype=float)) for _, points in runs]
    edges = [
        Edge(name, np.concatenate([points, following[:1]]))
        for (name, _), points, following in zip(runs, starts, starts[1:] + starts[:1], strict=True)
    ]
    return tuple(edge for edge in map(_without_repeats, edges) if len(edge.points) > 1)


def _without_repeats(edge: Edge) -> Edge:
    steps = np.linalg.norm(np.diff(edge.points, axis=0), axis=1)
    return Edge(edge.name, edge.points[np.concatenate([[True], ~(steps <= TOLERANCE.same_mm)])])
