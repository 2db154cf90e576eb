"""A maker's own cloth: read from TOML, from figures or from two tests at home."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping

from ..errors import ClothError, LengthError
from ..units import parse_length
from .fabric import LAWN, LEAF_MOST_MM, Fabric

# A cotton of 150.3 g/m2 is 0.318 mm thick (Penava and others 2014): the thickness where a maker has no calliper.
DENSITY_G_M2_MM = 150.3 / 0.318
GRAMS_LEAST, GRAMS_MOST = 5.0, 1500.0  # g/m2, thinner than any silk and heavier than any canvas
THICK_LEAST = 0.01  # mm (memory)
BENDING_LEAST, BENDING_MOST = 3.0, 150.0  # mm, limper than any cloth and stiffer than card (memory)
KEYS = {
    "name": "a text",
    "mass_g_m2": "grams per square metre",
    "square": "the side of the square that was weighed, such as 100mm",
    "square_g": "what that square weighs, grams",
    "bending_warp": "bending length along the warp, mm",
    "bending_weft": "and along the weft",
    "overhang_warp": "overhang at the 41.5 degree line of a strip cut along the warp, such as 31mm",
    "overhang_weft": "and along the weft",
    "thickness": "of one layer, mm",
    "stretch_warp": "percent",
    "stretch_weft": "percent",
    "stretch_bias": "percent",
    "friction": "a number such as 0.4",
    "source": "a text",
}
Row = Mapping[str, object]


def read_fabric(text: str, name: str) -> Fabric:
    """A maker's own cloth from TOML.

    Mass is `mass_g_m2`, or `square` and `square_g`; bending is `bending_warp` and `bending_weft`, or `overhang_warp`
    and `overhang_weft`, twice as long (BS 3356, ASTM D1388). All else may be left out.

    Parameters
    ----------
    name : str
        What it is called where the text does not say.

    Raises
    ------
    ClothError
        What is missing, not known, or cannot be.
    """
    try:
        row: Row = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ClothError(f"not TOML ({error}); write lines such as: square = 100 and square_g = 0.8") from error
    strange = [key for key in row if key not in KEYS]
    if strange:
        raise ClothError(f"{strange[0]} is not a fabric's; known are: {', '.join(KEYS)}")
    mass = _mass(row)
    given = "thickness" in row
    warp, weft = (_bending(row, way) for way in ("warp", "weft"))
    return Fabric(
        name=str(row.get("name", name)),
        mass_g_m2=mass,
        thickness_mm=_within(
            _mm(row, "thickness") if given else mass / DENSITY_G_M2_MM, "thickness", THICK_LEAST, LEAF_MOST_MM, "mm"
        ),
        warp_mm=warp,
        weft_mm=weft,
        stretch_warp=_number(row, "stretch_warp", LAWN.stretch_warp),
        stretch_weft=_number(row, "stretch_weft", LAWN.stretch_weft),
        stretch_bias=_number(row, "stretch_bias", LAWN.stretch_bias),
        friction=_within(_number(row, "friction", LAWN.friction), "friction", 0.01, 2.0, ""),
        source=str(
            row.get("source", "measured by the maker" + ("" if given else "; thickness worked out from the mass"))
        ),
    )


def _mass(row: Row) -> float:
    if "mass_g_m2" in row:
        if "square" in row or "square_g" in row:
            raise ClothError("mass_g_m2 and a weighed square are given; leave one of them out")
        mass = _number(row, "mass_g_m2")
    else:
        if "square" not in row or "square_g" not in row:
            raise ClothError(
                "the weight is missing: give mass_g_m2, or square and square_g of a square that you weighed"
            )
        mass = _number(row, "square_g") / (_mm(row, "square") / 1000.0) ** 2
    return _within(mass, "the weight", GRAMS_LEAST, GRAMS_MOST, "g/m2")


def _bending(row: Row, way: str) -> float:
    """Bending length, mm: as given, or half the overhang."""
    key, raw = f"bending_{way}", f"overhang_{way}"
    if key in row and raw in row:
        raise ClothError(f"{key} and {raw} are given; leave one of them out")
    if key not in row and raw not in row:
        raise ClothError(f"the stiffness is missing: give {raw}, the overhang of a strip along the {way}, or {key}")
    length = _mm(row, key) if key in row else 0.5 * _mm(row, raw)
    return _within(length, f"the bending length along the {way}", BENDING_LEAST, BENDING_MOST, "mm")


def _mm(row: Row, key: str) -> float:
    """A length: a number of millimetres, or a text such as 1 1/4in."""
    value = row[key]
    if not isinstance(value, str):
        return _number(row, key)
    try:
        return parse_length(value)
    except LengthError as error:
        raise ClothError(f"{key}: {error}") from error


def _number(row: Row, key: str, usual: float = 0.0) -> float:
    value = row.get(key, usual)
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 < value < 1e6:
        raise ClothError(f"{key} = {value!r}: {KEYS[key]} is expected, above 0")
    return float(value)


def _within(value: float, what: str, least: float, most: float, unit: str) -> float:
    if not least <= value <= most:
        raise ClothError(
            f"{what} comes to {value:.4g} {unit}".rstrip() + f"; between {least:g} and {most:g} is expected: weigh or "
            "measure again, and look at the units"
        )
    return value
