"""The verbs: each reads the scan, goes its part of the road, and writes everything at once at the end."""

from __future__ import annotations

from dataclasses import replace
from time import perf_counter

from drafting.body.record import measures_csv, measures_record, measures_table
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
    shooting = perf_counter()
    pictures = work.photograph(request, dressed, progress)
    seconds = {
        "total": perf_counter() - begun,
        "solver": dressed.draped.solver_seconds,
        "pictures": perf_counter() - shooting,
    }
    timed = replace(dressed, fit=replace(dressed.fit, seconds=seconds))
    written = write_files(request.out, results.fitted(timed, pictures, request.show))
    return "\n".join([*results.verdict_lines(timed.fit, request.show), results.where(written)])


RUN = {"measure": measure, "draft": draft, "fit": fit}
