"""True size: from a height, from a unit, or from a guess that says how sure it is."""

from __future__ import annotations

from ..errors import LengthError, OptionError

UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "m": 1000.0}
DOLLS = (200.0, 750.0)
"""Heights in mm between which nearly all dolls lie that clothes are drafted for; common practice, no source."""
NEAR = (100.0, 1000.0)


def scale_for(
    raw: float,
    height_mm: float | None = None,
    unit: str | None = None,
    promised: str | None = None,
    cut_mm: float = 0.0,
) -> tuple[float, str]:
    """Millimetres for one unit of the scan, and a sentence that says where that comes from.

    Parameters
    ----------
    raw : float
        Height of the standing scan in its own unit.
    promised : str, optional
        The unit that the file format itself prescribes.
    cut_mm : float
        Height of a stand below the doll; a given height is the doll's without it.
    """
    if height_mm is not None:
        if not 10.0 <= height_mm <= 5000.0:
            raise LengthError(f"a height of {height_mm:g} mm is no doll's; expected between 10 and 5000 mm")
        return (height_mm + cut_mm) / raw, f"Size: set by the given height of {height_mm:g} mm."
    if unit is not None:
        if unit not in UNITS:
            raise OptionError(f"unknown unit {unit!r}; expected one of {', '.join(UNITS)}")
        if not 10.0 <= raw * UNITS[unit] <= 5000.0:
            raise LengthError(
                f"in {unit} the doll would be {raw * UNITS[unit]:.4g} mm tall; give another unit or a height"
            )
        return UNITS[unit], f"Size: the scan is taken to be in {unit}, as given."
    return _guess(raw, promised)


def _guess(raw: float, promised: str | None) -> tuple[float, str]:
    likely = [name for name, mm in UNITS.items() if DOLLS[0] <= raw * mm <= DOLLS[1]]
    possible = [name for name, mm in UNITS.items() if NEAR[0] <= raw * mm <= NEAR[1]]
    if promised in likely:
        chosen, sure = promised, "sure, it is the file format's own unit"
    elif likely:
        chosen = likely[0]
        sure = "fairly sure" if len(likely) == 1 else f"not sure, it may be {' or '.join(likely[1:])}"
    elif possible:
        chosen, sure = possible[0], "not sure"
    else:
        raise LengthError(
            f"the scan is {raw:.4g} units tall, which is no doll in mm, cm, in or m; give --height or --unit"
        )
    assert chosen is not None
    height = raw * UNITS[chosen]
    return UNITS[
        chosen
    ], f"Size: guessed to be in {chosen}, so the doll is {height:.1f} mm tall ({sure}); --height sets it."
