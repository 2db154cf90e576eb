"""Reading what the maker chose: each value checked against the garment's own table of options."""

from __future__ import annotations

import math
from collections.abc import Mapping

from ..cloth.fabric import Fabric
from ..errors import LengthError, OptionError
from ..pattern.pattern import Pattern
from ..units import format_length, parse_length
from ..words import plain
from .garment import Garment, Option

Value = float | str | bool | None

_FLAGS = {"yes": True, "true": True, "on": True, "1": True, "no": False, "false": False, "off": False, "0": False}


def cloth_options(fabric: Fabric | None, under: Fabric | None) -> dict[str, str]:
    """The draft options that follow from the cloths that were chosen: how thick they are; None where none was."""
    chosen = {"cloth_thickness": fabric, "cloth_beneath": under}
    return {name: f"{cloth.thickness_mm:g}mm" for name, cloth in chosen.items() if cloth is not None}


def drafted_by(garment: Garment, pattern: Pattern) -> bool:
    """Whether a pattern has all the sizes that this garment's rules work out; a drawing of the maker's own has not."""
    return {option.name for option in garment.options if option.default is None} <= pattern.options.keys()


def read_options(garment: Garment, chosen: Mapping[str, object]) -> dict[str, Value]:
    """All options of a garment: the chosen values, and the defaults for the rest.

    Parameters
    ----------
    chosen : mapping of str to object
        Numbers (mm), flags, choices, or text as typed: {"sleeve_drop": "90mm", "back": "fold"}. None leaves an
        option to its default.

    Returns
    -------
    dict
        One value for each option: a length in mm, a choice, a flag, or None where a rule decides.

    Raises
    ------
    OptionError
        For an unknown name (with a list of the known ones) or a value that is not offered.
    """
    known = {option.name: option for option in garment.options}
    if strange := [name for name in chosen if name not in known]:
        labels = ", ".join(option.label.lower() for option in garment.options)
        raise OptionError(f"The {garment.name} has no {plain(strange[0])!r}. It has: {labels}.", about=sorted(known))
    return {name: read_option(option, chosen.get(name)) for name, option in known.items()}


def read_option(option: Option, value: object) -> Value:
    """One value as the option wants it; its default for None.

    Raises
    ------
    OptionError
        Says what the option takes.
    """
    if value is None:
        return option.default
    if option.kind == "length":
        return _read_length(option, value)
    if option.kind == "flag":
        return _read_flag(option, value)
    if value not in option.choices:
        raise OptionError(
            f"{option.label} cannot be {value!r}; choose one of: {', '.join(option.choices)}.", about=[option.name]
        )
    return str(value)


def _read_length(option: Option, value: object) -> float:
    try:
        mm = _millimetres(value)
    except LengthError as error:
        raise OptionError(f"{option.label}: {error}", about=[option.name]) from error
    if not option.low <= mm <= option.high:
        raise OptionError(
            f"{option.label} cannot be {_typed(value, mm)}; give a length "
            f"from {format_length(option.low)} to {format_length(option.high)}.",
            about=[option.name],
        )
    return mm


def _typed(value: object, mm: float) -> str:
    """A length as the maker wrote it."""
    return value.strip() if isinstance(value, str) else format_length(mm)


def _millimetres(value: object) -> float:
    if isinstance(value, str):
        text = value.strip()
        return -parse_length(text[1:]) if text.startswith("-") else parse_length(text)
    if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value):
        return float(value)
    raise LengthError(f"{value!r} is not a length in mm")


def _read_flag(option: Option, value: object) -> bool:
    if isinstance(value, bool):
        return value
    if isinstance(value, str) and value.strip().lower() in _FLAGS:
        return _FLAGS[value.strip().lower()]
    raise OptionError(f"{option.label} is yes or no, not {value!r}.", about=[option.name])
