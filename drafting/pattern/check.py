"""Walking the seams: is this pattern one that can be cut and sewn?"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ..errors import DraftError
from ..words import edge as edge_word
from ..words import plain
from .curve import signed_area
from .panel import Edge
from .pattern import Pattern
from .seam import Seam
from .tolerance import TOLERANCE


def check(pattern: Pattern) -> Pattern:
    """Give the pattern back when every panel is a simple outline and every seam's partners agree.

    Raises
    ------
    DraftError
        Names the panel or the seam, and what is wrong with it.
    """
    for panel in pattern.panels:
        _check_outline(plain(panel.name), panel.edges)
        if panel.worn:
            _check_outline(f"{plain(panel.name)} (worn part)", panel.worn)
    for seam in pattern.seams:
        _check_seam(pattern, seam)
    return pattern


def crossings(outline: ArrayLike) -> list[tuple[int, int]]:
    """Pairs of segments of a closed outline that touch though they are no neighbours; segment i starts at point i."""
    a = np.asarray(outline, dtype=float)
    b = np.roll(a, -1, axis=0)
    first, second = np.triu_indices(len(a), k=2)
    apart = ~((first == 0) & (second == len(a) - 1))
    first, second = first[apart], second[apart]
    # Two segments meet when each one's ends lie on both sides of the other.
    side_1 = _side(a[first], b[first], a[second]) * _side(a[first], b[first], b[second])
    side_2 = _side(a[second], b[second], a[first]) * _side(a[second], b[second], b[first])
    near = _boxes_meet(a[first], b[first], a[second], b[second])
    meet = (side_1 <= 0) & (side_2 <= 0) & near
    return list(zip(first[meet].tolist(), second[meet].tolist(), strict=True))


def seam_difference(pattern: Pattern, seam: Seam) -> float:
    """How much longer a is than b beyond the declared ease, mm."""
    length_a, length_b = (pattern.panel(panel).edge(edge).length for panel, edge in (seam.a, seam.b))
    return length_a - length_b - seam.ease_mm


def _check_outline(name: str, edges: tuple[Edge, ...]) -> None:
    outline = np.concatenate([edge.points[:-1] for edge in edges])
    if not np.isfinite(outline).all():
        raise DraftError(f"The {name} has a corner that is not a number.")
    for edge, following in zip(edges, edges[1:] + edges[:1], strict=True):
        if edge.length < TOLERANCE.edge_mm:
            raise DraftError(
                f"The {name}'s {edge_word(edge.name)} edge would be {edge.length:.2f} mm long: too short to sew. "
                "Change the sizes that meet there, or set one of them to 0."
            )
        if not np.allclose(edge.points[-1], following.points[0], atol=TOLERANCE.same_mm):
            first, second = edge_word(edge.name), edge_word(following.name)
            raise DraftError(f"The {name} is open between its {first} and its {second} edge.")
    if meeting := crossings(outline):
        x, y = outline[meeting[0][0]]
        raise DraftError(f"The {name}'s outline crosses itself near ({x:.1f}, {y:.1f}) mm.")
    if signed_area(outline) <= 0:
        raise DraftError(f"The {name} has no area, or runs clockwise.")


def _check_seam(pattern: Pattern, seam: Seam) -> None:
    sides = {(piece.panel.name, piece.side) for piece in pattern.pieces()}
    for end, (panel, edge) in enumerate((seam.a, seam.b)):
        try:
            pattern.panel(panel).edge(edge)
        except KeyError as error:
            raise DraftError(
                f"A seam names the {plain(panel)}'s {edge_word(edge)} edge, which does not exist."
            ) from error
        if missing := [pair[end] for pair in seam.pairs if (panel, pair[end]) not in sides]:
            raise DraftError(f"A seam names a {missing[0]} {plain(panel)}, which is not cut.")
    difference = seam_difference(pattern, seam)
    if abs(difference) > TOLERANCE.seam_mm:
        raise DraftError(
            f"The {plain(seam.a[0])}'s {edge_word(seam.a[1])} edge is {abs(difference):.2f} mm "
            f"{'longer' if difference > 0 else 'shorter'} than the {plain(seam.b[0])}'s {edge_word(seam.b[1])} "
            f"edge that it is sewn to; they must agree within {TOLERANCE.seam_mm} mm or declare ease."
        )


def _side(a: np.ndarray, b: np.ndarray, p: np.ndarray) -> np.ndarray:
    """Positive where p lies left of a -> b, 0 on the line."""
    along, to = b - a, p - a
    return np.sign(np.round(along[:, 0] * to[:, 1] - along[:, 1] * to[:, 0], 9))


def _boxes_meet(a: np.ndarray, b: np.ndarray, c: np.ndarray, d: np.ndarray) -> np.ndarray:
    low = np.minimum(a, b) <= np.maximum(c, d) + TOLERANCE.same_mm
    high = np.maximum(a, b) >= np.minimum(c, d) - TOLERANCE.same_mm
    return (low & high).all(axis=1)
