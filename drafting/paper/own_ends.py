"""Which ends of two edges meet when they are sewn, where the maker does not say: those that lie the same way."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from ..pattern.panel import Edge, Panel
from ..pattern.pattern import Pattern

End = tuple[str, str]  # panel and edge


def turned(pattern: Pattern, a: End, b: End, pair: tuple[str, str], seams: Collection[tuple[End, End]]) -> bool:
    """Whether a's first point meets b's last.

    The ends that lie the same way on the page meet. A sleeve is drawn unfolded, so that one half of it lies upside
    down: its armhole's ends meet as they hang, the shoulder uppermost.

    Parameters
    ----------
    seams : collection of (End, End)
        All that is sewn to one another: it shows where a sleeve's shoulder is.
    """
    if a == b:
        return False
    edges = [pattern.panel(panel).edge(edge) for panel, edge in (a, b)]
    hang = [_hangs(pattern.panel(end[0]), edge, seams, pattern) for end, edge in zip((a, b), edges, strict=True)]
    if {pattern.panel(end[0]).role for end in (a, b)} == {"sleeve", "trunk"} and None not in hang:
        return hang[0] != hang[1]
    return not _face_alike(edges, pair)


def _hangs(panel: Panel, edge: Edge, seams: Collection[tuple[End, End]], pattern: Pattern) -> bool | None:
    """Whether an edge's first point is its upper one when it is worn; None if a sleeve does not tell."""
    if panel.role != "sleeve":
        return bool(edge.points[0, 1] > edge.points[-1, 1])
    ends = [(one, other) for seam in seams for one, other in (seam, seam[::-1])]
    armhole = {one[1] for one, other in ends if one[0] == panel.name and pattern.panel(other[0]).role == "trunk"}
    place = panel.edges.index(edge)
    beside = [panel.edges[place - 1].name in armhole, panel.edges[(place + 1) % len(panel.edges)].name in armhole]
    return beside[0] if beside[0] != beside[1] else None


def _face_alike(edges: Sequence[Edge], pair: tuple[str, str]) -> bool:
    """Whether the first ends of both edges lie the same way on the page, as the copies in question are worn."""
    mirror = {"left": 1.0, "one": 1.0, "right": -1.0}
    mixed = set(pair) != {"right"}
    ways = [
        (edge.points[-1] - edge.points[0]) * [mirror[side] if mixed else 1.0, 1.0]
        for edge, side in zip(edges, pair, strict=True)
    ]
    return bool(np.dot(*ways) > 0)
