"""Home tests: areal density and bending length from a weighed square and two strips over an edge, written as TOML.

Mass is that of the square over its area; the bending length is half the overhang at the 41.5 degree line (Peirce 1930,
BS 3356, ASTM D1388). What the figures give is read by `read_fabric` alone, so that a file says what the window says.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, fields

from ..errors import ClothError, LengthError
from ..units import format_length, parse_length
from .fabric import LEAF_MOST_MM, Fabric
from .fabric_file import BENDING_LEAST, BENDING_MOST, GRAMS_LEAST, GRAMS_MOST, THICK_LEAST, read_fabric

_GRAMS = re.compile(r"(\d+(?:[.,]\d*)?|[.,]\d+)\s*(?:g|grams?)?")


@dataclass(frozen=True)
class HomeTests:
    """What the maker's scale and ruler tell, each as she typed it; "" where it is not taken.

    Attributes
    ----------
    square, square_g : str
        Side of the square that was weighed, and its weight.
    overhang_warp, overhang_weft : str
        Of strips cut along and across the selvedge.
    thickness : str
        Of one layer; "" for the one worked out from the mass.
    """

    square: str = ""
    square_g: str = ""
    overhang_warp: str = ""
    overhang_weft: str = ""
    thickness: str = ""

    @property
    def given(self) -> dict[str, str]:
        """The figures that are there, by their keys in a file."""
        texts = {field.name: getattr(self, field.name).strip() for field in fields(self)}
        return {name: text for name, text in texts.items() if text}


def faults(tests: HomeTests) -> dict[str, str]:
    """What is wrong with a figure, by its name; those that are right, or not there yet, are not named."""
    wrong, known = {}, {}
    for name, text in tests.given.items():
        try:
            known[name] = _value(name, text)
        except (ClothError, LengthError) as error:
            wrong[name] = str(error)
    for name in ("overhang_warp", "overhang_weft"):
        if name in known and not 2 * BENDING_LEAST <= known[name] <= 2 * BENDING_MOST:
            wrong[name] = _outside(format_length(known[name]), 2 * BENDING_LEAST, 2 * BENDING_MOST, "mm")
    if "thickness" in known and not THICK_LEAST <= known["thickness"] <= LEAF_MOST_MM:
        wrong["thickness"] = _outside(f"{known['thickness']:g} mm", THICK_LEAST, LEAF_MOST_MM, "mm")
    if {"square", "square_g"} <= known.keys():
        mass = known["square_g"] / (known["square"] / 1000.0) ** 2
        if not GRAMS_LEAST <= mass <= GRAMS_MOST:
            wrong["square_g"] = _outside(f"The cloth comes to {mass:.0f} g/m²", GRAMS_LEAST, GRAMS_MOST, "g/m²")
    return wrong


def toml_of(tests: HomeTests, name: str) -> str:
    """The figures as a file that `read_fabric` reads.

    Raises
    ------
    ClothError, LengthError
        A figure that is none.
    """
    lines = [f"name = {json.dumps(name, ensure_ascii=False)}"]
    lines += [f"{key} = {_value(key, text)!r}" for key, text in tests.given.items()]
    return "\n".join(lines) + "\n"


def read_tests(tests: HomeTests, name: str) -> Fabric:
    """The cloth that the figures tell of.

    Raises
    ------
    ClothError, LengthError
        A figure that is none, is missing, or cannot be.
    """
    return read_fabric(toml_of(tests, name), name)


def _value(name: str, text: str) -> float:
    """Millimetres, or grams; above nothing."""
    if name != "square_g":
        found = parse_length(text)
    elif match := _GRAMS.fullmatch(text.strip().lower()):
        found = float(match[1].replace(",", "."))
    else:
        raise ClothError(f"{text!r} is no weight; write grams, such as 0.8 or 0,8 g")
    if found <= 0.0:
        raise ClothError(f"{text!r} is nothing; write what you measured")
    return found


def _outside(what: str, least: float, most: float, unit: str) -> str:
    return f"{what}; between {least:g} and {most:g} {unit} is expected: weigh or measure again"
