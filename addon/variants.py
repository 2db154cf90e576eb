"""Variants of one option, for the verbs and the window: a caption each, and a table of all."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from typing import Any

from drafting.fit.fit import Fit, fit_record
from drafting.units import format_length
from drafting.words import plain


def json_text(record: Mapping[str, Any]) -> str:
    """JSON as a person may read it; a number that is none is a fault of ours and must not be written."""
    return json.dumps(record, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def caption(option: str, value: str, fit: Fit, unit: str) -> list[str]:
    """A variant's lines: its value, its verdict and its key figures."""
    eases = {level.name: level.ease_mm for level in fit.levels if level.ease_mm is not None}
    shown = [f"{name} {format_length(eases[name], unit)}" for name in ("bust", "waist", "hip") if name in eases]
    sleeves = {
        "sleeve depth": [sleeve.drop_mm for sleeve in fit.sleeves if sleeve.drop_mm is not None],
        "hangs": [sleeve.hangs_mm for sleeve in fit.sleeves if sleeve.hangs_mm is not None],
    }
    lengths = [f"{what} {format_length(sum(mm) / len(mm), unit)}" for what, mm in sleeves.items() if mm]
    lengths += [f"hem {format_length(fit.hem.lowest_mm, unit)} up"] if fit.hem else []
    return [f"{plain(option)} {value}", fit.verdict, "ease: " + ", ".join(shown), ", ".join(lengths)]


def compared(option: str, fits: Mapping[str, Fit]) -> dict[str, str]:
    """compare.json with every variant's whole fit, compare.csv with a line for each."""
    records = {value: fit_record(fit) for value, fit in fits.items()}
    rows = [{option: value, **key_figures(record)} for value, record in records.items()]
    text = io.StringIO()
    table = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    table.writeheader()
    table.writerows(rows)
    variants = [{"value": value, "fit": record} for value, record in records.items()]
    return {
        "compare.json": json_text({"option": option, "unit": "mm", "variants": variants}),
        "compare.csv": text.getvalue(),
    }


def key_figures(record: Mapping[str, Any]) -> dict[str, Any]:
    """What is worth a column, from a fit's record."""
    return {
        "verdict": record["verdict"],
        **{f"{level['name']}_ease_mm": level["ease_mm"] for level in record["levels"]},
        "sleeve_drop_mm": record["sleeve"]["drop_mm"],
        **{f"sleeve_hangs_{side}_mm": mm for side, mm in record["sleeve"]["hangs_sides_mm"].items()},
        "hem_above_floor_mm": record["hem"]["above_floor_mm"],
        "gap_median_mm": record["gap_mm"]["median"],
        "stretch_p99": record["stretch"]["p99"],
    }
