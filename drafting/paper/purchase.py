"""How much cloth to buy: the length that is used, rounded up to what shops sell."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from ..units import MM_PER_INCH, format_length, round_up
from .layout import Layout

YARD = 36 * MM_PER_INCH  # mm: the international yard
METRE_STEP, YARD_STEP = 100.0, YARD / 8  # mm; shops sell tenths of a metre and eighths of a yard: common practice


@dataclass(frozen=True)
class Purchase:
    """What to ask for in the shop.

    Attributes
    ----------
    metres : float
        Tenths of a metre.
    yards : Fraction
        Eighths of a yard.
    sheets : int
        Pieces of cloth of a set size, such as fat quarters; 0 where cloth comes off the bolt.
    """

    width: float
    length: float
    metres: float
    yards: Fraction
    sheets: int = 0

    def words(self, unit: str = "mm") -> str:
        """As a maker says it: "0.5 m of cloth 1100 mm wide", "5/8 yd of cloth 43 1/4 in wide"."""
        across, along = format_length(self.width, unit), format_length(self.length, unit)
        if self.sheets:
            return f"{self.sheets} {'piece' if self.sheets == 1 else 'pieces'} of cloth {across} by {along}"
        return (
            f"{yards_text(self.yards)} yd" * (unit == "in")
            + f"{self.metres:.1f} m" * (unit == "mm")
            + (f" of cloth {across} wide")
        )


def purchase(layout: Layout) -> Purchase:
    """What to buy for a layout; the cloth is taken as washed and pressed."""
    spread, length = layout.spread, layout.length
    return Purchase(
        width=spread.width,
        length=spread.length if math.isfinite(spread.length) else length,
        metres=round(round_up(length, METRE_STEP) / 1000, 1),
        yards=Fraction(round(round_up(length, YARD_STEP) / YARD_STEP), 8),
        sheets=layout.sheets if math.isfinite(spread.length) else 0,
    )


def yards_text(yards: Fraction) -> str:
    """Whole yards and a fraction: "1 3/8"."""
    whole, rest = divmod(yards, 1)
    return " ".join([str(whole)] * bool(whole or not rest) + [str(rest)] * bool(rest))
