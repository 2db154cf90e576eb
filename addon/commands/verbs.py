"""The verbs: each reads the scan, goes its part of the road, and writes everything at once at the end."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from time import perf_counter
from types import ModuleType

from drafting.body.record import measures_csv, measures_record, measures_table
from drafting.body.tape_picture import tape_png
from drafting.files import write_files
from drafting.fit.expected import expected_table
from drafting.paper.issue import issue

from . import doubting, results, work
from .output import check_folder
from .progress import Progress
from .request import Request
from .work import Dressed

PICTURE_PX = 900  # two fit side by side on a page
LISTING_PX = 2000  # what shops ask for


def measure(request: Request, progress: Progress) -> str:
    """measures.json, measures.csv, tape.png, and the table that is printed."""
    body = work.body(request, progress)
    progress.tell("drawing the tapes")
    written = write_files(
        request.out,
        {
            "measures.json": results.json_text(measures_record(body)),
            "measures.csv": measures_csv(body),
            "tape.png": tape_png(body, request.show),
        },
    )
    return "\n".join([measures_table(body, request.show), *doubting.told(body), results.where(written)])


def draft(request: Request, progress: Progress) -> str:
    """measures.json, pattern.json, the drawing as SVG and PNG, and the rules that are printed."""
    body = work.body(request, progress)
    pattern = work.pattern(request, body, progress)
    progress.tell("drawing the panels")
    expected = work.expected(request, body, request.garment, pattern)
    written = write_files(request.out, results.drafted(body, pattern, expected, request.show))
    rules = [f"{rule.name}: {rule.reason}" for rule in pattern.rules]
    return "\n".join([*rules, *expected_table(expected, request.show), *doubting.told(body), results.where(written)])


def paper(request: Request, progress: Progress) -> str:
    """pattern.pdf, .svg, .dxf and .toml, guide.pdf, and each size's layout on the cloth."""
    check_folder(request.out)
    patterns, wear, said = work.set_of(request, progress)
    progress.tell("drawing sheets and layout")
    issued = issue(patterns, request.garment, request.page, request.show, request.spread, wear)
    written = write_files(request.out, issued.files)
    pages = f"{issued.pages} page{'s' if issued.pages > 1 else ''}"
    told = f"pattern.pdf: {pages} {request.page.name}, to be printed at 100 %"
    return "\n".join([told, *results.cloth_lines(issued.laid, request.show), *said, results.where(written)])


def fit(request: Request, progress: Progress) -> str:
    """All of it: the draft, the dressed doll, the pictures, the numbers and the page."""
    dressed, written = _fit(request, progress)
    verdict = results.verdict_lines(dressed.fit, request.show)
    return "\n".join([*verdict, *doubting.told(dressed.body), results.where(written)])


def _fit(request: Request, progress: Progress) -> tuple[Dressed, list[Path]]:
    begun = perf_counter()
    cloth = work.cloth(request)  # first of all: a picture that cannot be read shows at once
    body = work.body(request, progress)
    garment, pattern = work.garment_and_pattern(request, body, progress)
    dressed = work.dress(request, body, garment, pattern, progress)
    progress.tell("taking pictures")
    shooting = perf_counter()
    pictures = album().fit_pictures(body, dressed.draped, cloth, request.size or PICTURE_PX)
    ended = perf_counter()
    seconds = {"total": ended - begun, "solver": dressed.draped.solver_seconds, "pictures": ended - shooting}
    dressed = replace(dressed, fit=replace(dressed.fit, seconds=seconds))
    return dressed, write_files(request.out, results.fitted(dressed, pictures, request.show))


def compare(request: Request, progress: Progress) -> str:
    """One drape for each value of an option: compare.png, compare.json, compare.csv."""
    cloth = work.cloth(request)
    body = work.body(request, progress)
    # All are drafted before the first is draped: a value that cannot be shows at once.
    patterns = {value: work.pattern(request, body, progress, **{request.vary: value}) for value in request.values}
    variants = {
        value: work.dress(request, body, request.garment, pattern, progress, f"{request.vary}={value}: ")
        for value, pattern in patterns.items()
    }
    progress.tell("taking pictures")
    labelled = [
        (dressed.draped, results.caption(request.vary, value, dressed.fit, request.show))
        for value, dressed in variants.items()
    ]
    sheet = album().compare_sheet(body, labelled, cloth, request.size or PICTURE_PX)
    fits = {value: dressed.fit for value, dressed in variants.items()}
    written = write_files(request.out, {**sheet, **results.compared(request.vary, fits)})
    lines = [", ".join(caption) for _, caption in labelled]
    return "\n".join([*lines, *doubting.told(body), results.where(written)])


def pictures(request: Request, progress: Progress) -> str:
    """The listing set, of a fit that was made before or is made first."""
    cloth = work.cloth(request)
    if request.scan.is_dir():
        check_folder(request.out)
        body, draped = results.read_kept(request.scan)
    else:
        dressed, _ = _fit(request, progress)
        body, draped = dressed.body, dressed.draped
    progress.tell("taking pictures")
    shots = album().listing(body, draped, cloth, request.size or LISTING_PX)
    return results.where(write_files(request.out, shots))


def album() -> ModuleType:
    """The pictures; loaded late, for Blender comes with them."""
    from .. import album

    return album


RUN = {"measure": measure, "draft": draft, "fit": fit, "compare": compare, "paper": paper, "pictures": pictures}
