"""Lengths as makers write them: millimetres, centimetres, inches with fractions, and the cloth shaku."""

from __future__ import annotations

import math
import re
import unicodedata
from fractions import Fraction

from .errors import LengthError

MM_PER_INCH = 25.4
# The cloth shaku (kujira-jaku) is 25/66 m, divided into 10 sun of 10 bu:
# http://d.hatena.ne.jp/keyword/%B7%DF%BC%DC
KUJIRA_SHAKU_MM = 1000.0 * 25 / 66

TAPE_FRACTION = 16  # the finest mark on a common inch tape: common practice, no source
FINEST_MARK = 1e-3  # mm; a step below this is off: no tape shows it
# A tape is good to a tenth of a millimetre, and a quarter of its girth to a quarter of that: what misses a mark by less
# is on it (common practice, no source).
TAPE_MM = 0.1
ACCEPTED = 'write it like 82.5mm, 8.25cm, 26,8cm, 0.42m, 10.5in, 3 1/4in or 3 1/4"'

_UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH}
_SPELLINGS = {'"': "in", "''": "in", "inch": "in", "inches": "in", "millimetres": "mm", "centimetres": "cm"}
_LENGTH = re.compile(
    r"(?:(?P<decimal>\d+(?:[.,]\d*)?|[.,]\d+)|(?:(?P<whole>\d+)(?:\s+|\s*-\s*))?(?P<top>\d+)\s*/\s*(?P<bottom>\d+))"
    r"\s*(?P<unit>[a-z]+|\"|'')?"
)
_THOUSANDS = re.compile(r"([1-9]\d{0,2}),(\d{3})(?!\d)")  # 1,000 is a thousand to some, and one to others
_SEVERAL = re.compile(r"\s*;\s*|\s*,\s+|\s*(?<!\d),\s*|\s*,(?!\d)\s*")


def parse_length(text: str, default_unit: str = "mm") -> float:
    """Read a length.

    Parameters
    ----------
    text : str
        Such as "82.5mm", "8,25cm", "1m", "10.5in", '3 1/4"' or "3¼ in"; spaces and capitals do not matter.
    default_unit : {"mm", "cm", "m", "in"}
        What a bare number means.

    Returns
    -------
    float
        Millimetres, zero or more.

    Raises
    ------
    LengthError
        When it is no length, or may be two; the message shows what is accepted.
    """
    plain = _plain(text)
    if "," in plain and "." in plain:
        raise LengthError(f"{text!r} has a point and a comma; one of them, for the decimals, is enough: {ACCEPTED}")
    if two := _THOUSANDS.match(plain):
        raise LengthError(
            f"{text!r} may be {two[1]}{two[2]} or {two[1]}.{two[2]}; write it without a comma: {ACCEPTED}"
        )
    match = _LENGTH.fullmatch(plain)
    if match is None:
        raise LengthError(f"{text!r} is not a length: {ACCEPTED}")
    unit = match["unit"] or default_unit
    unit = _SPELLINGS.get(unit, unit)
    if unit not in _UNITS:
        raise LengthError(f"{text!r} has an unknown unit {unit!r}: {ACCEPTED}")
    return _number(text, match) * _UNITS[unit]


def split_lengths(text: str) -> list[str]:
    """Several lengths, or other values, each as it is written: "60mm, 90mm", "6,5cm; 9cm". A comma between two digits
    belongs to a number.
    """
    return [value for value in _SEVERAL.split(text.strip()) if value]


def format_length(mm: float, unit: str = "mm") -> str:
    """Write a length as a maker reads it: "82.5 mm", or "3 1/4 in" to the nearest sixteenth.

    Raises
    ------
    LengthError
        For another unit, or a length that is not a number.
    """
    if not math.isfinite(mm):
        raise LengthError(f"{mm} is not a length")
    if unit == "mm":
        return f"{round(mm, 1) + 0.0:.1f}".removesuffix(".0") + " mm"
    if unit == "in":
        return f"{_tape_inches(mm)} in"
    raise LengthError(f"lengths are shown in mm or in, not in {unit!r}")


def round_up(mm: float, step: float, good_to: float = 0.0) -> float:
    """The next multiple of `step`, mm; the length itself when step is 0. A length on a mark stays there.

    So does one past it by no more than `good_to`, what the length is good to, mm, a quarter of the step at most.
    """
    return mm if step < FINEST_MARK else math.ceil((mm - min(good_to, step / 4)) / step - 1e-9) * step


def round_down(mm: float, step: float, good_to: float = 0.0) -> float:
    """The last multiple of `step` that is not above, mm; the length itself when step is 0. `good_to` as above."""
    return mm if step < FINEST_MARK else math.floor((mm + min(good_to, step / 4)) / step + 1e-9) * step


def _plain(text: str) -> str:
    """Lower case, ¼ as " 1/4", all inch marks as one."""
    spelled = "".join(
        " " + unicodedata.normalize("NFKC", c) if unicodedata.decomposition(c).startswith("<fraction>") else c
        for c in text
    )
    for marks, plain in (("\N{FRACTION SLASH}", "/"), ("″”“", '"'), ("′’", "'"), ("\xa0\u202f\u2009", " ")):
        for mark in marks:
            spelled = spelled.replace(mark, plain)
    return spelled.strip().lower()


def _number(text: str, match: re.Match[str]) -> float:
    if match["decimal"]:
        value = float(match["decimal"].replace(",", "."))
        if not math.isfinite(value):
            raise LengthError(f"{text!r} is too large for a length: {ACCEPTED}")
        return value
    if int(match["bottom"]) == 0:
        raise LengthError(f"{text!r} divides by zero: {ACCEPTED}")
    try:
        return float(int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["bottom"])))
    except (OverflowError, ValueError):
        raise LengthError(f"{text!r} is too large for a length: {ACCEPTED}") from None


def _tape_inches(mm: float) -> str:
    sixteenths = round(abs(mm) / MM_PER_INCH * TAPE_FRACTION)
    whole, rest = divmod(sixteenths, TAPE_FRACTION)
    parts = ([str(whole)] if whole or not rest else []) + ([str(Fraction(rest, TAPE_FRACTION))] if rest else [])
    return ("-" if mm < 0 and sixteenths else "") + " ".join(parts)
