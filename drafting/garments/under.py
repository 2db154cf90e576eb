"""The under-robe: the robe drafted once more, a little smaller, so that it lies inside without a fold."""

from __future__ import annotations

import math
from collections.abc import Mapping

from ..cloth.fabric import Fabric
from ..pattern.pattern import Pattern
from ..units import round_up
from .garment import Garment

# So much of the height less: length, sleeve drop, sleeve width. Common practice, no source.
SHORTER, SHALLOWER, NARROWER = 0.02, 0.015, 0.01
MARK = 0.5  # mm


def under_robe(
    robe: Garment,
    measures: Mapping[str, float],
    outer: Pattern,
    cloths: tuple[Fabric, Fabric],
    chosen: Mapping[str, object],
) -> Pattern:
    """Draft what is worn beneath a robe, from the robe's own options.

    Each back and front is narrower by a quarter of what half a layer of either cloth takes of the girth: an outline
    that lies d further out is longer by 2 pi d (Steiner's formula for plane convex outlines).

    Parameters
    ----------
    outer : Pattern
        The robe that goes over it.
    cloths : (Fabric, Fabric)
        Of the robe and of the under-robe.
    chosen : mapping of str to object
        Options that are to differ, as typed.

    Raises
    ------
    DraftError, MeasureError, OptionError
        With the name of what cannot be.
    """
    sizes, height = {rule.name: rule.mm for rule in outer.rules}, measures["height"]
    apart = 0.5 * sum(cloth.thickness_mm for cloth in cloths)
    smaller = {
        "width": sizes["back_width"] - round_up(0.25 * 2.0 * math.pi * apart, MARK),
        "length": sizes["length"] - round_up(SHORTER * height, MARK),
        "sleeve_drop": sizes["sleeve_drop"] - round_up(SHALLOWER * height, MARK),
        "wrist_allowance": sizes.get("wrist_allowance", 0.0) - round_up(NARROWER * height, MARK),
        "cloth_thickness": cloths[1].thickness_mm,
        "cloth_beneath": 0.0,
    }
    return robe.draft(measures, {**outer.options, **smaller, **chosen})
