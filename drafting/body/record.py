"""What was measured, as a record for files and as a table for reading."""

from __future__ import annotations

import csv
import io
import json

import numpy as np

from ..errors import MeasureError
from ..units import format_length
from ..words import plain
from .body import Body, FloatArray
from .dimensions import TABLE
from .landmarks import NAMES


def measures_record(body: Body) -> dict:
    """The measures as plain numbers, strings, lists and dictionaries, ready for JSON; lengths in mm."""
    return {
        "unit": "mm",
        "up": "+Z",
        "height_mm": _short(body.height_mm),
        "measures": {
            measure.name: {
                "mm": _short(measure.mm),
                "level_mm": _short(measure.level_mm),
                "left": _short(measure.left),
                "right": _short(measure.right),
            }
            for measure in body.measures.values()
        },
        "landmarks": {name: [_short(value) for value in point] for name, point in body.landmarks.items()},
        "doubts": doubts_record(body),
        "notes": list(body.skin.notes),
        "missing": list(body.missing),
    }


def doubts_record(body: Body) -> list[dict[str, object]]:
    """What may be wrong with a body, ready for JSON."""
    return [{"about": doubt.about, "sentence": doubt.sentence, "mild": doubt.mild} for doubt in body.doubts]


def read_landmarks(text: str) -> dict[str, FloatArray]:
    """Landmarks out of a measures.json, or of any JSON with `landmarks` in that form: a name and [x, y, z] in mm.

    Raises
    ------
    MeasureError
        The text is not of that form, or names a landmark that there is none of.
    """
    try:
        listed = json.loads(text)["landmarks"]
        points = {str(name): np.array(point, dtype=float) for name, point in listed.items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise MeasureError('no landmarks there; expected JSON such as {"landmarks": {"crotch": [0, 0, 195]}}') from None
    for name, point in points.items():
        if name not in NAMES:
            raise MeasureError(f"there is no landmark {name!r}; expected one of {', '.join(NAMES)}")
        if point.shape != (3,) or not np.isfinite(point).all():
            raise MeasureError(f"landmark {name} is not a point; expected three numbers in mm")
    return points


def measures_table(body: Body, unit: str = "mm") -> str:
    """A plain table for the command line, in "mm" or "in"; what is doubtful is marked."""
    doubted = {doubt.about for doubt in body.doubts}
    rows: list[tuple[str, ...]] = [("measure", unit, "left", "right", "above sole")]
    for measure in body.measures.values():
        numbers = (measure.mm, measure.left, measure.right, measure.level_mm)
        mark = " (doubtful)" if measure.name in doubted else ""
        rows.append((plain(measure.name) + mark, *(_shown(each, unit) for each in numbers)))
    widths = [max(len(row[column]) for row in rows) for column in range(5)]
    lines = [
        "  ".join(
            [row[0].ljust(widths[0]), *(cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True))]
        )
        for row in rows
    ]
    return "\n".join(line.rstrip() for line in lines)


def measures_csv(body: Body) -> str:
    """One line a measure, with its definition; lengths in mm with a decimal point."""
    rules = {row.name: row.rule for row in TABLE}
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    doubts = {doubt.about: doubt.sentence for doubt in body.doubts}
    writer.writerow(["measure", "mm", "left_mm", "right_mm", "level_mm", "definition", "doubt"])
    for measure in body.measures.values():
        numbers = (measure.mm, measure.left, measure.right, measure.level_mm)
        cells = ["" if each is None else f"{each:.3f}" for each in numbers]
        writer.writerow(
            [measure.name, *cells, rules.get(measure.name, "taped by the maker"), doubts.get(measure.name, "")]
        )
    return out.getvalue()


def _short(mm: float | None) -> float | None:
    return None if mm is None else round(float(mm), 4)


def _shown(mm: float | None, unit: str) -> str:
    if mm is None:
        return ""
    return format_length(mm, "in").removesuffix(" in") if unit == "in" else f"{mm:.1f}"
