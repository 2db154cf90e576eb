"""What every garment offers: a table of options, a draft, a flat lay and the ease it wants."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ..pattern.pattern import Pattern, Piece

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Option:
    """One thing the maker can choose.

    Attributes
    ----------
    kind : {"length", "choice", "flag"}
        Lengths are mm.
    default : float, str, bool or None
        None means that a rule works it out from the measures.
    low, high : float
        Sensible range of a length.
    choices : tuple of str
        Of a choice.
    tip : str
        The trade rule, one or two sentences.
    group : str
        Where it stands in a list of options: "Size", "Sleeve", "Front", "Neck", "Sash", "Cloth" ...
    """

    name: str
    label: str
    kind: str
    default: float | str | bool | None
    tip: str
    group: str
    low: float = 0.0
    high: float = 1000.0
    choices: tuple[str, ...] = ()


class Garment(Protocol):
    """A garment knows bodies and panels, never Blender."""

    name: str
    options: tuple[Option, ...]

    def draft(self, measures: Mapping[str, float], options: Mapping[str, object]) -> Pattern:
        """Panels, seams, ties and rules for these measures (mm) and options.

        Raises
        ------
        DraftError, MeasureError, OptionError
            With the name of what cannot be.
        """
        ...

    def lay(self, pattern: Pattern, piece: Piece, flat: FloatArray) -> FloatArray:
        """Where a piece lies when the garment is folded flat on a table, fronts up.

        Parameters
        ----------
        flat : (n, 2) float
            Points of the piece in its panel's frame, mm.

        Returns
        -------
        (n, 3) float
            x (the wearer's left at +x, centre 0), height relative to the shoulder line (hem negative), and layer:
            0 is the table's middle, +1, +2 ... the front layers from the body outwards, -1 ... the back ones.
            Distances within a piece are kept, but for the neckband, which is bent along the neckline.
        """
        ...

    def wanted(self, level: str, body_girth_mm: float, scale: float, thickness_mm: float) -> tuple[float, float]:
        """Lowest and highest good ease in mm at a level ("bust", "waist", "hip", "upper_arm", "wrist").

        `scale` is the doll's height over an adult's; cloth thickness does not scale and adds 2 pi t.
        """
        ...
