"""A length taken in one unit that was meant in another."""

from __future__ import annotations

UNITS = {10.0: (1.0, "cm"), 0.1: (10.0, "mm"), 2.54: (10.0, "in"), 1 / 2.54: (25.4, "cm"), 25.4: (1.0, "in"),
         1 / 25.4: (25.4, "mm")}  # fmt: skip
"""By how much a length grows that was meant in another unit; how many mm its figure counts, and the unit meant."""


def meant(mm: float, low: float, high: float) -> str:
    """The same figure in the unit in which it lies between two lengths, such as "15.8 cm"; empty where none is."""
    for factor, (count, unit) in UNITS.items():
        if low <= mm * factor <= high:
            return f"{mm / count:.4g} {unit}"
    return ""
