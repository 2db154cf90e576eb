"""What the maker is asked: a height that is guessed or unlikely, a figure of hers that is far from the scan's."""

from __future__ import annotations

import re
from dataclasses import dataclass

import bpy

from drafting.errors import LengthError
from drafting.units import format_length, parse_length

from . import session
from .asked import length_of

LEAST_MM, MOST_MM = 200.0, 800.0  # dolls are between; common practice, no source
UNITS = ("cm", "mm", "in")
FACTORS = (10.0, 0.1, 25.4, 1 / 25.4, 2.54, 1 / 2.54)  # a unit taken for another
FAR = 1.5  # times the scan's figure, or that part of it: no tape is so far off
NEAR = 1.1  # within this factor of the scan's figure, another unit is what was meant
UNIT = re.compile(r"\s*(?:[a-z]+|\"|'')\s*$", re.IGNORECASE)


@dataclass(frozen=True)
class Question:
    """How tall she is.

    Attributes
    ----------
    text : str
        In words.
    answers : tuple of str
        Heights as the maker would write them, the likeliest first.
    """

    text: str
    answers: tuple[str, ...]


def is_guessed(scene: bpy.types.Scene) -> bool:
    """Whether the doll's size is a guess."""
    body = session.get(scene, "body")
    return body is not None and any(doubt.about == "size" for doubt in body.doubts)


def of_height(scene: bpy.types.Scene) -> Question | None:
    """What to ask about the doll's height: one without a unit, an unlikely one, or a guessed one; None where she has
    said it already.
    """
    written, body = scene.toile.height.strip(), session.get(scene, "body")
    if written:
        return None if written == scene.toile.sure else of_written(written)
    if body is None or (not is_guessed(scene) and LEAST_MM <= body.height_mm <= MOST_MM):
        return None
    own = format_length(body.height_mm)
    others = (body.height_mm * factor for factor in FACTORS)
    return _question(own, [own, *(format_length(mm) for mm in others)])


def of_written(height: str) -> Question | None:
    """The same of a height as it was written; None where it is likely and has its unit, or is no length."""
    number = UNIT.sub("", height)
    try:
        mm = length_of(height)
    except LengthError:
        return None
    if mm is None or (number != height and LEAST_MM <= mm <= MOST_MM):
        return None
    own = height if number != height else f"{height} mm"
    return _question(own, [f"{number} {unit}" for unit in UNITS])


def _question(own: str, heights: list[str]) -> Question:
    """Of these heights the likely ones, then the maker's own."""
    likely = [height for height in heights if LEAST_MM <= parse_length(height) <= MOST_MM]
    answers = tuple(dict.fromkeys([*likely, own]))
    return Question(f"Is she {answers[0]} tall?", answers)


def is_far(mm: float | None, scan_mm: float) -> bool:
    """Whether the maker's figure is too far from the scan's to be of the same place."""
    return mm is not None and not scan_mm / FAR <= mm <= scan_mm * FAR


def meant(written: str, scan_mm: float) -> str | None:
    """A figure that is far from the scan's, in the unit in which it is near; None where it is near, or none is."""
    try:
        mm = length_of(written)
    except LengthError:
        return None
    if mm is None or not is_far(mm, scan_mm):
        return None
    number = UNIT.sub("", written.strip())
    texts = [f"{number} {unit}" for unit in UNITS] + [format_length(mm * factor) for factor in FACTORS]
    return next((text for text in texts if scan_mm / NEAR <= parse_length(text) <= scan_mm * NEAR), None)
