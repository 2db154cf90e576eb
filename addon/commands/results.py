"""What the verbs write and say."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from drafting.body.body import Body
from drafting.body.record import measures_record
from drafting.cloth.draped import Draped
from drafting.errors import ScanError
from drafting.fit.fit import Fit, fit_record
from drafting.fit.model import drape_glb
from drafting.fit.report import report_html
from drafting.paper.layout import Layout
from drafting.paper.layout_drawing import layout_png, layout_svg
from drafting.paper.purchase import purchase
from drafting.pattern.drawing import pattern_png, pattern_svg
from drafting.pattern.pattern import Pattern
from drafting.pattern.record import pattern_record
from drafting.units import format_length

from .. import keep
from .work import Dressed

KEPT = "fit.toile"  # the doll, pattern, drape and fit, for `pictures`


def json_text(record: Mapping[str, Any]) -> str:
    """JSON as a person may read it; a number that is none is a fault of ours and must not be written."""
    return json.dumps(record, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def drafted(body: Body, pattern: Pattern, unit: str) -> dict[str, bytes | str]:
    """The draft and the measures that it stands on."""
    return {
        "measures.json": json_text(measures_record(body)),
        "pattern.json": json_text(pattern_record(pattern)),
        "draft.svg": pattern_svg(pattern, unit),
        "draft.png": pattern_png(pattern, unit),
    }


def fitted(dressed: Dressed, pictures: Mapping[str, bytes], unit: str) -> dict[str, bytes | str]:
    """All files of a fit."""
    body, pattern, draped, fit = dressed.body, dressed.pattern, dressed.draped, dressed.fit
    return {
        **drafted(body, pattern, unit),
        "fit.json": json_text(fit_record(fit)),
        "drape.glb": drape_glb(body.skin, draped.cloth),
        **pictures,
        "report.html": report_html(body, pattern, fit, pictures),
        KEPT: keep.pack((body, pattern, draped, fit)),
    }


def layouts(laid: Mapping[str, Layout], name: str, unit: str) -> dict[str, bytes | str]:
    """The cutting layouts, one for each size of a set: layout.svg and .png, or such as layout-270-mm.svg."""
    many = len(laid) > 1
    files: dict[str, bytes | str] = {}
    for label, layout in laid.items():
        stem = "layout" + "".join(f"-{part}" for part in re.findall(r"[A-Za-z0-9]+", label) if many)
        title = f"{name}, {label}" if many else name
        files |= {f"{stem}.svg": layout_svg(layout, title, unit), f"{stem}.png": layout_png(layout, title, unit)}
    return files


def cloth_lines(laid: Mapping[str, Layout], unit: str) -> list[str]:
    """What to buy, a line a size."""
    return [
        f"Cloth{f' for {label}' if len(laid) > 1 else ''}: {purchase(layout).words(unit)}, {layout.used:.0%} of it "
        "used; wash and press it before you measure."
        for label, layout in laid.items()
    ]


def verdict_lines(fit: Fit, unit: str) -> list[str]:
    """The verdict, a line a level, and what to change."""

    def shown(mm: float | None) -> str:
        return "-" if mm is None else format_length(mm, unit)

    rows = [
        f"  {level.name.replace('_', ' '):<10} body {shown(level.body_girth_mm):>12}   "
        f"garment {shown(level.garment_girth_mm):>12}   ease {shown(level.ease_mm):>12}   {level.verdict}"
        for level in fit.levels
    ]
    advice = [f"  {one.sentence}" for one in fit.advice]
    return [f"Verdict: {fit.verdict}", *fit.reasons, *rows, *advice, *fit.cautions]


def caption(option: str, value: str, fit: Fit, unit: str) -> list[str]:
    """A variant's lines: its value, its verdict and its key figures."""
    eases = {level.name: level.ease_mm for level in fit.levels if level.ease_mm is not None}
    shown = [f"{name} {format_length(eases[name], unit)}" for name in ("bust", "waist", "hip") if name in eases]
    sleeves = {
        "sleeve drop": [sleeve.drop_mm for sleeve in fit.sleeves if sleeve.drop_mm is not None],
        "hangs": [sleeve.hangs_mm for sleeve in fit.sleeves if sleeve.hangs_mm is not None],
    }
    lengths = [f"{what} {format_length(sum(mm) / len(mm), unit)}" for what, mm in sleeves.items() if mm]
    lengths += [f"hem {format_length(fit.hem.lowest_mm, unit)} up"] if fit.hem else []
    return [f"{option.replace('_', ' ')} {value}", fit.verdict, "ease: " + ", ".join(shown), ", ".join(lengths)]


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


def read_kept(folder: Path) -> tuple[Body, Draped]:
    """Doll and drape of an earlier fit.

    Raises
    ------
    ScanError
        The folder holds no fit.
    """
    path = folder / KEPT
    if not path.is_file():
        raise ScanError(f"{folder} holds no fit ({KEPT} is missing); make one first: toile.py fit --out {folder}")
    body, _, draped, _ = keep.unpack(path.read_bytes())
    return body, draped


def where(written: list[Path]) -> str:
    """Where the results are."""
    return f"In {written[0].parent}: {', '.join(path.name for path in written)}"
