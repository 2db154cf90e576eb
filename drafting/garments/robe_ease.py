"""How much room a robe should leave on the body."""

from __future__ import annotations

import math

from ..errors import MeasureError

# Mean stature of 260 women is 164.9 cm: Heinz, Peterson, Johnson, Kerk, J. Statistics Education 11(2), 2003.
ADULT_HEIGHT_MM = 1650.0

# Lowest ease on a person, mm. Bust and waist: bodice 1.5 in, skirt 0.5 in,
# http://www.cwu.edu/~robinsos/ppages/resources/costxt/costxt_16.htm . Hip: fitted woven 4 cm,
# https://monsterkonstruktion.se/en/ease . Upper arm: 2 in,
# http://en.paperblog.com/the-case-of-sleeve-cap-ease-it-depends-419520/ . Wrist: from memory, no source.
LOWEST = {"bust": 38.0, "waist": 13.0, "hip": 40.0, "upper_arm": 51.0, "wrist": 25.0}

# Highest ease as a share of the body's girth. A robe is wide by nature: its wrap and its hanging sleeves are wanted,
# and at the waist the sash gathers what hangs from the shoulders. Common practice, no source.
HIGHEST = {"bust": 0.6, "waist": 1.0, "hip": 0.4, "upper_arm": 4.0, "wrist": 8.0}


def takes_mm(thickness_mm: float) -> float:
    """What one layer of cloth takes of a girth, mm: an outline that lies t further out is longer by 2 pi t.

    Steiner's formula for plane convex outlines; Zakaria & Gupta (eds), "Anthropometry, Apparel Sizing and Design",
    2nd ed., equations 9.1 to 9.3, p. 222.
    """
    return 2.0 * math.pi * thickness_mm


def wanted_ease(level: str, body_girth_mm: float, scale: float, thickness_mm: float) -> tuple[float, float]:
    """Lowest and highest good ease, mm.

    A layer of cloth takes its room (`takes_mm`) whatever the doll's scale.

    Raises
    ------
    MeasureError
        For a level that a robe has no wish for.
    """
    if level not in LOWEST:
        raise MeasureError(f"A robe wants no ease at {level!r}; it knows: {', '.join(LOWEST)}.")
    cloth = takes_mm(thickness_mm)
    lowest = LOWEST[level] * scale + cloth
    return lowest, max(lowest, HIGHEST[level] * body_girth_mm + cloth)
