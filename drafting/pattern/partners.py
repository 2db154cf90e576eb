"""Seam partners: which edge is sewn to which."""

from __future__ import annotations

from .pattern import Pattern


def partner_of(pattern: Pattern, panel: str, edge: str) -> tuple[tuple[str, str], ...]:
    """Panel and edge names of all that an edge is sewn to, in the seams' order; empty where it is sewn to nothing.

    A panel that is sewn to its own mirrored copy, as at a centre back seam, is its own partner.

    Raises
    ------
    KeyError
        There is no such panel, or it has no such edge.
    """
    pattern.panel(panel).edge(edge)
    ways = [pair for seam in pattern.seams for pair in ((seam.a, seam.b), (seam.b, seam.a))]
    return tuple(dict.fromkeys(other for one, other in ways if one == (panel, edge)))
