"""What the verbs write and say."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from drafting.body.body import Body
from drafting.body.record import doubts_record, measures_record
from drafting.cloth.draped import Draped
from drafting.errors import ScanError
from drafting.fit.expected import Expected, expected_record
from drafting.fit.fit import Fit, fit_record
from drafting.fit.level import Level
from drafting.fit.model import drape_glb
from drafting.fit.report import report_html
from drafting.paper.layout import Layout
from drafting.paper.purchase import purchase
from drafting.pattern.drawing import pattern_png, pattern_svg
from drafting.pattern.pattern import Pattern
from drafting.pattern.record import pattern_record
from drafting.units import format_length
from drafting.words import plain

from .. import keep
from ..variants import caption as caption
from ..variants import compared as compared
from ..variants import json_text as json_text
from .work import Dressed

KEPT = "fit.toile"  # the doll, pattern, drape and fit, for `pictures`


def drafted(body: Body, pattern: Pattern, expected: tuple[Expected, ...], unit: str) -> dict[str, bytes | str]:
    """The draft, the measures that it stands on, and the ease that it promises."""
    record = pattern_record(pattern) | {"expected_ease": expected_record(expected), "doubts": doubts_record(body)}
    return {
        "measures.json": json_text(measures_record(body)),
        "pattern.json": json_text(record),
        "draft.svg": pattern_svg(pattern, unit),
        "draft.png": pattern_png(pattern, unit),
    }


def fitted(dressed: Dressed, pictures: Mapping[str, bytes], unit: str) -> dict[str, bytes | str]:
    """All files of a fit."""
    body, pattern, draped, fit = dressed.body, dressed.pattern, dressed.draped, dressed.fit
    return {
        **drafted(body, pattern, dressed.expected, unit),
        **({"under_pattern.json": json_text(pattern_record(dressed.beneath.pattern))} if dressed.beneath else {}),
        "fit.json": json_text(fit_record(fit)),
        "drape.glb": drape_glb(body.skin, draped),
        **pictures,
        "report.html": report_html(body, pattern, fit, pictures),
        KEPT: keep.pack((body, pattern, draped, fit)),
    }


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
        f"  {_word(level):<10} body {shown(level.body_girth_mm):>12}   "
        f"garment {shown(level.garment_girth_mm):>12}   ease {shown(level.ease_mm):>12}   {level.verdict}"
        for level in fit.levels
    ]
    under = fit.under
    rows += [
        f"  under-robe {_word(level):<10} garment {shown(level.garment_girth_mm):>12}   ease {shown(level.ease_mm):>12}"
        f"   {level.verdict}"
        for level in (under.levels if under else ())
    ]
    if under:
        rows.append(f"  the under-robe takes {shown(under.layer.takes_mm)} of the robe's room: ease is over it")
    advice = [f"  {one.sentence}" for one in fit.advice]
    return [f"Verdict: {fit.verdict}", *fit.reasons, *rows, *advice, *fit.cautions]


def _word(level: Level) -> str:
    return plain(level.name)


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
    try:
        data = path.read_bytes()
    except OSError as why:
        raise keep.KeptError(f"{path} cannot be read ({why.strerror or why}): make the fit again") from why
    match keep.unpack(data):
        case (Body() as body, _, Draped() as draped, _):
            return body, draped
    raise keep.KeptError(f"{path} holds other results than a fit's: make the fit again")


def where(written: list[Path]) -> str:
    """Where the results are."""
    return f"In {written[0].parent}: {', '.join(path.name for path in written)}"
