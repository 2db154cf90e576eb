"""Two garments worn one over the other, laid as one, so that they are sewn and draped together.

The under-garment's panels lie a layer deeper, and go by names of their own so that seams tell them apart; its sash is
left away: one sash holds both.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..cloth.fabric import Fabric
from ..pattern.panel import FloatArray
from ..pattern.pattern import Pattern, Piece
from ..pattern.seam import Seam, Tie
from .garment import Garment, Option

UNDER = "under_"  # before the names of the under-garment's panels; which they are is told by their layer
RAISED = 2.0  # layers that the outer garment's shoulder line is laid above that of the under-garment


@dataclass(frozen=True)
class Beneath:
    """What is worn beneath another garment: its own garment and pattern, and its cloth."""

    garment: Garment
    pattern: Pattern
    fabric: Fabric


class Layered:
    """Implements `Garment` for one worn over another.

    Parameters
    ----------
    outer : Garment
    beneath : Beneath
    layer_mm : float
        How far apart the layers of the flat lay stand.
    """

    def __init__(self, outer: Garment, beneath: Beneath, layer_mm: float) -> None:
        self.name = outer.name
        self.options: tuple[Option, ...] = outer.options
        self._outer, self._under, self._layer_mm = outer, beneath.garment, layer_mm
        self._beneath = without_sash(beneath.pattern)

    def draft(self, measures: Mapping[str, float], options: Mapping[str, object]) -> Pattern:
        """Both garments as one pattern; the options are the outer one's."""
        return self.over(self._outer.draft(measures, options))

    def over(self, pattern: Pattern) -> Pattern:
        """The outer garment's pattern together with that beneath it."""
        under = self._beneath
        return replace(
            pattern,
            panels=(
                *(replace(panel, name=UNDER + panel.name, layer=panel.layer + 1) for panel in under.panels),
                *pattern.panels,
            ),
            seams=(*map(_seam_under, under.seams), *pattern.seams),
            ties=(*map(_tie_under, under.ties), *pattern.ties),
        )

    def lay(self, pattern: Pattern, piece: Piece, flat: FloatArray) -> FloatArray:
        """Where a piece lies when both are folded flat, the under-garment within the outer one; see `Garment.lay`.

        The outer garment is so much higher that it goes round the under-garment's shoulders, and its sleeves are folded
        over a flat top as wide as all layers are thick. The sash stays at the waist.
        """
        if is_under(piece):
            own = replace(piece, panel=self._beneath.panel(own_name(piece.panel.name)))
            return self._under.lay(self._beneath, own, flat)
        laid = self._outer.lay(pattern, piece, flat)
        front, back = self._layers
        top, thick = RAISED * self._layer_mm, self._layer_mm * (front + back + 2.0)
        height, layer = laid[:, 1] + top + thick / 2.0, laid[:, 2] + np.where(laid[:, 2] > 0.0, front, -back)
        if piece.panel.role == "sash":
            height = laid[:, 1]
        if piece.panel.role == "sleeve":
            forward = np.clip(0.5 - np.asarray(flat, dtype=float)[:, 1] / thick, 0.0, 1.0)  # 0 behind, 1 in front
            on_top = height > top
            layer = np.where(on_top, forward * (front + back + 2.0) - (back + 1.0), layer)
            height = np.minimum(height, top)
        return np.column_stack([laid[:, 0], height, layer])

    def wanted(self, level: str, body_girth_mm: float, scale: float, thickness_mm: float) -> tuple[float, float]:
        """Lowest and highest good ease of the outer garment; see `Garment.wanted`."""
        return self._outer.wanted(level, body_girth_mm, scale, thickness_mm)

    @cached_property
    def _layers(self) -> tuple[float, float]:
        """How many layers the under-garment has in front and behind."""
        laid = [self._under.lay(self._beneath, piece, piece.panel.outline)[:, 2] for piece in self._beneath.pieces()]
        layers = np.concatenate(laid)
        return float(layers.max(initial=0.0)), float(-layers.min(initial=0.0))


def is_under(piece: Piece) -> bool:
    """Whether a piece of two garments is the under-garment's."""
    return piece.panel.layer > 0


def own_name(name: str) -> str:
    """What the under-garment calls a panel or piece of its own that `Layered` has renamed."""
    return name.removeprefix(UNDER)


def without_sash(pattern: Pattern) -> Pattern:
    """The pattern without its sash."""
    gone = {panel.name for panel in pattern.panels if panel.role == "sash"}
    return replace(
        pattern,
        panels=tuple(panel for panel in pattern.panels if panel.name not in gone),
        seams=tuple(seam for seam in pattern.seams if not gone & {seam.a[0], seam.b[0]}),
    )


def _seam_under(seam: Seam) -> Seam:
    return replace(seam, a=(UNDER + seam.a[0], seam.a[1]), b=(UNDER + seam.b[0], seam.b[1]))


def _tie_under(tie: Tie) -> Tie:
    return Tie((UNDER + tie.a[0], *tie.a[1:]), (UNDER + tie.b[0], *tie.b[1:]))
