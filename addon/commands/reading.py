"""One word of the command line at a time, read: a length, a cloth, a colour, a file."""

from __future__ import annotations

import argparse
import difflib
import re
from dataclasses import dataclass
from pathlib import Path

from drafting.body.body import FloatArray
from drafting.body.record import read_landmarks
from drafting.cloth.fabric import FABRICS, Fabric
from drafting.cloth.fabric_file import read_fabric
from drafting.errors import ClothError, LengthError, MeasureError, OptionError
from drafting.units import parse_length

SAMPLE_PRINT = "sample"  # in place of a picture: the print that comes with the tool


@dataclass(frozen=True)
class Also:
    """Another doll of a set: its scan or pattern, and its true height where that was given."""

    scan: Path
    height_mm: float | None = None


def height(text: str) -> float:
    """The doll's height, mm, within what a doll can be."""
    height = length("--height", text)
    if not 50.0 <= height <= 2500.0:
        raise LengthError(f"--height {text} is no doll's height: between 50 mm and 2500 mm is expected")
    return height


def length(name: str, text: str) -> float:
    """A length above zero, mm."""
    try:
        value = parse_length(text)
    except LengthError as error:
        raise LengthError(f"{name}: {error}") from None
    if value <= 0.0:
        raise LengthError(f"{name} {text}: a length above 0 is expected")
    return value


def spaced(text: str) -> str:
    """Words joined by dashes, apart again."""
    return re.sub(r"[-_]", " ", text)


def dashed(text: str) -> str:
    """A name of several words, joined by dashes."""
    return re.sub(r"[ _]", "-", text.strip().lower())


def fabric(text: str, option: str = "--fabric") -> Fabric:
    """A cloth of the table, or a maker's own."""
    if not text.lower().endswith(".toml"):
        name = spaced(text).lower()
        if name not in FABRICS:
            near = difflib.get_close_matches(name, FABRICS, 1)
            hint = f"did you mean {near[0]}? " if near else ""
            raise OptionError(f"{option} {text}: {hint}choose one of {', '.join(FABRICS)}, or a file such as my.toml")
        return FABRICS[name]
    try:
        return read_fabric(Path(text).read_text(encoding="utf-8"), Path(text).stem)
    except (OSError, ValueError):
        raise OptionError(f"{option} {text} cannot be read; give a TOML file, as the README shows") from None
    except ClothError as error:
        raise OptionError(f"{option} {text}: {error}") from None


def size(text: str) -> int:
    """A picture's width in pixels."""
    try:
        pixels = int(text)
    except ValueError:
        pixels = 0
    if not 64 <= pixels <= 8000:
        raise argparse.ArgumentTypeError(f"{text} is not a picture's size: 64 to 8000 pixels are expected")
    return pixels


def colour(text: str) -> tuple[float, float, float]:
    """Red, green and blue, 0 to 1, of #rrggbb."""
    if not re.fullmatch(r"#?[0-9a-fA-F]{6}", text):
        raise OptionError(f"--colour {text}: six figures are expected, #rrggbb, such as #8fa6c0")
    red, green, blue = bytes.fromhex(text.removeprefix("#"))
    return red / 255.0, green / 255.0, blue / 255.0


def printed(text: str | None, width: str | None) -> Path | None:
    """The picture of printed cloth, which must say how wide it is."""
    if text is None or text == SAMPLE_PRINT:
        return None if text is None else Path(text)
    if not Path(text).is_file():
        raise OptionError(f"--print {text} is not a file; give a picture of the cloth (PNG), or: sample")
    if not width:
        raise OptionError("--print needs --print-width: how wide the picture is on the cloth, such as 200mm")
    return Path(text)


def also(text: str) -> Also:
    """Another doll, SCAN or SCAN=HEIGHT."""
    scan, sign, tall = text.rpartition("=")
    return Also(Path(scan), height(tall)) if sign else Also(Path(text))


def measure(text: str, option: str = "--measure") -> tuple[str, float]:
    """A measure by hand, NAME=LENGTH."""
    name, sign, value = text.partition("=")
    if not sign:
        raise OptionError(f"{option} {text}: NAME=LENGTH is expected, such as waist_girth=190mm")
    return name.strip().replace("-", "_"), length(f"{option} {name}", value)


def landmarks(name: str | None) -> dict[str, FloatArray]:
    """The points of a file of landmarks."""
    if name is None:
        return {}
    try:
        text = Path(name).read_text(encoding="utf-8")
    except (OSError, ValueError):
        raise OptionError(f"--landmarks {name} cannot be read; give a file such as measures.json") from None
    try:
        return read_landmarks(text)
    except MeasureError as error:
        raise OptionError(f"--landmarks {name}: {error}") from None


def unit_of(height: str | None) -> str:
    """Inches for a maker who gives the height in inches."""
    return "in" if height and any(mark in height.lower() for mark in ("in", '"', "″", "”")) else "mm"
