"""The verbs: each reads the scan, goes its part of the road, and writes everything at once at the end."""

from __future__ import annotations

from time import perf_counter

from drafting.body.record import measures_csv, measures_record, measures_table
from drafting.errors import OptionError
from drafting.files import write_files

from . import results, work
from .progress import Progress
from .request import Request


def measure(request: Request, progress: Progress) -> str:
    """measures.json, measures.csv, and the table that is printed."""
    body = work.body(request, progress)
    files = {"measures.json": results.json_text(measures_record(body)), "measures.csv": measures_csv(body)}
    written = write_files(request.out, files)
    return "\n".join([measures_table(body, request.show), results.where(written)])


def draft(request: Request, progress: Progress) -> str:
    """measures.json, pattern.json, the drawing as SVG and PNG, and the rules that are printed."""
    body = work.body(request, progress)
    pattern = work.pattern(request, body, progress)
    progress.tell("drawing the panels")
    written = write_files(request.out, results.drafted(body, pattern, request.show))
    return "\n".join([*(f"{rule.name}: {rule.reason}" for rule in pattern.rules), results.where(written)])


def fit(request: Request, progress: Progress) -> str:
    """All of it: the draft, the dressed doll, the pictures, the numbers and the page."""
    begun = perf_counter()
    body = work.body(request, progress)
    dressed = work.dress(request, body, work.pattern(request, body, progress), progress)
    pictures, spent = work.photograph(request, dressed, progress)
    dressed = work.timed(dressed, perf_counter() - begun, spent)
    written = write_files(request.out, results.fitted(dressed, pictures, request.show))
    return "\n".join([*results.verdict_lines(dressed.fit, request.show), results.where(written)])


RUN = {"measure": measure, "draft": draft, "fit": fit}
