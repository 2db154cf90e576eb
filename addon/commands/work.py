"""The parts of the road that the verbs share, each told on the terminal."""

from __future__ import annotations

from dataclasses import dataclass

from drafting.body.body import Body
from drafting.cloth.draped import Draped
from drafting.fit.fit import Fit, read_fit
from drafting.pattern.pattern import Pattern

from .. import road
from .output import check_folder
from .progress import Progress
from .request import Request

PICTURE_PX = 900  # two fit side by side on a page


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
    """Sew, drape and read the fit."""
    from ..drape import DrapeSettings, drape, finish

    steps = drape(measured, drafted, request.garment, request.fabric, DrapeSettings(edge_mm=request.edge_mm))
    draped = finish(steps, lambda step: progress.tell(step.stage, step.share))
    progress.tell("reading the fit")
    fit = read_fit(measured, draped, drafted, request.garment, request.fabric, {})
    return Dressed(measured, drafted, draped, fit)


def photograph(request: Request, dressed: Dressed, progress: Progress) -> dict[str, bytes]:
    """The pictures of a fit."""
    from ..album import fit_pictures

    progress.tell("taking pictures")
    return fit_pictures(dressed.body, dressed.draped, request.fabric, request.size or PICTURE_PX, request.colour)
