"""The verbs: each reads the scan, goes its part of the road, and writes everything at once at the end."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drafting.body.record import measures_csv, measures_record, measures_table
from drafting.pattern.drawing import pattern_svg

from drafting.body.body import Body
from drafting.files import write_files
from drafting.pattern.pattern import Pattern
from drafting.pattern.record import pattern_record

from .. import road
from .output import check_folder
from .progress import Progress
from .request import Request

if TYPE_CHECKING:
    pass

KEPT = "fit.toile"  # all that `pictures` needs of a fit


def measure(request: Request, progress: Progress) -> str:
    """measures.json, measures.csv, and the table that is printed."""
    body = _body(request, progress)
    written = write_files(
        request.out, {"measures.json": _json(measures_record(body)), "measures.csv": measures_csv(body)}
    )
    return "\n".join([measures_table(body, request.show), *body.skin.notes, *body.missing, _where(written)])


def draft(request: Request, progress: Progress) -> str:
    """measures.json, pattern.json, and the drawing."""
    body = _body(request, progress)
    pattern = _pattern(request, body, progress)
    progress.tell("drawing the panels")
    from ..studio.pattern import pattern_sheet

    files = {**_drafted(body, pattern), "pattern.png": pattern_sheet(pattern)}
    written = write_files(request.out, files)
    return "\n".join([*(f"{rule.name}: {rule.reason}" for rule in pattern.rules), _where(written)])


RUN = {"measure": measure, "draft": draft}


def _body(request: Request, progress: Progress) -> Body:
    """The doll, once it is known that results can be written."""
    check_folder(request.out)
    progress.tell("measuring the doll")
    return road.body_of(
        request.scan,
        height_mm=request.height_mm,
        unit=request.unit,
        up=request.up,
        front=request.front,
        by_hand=request.measures,
    )


def _pattern(request: Request, body: Body, progress: Progress, **varied: str) -> Pattern:
    """The draft, with options of this call and those varied."""
    progress.tell("drafting")
    return road.pattern_of(body, request.garment, {**request.options, **varied})


def _drafted(body: Body, pattern: Pattern) -> dict[str, bytes | str]:
    """The files of measure and draft."""
    return {
        "measures.json": _json(measures_record(body)),
        "pattern.json": _json(pattern_record(pattern)),
        "pattern.svg": pattern_svg(pattern),
    }


def _json(record: Mapping[str, Any]) -> str:
    """JSON as a person may read it; a number that is none is a fault of ours and must not be written."""
    return json.dumps(record, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _where(written: list[Path]) -> str:
    """Where the results are."""
    return f"In {written[0].parent}: {', '.join(path.name for path in written)}"
