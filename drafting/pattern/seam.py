"""Seams and closures: which edge is sewn to which, and where the garment is tied."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Seam:
    """Two edges sewn together over their whole lengths.

    Attributes
    ----------
    a, b : (panel name, edge name)
        The two partners.
    pairs : tuple of (side of a, side of b)
        Which copies meet: ("left", "left") and ("right", "right") for a side seam, ("left", "right") for a
        centre back seam; "one" for a panel that is cut once.
    turned : bool
        True when a's first point meets b's last, as on two counter-clockwise outlines sewn edge to edge.
    ease_mm : float
        How much longer a is than b by intention (eased or gathered in).
    """

    a: tuple[str, str]
    b: tuple[str, str]
    pairs: tuple[tuple[str, str], ...]
    turned: bool = True
    ease_mm: float = 0.0


@dataclass(frozen=True)
class Tie:
    """A point of one piece held on a point of another, as by a snap or a pair of strings.

    Attributes
    ----------
    a, b : (piece name, x, y)
        Flat points, mm, in the frame of the named piece ("front.left"); b lies under a.
    """

    a: tuple[str, float, float]
    b: tuple[str, float, float]
