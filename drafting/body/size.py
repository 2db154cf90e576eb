"""True size: from a height, from a unit, or from a guess that says how sure it is."""

from __future__ import annotations

from dataclasses import dataclass

from ..errors import LengthError, OptionError
from .body import Doubt
from .misread import meant

UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "m": 1000.0}
WORDS = {"mm": "millimetres", "cm": "centimetres", "in": "inches", "m": "metres"}
DOLLS = (200.0, 800.0)
"""Heights in mm between which nearly all dolls lie that clothes are drafted for; common practice, no source."""
AGREES, SAME = 0.1, 0.006
"""A height so near a reading of the scan agrees with it; one so near in another unit was misread."""
NEAR = (100.0, 1000.0)


@dataclass(frozen=True)
class Scale:
    """Millimetres for one unit of the scan, where that comes from, and what is doubtful about it."""

    mm: float
    note: str = ""
    doubts: tuple[Doubt, ...] = ()


def scale_for(
    raw: float,
    height_mm: float | None = None,
    unit: str | None = None,
    promised: str | None = None,
    cut_mm: float = 0.0,
) -> Scale:
    """Millimetres for one unit of the scan; a guess is doubtful unless the file format itself has a unit.

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
        note = f"Size: set by the given height of {height_mm:g} mm."
        return Scale((height_mm + cut_mm) / raw, note, doubted(raw, height_mm))
    if unit is not None:
        if unit not in UNITS:
            raise OptionError(f"unknown unit {unit!r}; expected one of {', '.join(UNITS)}")
        if not 10.0 <= raw * UNITS[unit] <= 5000.0:
            raise LengthError(
                f"in {unit} the doll would be {raw * UNITS[unit]:.4g} mm tall; give another unit or a height"
            )
        note = f"Size: the scan is taken to be in {unit}, as given."
        return Scale(UNITS[unit], note, doubted(raw, raw * UNITS[unit]))
    return _guess(raw, promised)


def doubted(raw: float, height_mm: float) -> tuple[Doubt, ...]:
    """What is doubtful about a height that was given, or that follows from what was given.

    A doll has a doll's height; and where the scan in one unit has the height given in another, one of both was misread.
    """
    readings = [raw * mm for mm in UNITS.values() if DOLLS[0] <= raw * mm <= DOLLS[1]]
    usual = DOLLS[0] <= height_mm <= DOLLS[1]
    if usual and any(abs(height_mm / each - 1) < AGREES for each in readings):
        return ()
    hints = [meant(height_mm, (1 - SAME) * each, (1 + SAME) * each) for each in readings]
    hint = next((each for each in hints if each), "" if usual else meant(height_mm, *DOLLS))
    if usual and not hint:
        return ()
    asked = f" Did you mean {hint}?" if hint else " Tape her height again."
    why = "the scan would fit another unit" if usual else f"most are between {DOLLS[0]:g} and {DOLLS[1]:g} mm"
    return (Doubt("size", f"She would be {height_mm:.1f} mm tall; {why}.{asked}"),)


def _guess(raw: float, promised: str | None) -> Scale:
    likely = [name for name, mm in UNITS.items() if DOLLS[0] <= raw * mm <= DOLLS[1]]
    possible = [name for name, mm in UNITS.items() if NEAR[0] <= raw * mm <= NEAR[1]]
    if promised in likely:
        mm = UNITS[str(promised)]
        return Scale(mm, f"Size: the file is in {WORDS[str(promised)]}, so the doll is {raw * mm:.1f} mm tall.")
    names = likely or possible
    if not names:
        raise LengthError(
            f"the scan is {raw:.4g} units tall, which is no doll in mm, cm, in or m; give her true height"
        )
    first, *others = (f"{raw * UNITS[name]:.1f} mm tall, if the scan is in {WORDS[name]}" for name in names)
    sentence = f"The size is guessed, for the file names no unit: she is taken to be {first}"
    sentence += f"; she may be {' or '.join(others)}." if others else "."
    return Scale(UNITS[names[0]], "", (Doubt("size", f"{sentence} Give her true height, or a girth that you taped."),))
