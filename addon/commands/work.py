"""The parts of the road that the verbs share, each told on the terminal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from drafting.body.body import Body
from drafting.cloth.draped import Draped
from drafting.errors import OptionError
from drafting.fit.fit import Fit, read_fit
from drafting.pattern.pattern import Pattern

from .. import road
from .output import check_folder
from .progress import Progress
from .request import Request

if TYPE_CHECKING:
    from ..album import Cloth


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
        cut_below_mm=request.cut_below_mm,
        known=request.known,
        landmarks=request.landmarks,
        by_hand=request.measures,
    )


def pattern(request: Request, measured: Body, progress: Progress, **varied: str) -> Pattern:
    """The draft, with the options of this call and those varied."""
    progress.tell("drafting")
    return road.pattern_of(measured, request.garment, {**request.options, **varied})


def dress(request: Request, measured: Body, drafted: Pattern, progress: Progress, what: str = "") -> Dressed:
    """Sew, drape and read the fit; `what` names the variant on the terminal."""
    from ..drape import DrapeSettings, drape, finish

    steps = drape(measured, drafted, request.garment, request.fabric, DrapeSettings(edge_mm=request.edge_mm))
    draped = finish(steps, lambda step: progress.tell(f"{what}{step.stage}", step.share))
    progress.tell(f"{what}reading the fit")
    fit = read_fit(measured, draped, drafted, request.garment, request.fabric, {})
    return Dressed(measured, drafted, draped, fit)


def cloth(request: Request) -> Cloth:
    """How the cloth looks on the pictures.

    Raises
    ------
    OptionError
        The picture of printed cloth cannot be read.
    """
    from ..album import Cloth
    from ..bridge import load_png
    from ..studio.stage import INDIGO

    printed = None
    if request.printed:
        try:
            printed = load_png(request.printed)
        except RuntimeError as error:
            raise OptionError(f"--print {request.printed} cannot be read as a picture; give a PNG file") from error
    thickness = request.fabric.thickness_mm
    return Cloth(request.colour or INDIGO, thickness, printed, request.printed_width_mm)
