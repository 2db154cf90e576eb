"""The parts of the road that the verbs share, each told on the terminal."""

from __future__ import annotations

from dataclasses import dataclass, replace
from time import perf_counter

from drafting.body.body import Body
from drafting.cloth.draped import Draped
from drafting.fit.fit import Fit, read_fit
from drafting.pattern.pattern import Pattern

from .. import road
from .output import check_folder
from .progress import Progress
from .request import Request


@dataclass(frozen=True)
class Dressed:
    """A doll in its garment, and how it fits."""

    body: Body
    pattern: Pattern
    draped: Draped
    fit: Fit


def body(request: Request, progress: Progress) -> Body:
    """The measured doll, once it is known that results can be written."""
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


def pattern(request: Request, measured: Body, progress: Progress, **varied: str) -> Pattern:
    """The draft, with the options of this call and those varied."""
    progress.tell("drafting")
    return road.pattern_of(measured, request.garment, {**request.options, **varied})


def dress(request: Request, measured: Body, drafted: Pattern, progress: Progress) -> Dressed:
    """Sew, drape and read the fit; the fit's seconds are those of this part alone."""
    from ..drape import DrapeSettings, drape, finish

    begun = perf_counter()
    steps = drape(measured, drafted, request.garment, request.fabric, DrapeSettings(edge_mm=request.edge_mm))
    draped = finish(steps, lambda step: progress.tell(step.stage, step.share))
    progress.tell("reading the fit")
    fit = read_fit(measured, draped, drafted, request.garment, request.fabric, {})
    seconds = {"total": perf_counter() - begun, "solver": draped.solver_seconds, "pictures": 0.0}
    return Dressed(measured, drafted, draped, replace(fit, seconds=seconds))
