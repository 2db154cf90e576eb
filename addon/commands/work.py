"""The parts of the road that the verbs share, each told on the terminal."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from drafting.body.body import Body
from drafting.cloth.draped import Draped
from drafting.errors import DraftError, DrapeError, OptionError
from drafting.fit.expected import Expected, expected_ease
from drafting.fit.fit import Fit, read_fit
from drafting.garments.drawn import Drawn
from drafting.garments.garment import Garment
from drafting.garments.layered import Beneath
from drafting.garments.wear import Wear
from drafting.paper.own import read_own
from drafting.pattern.pattern import Pattern
from drafting.pattern.record import read_record

from .. import road
from . import doubting
from .output import check_folder
from .progress import Progress
from .reading import SAMPLE_PRINT
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
    beneath: Beneath | None = None
    expected: tuple[Expected, ...] = ()


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
    style = request.style.texts(measured.height_mm) if request.style else {}
    options = {**request.cloths, **style, **request.options, **varied}
    drafted = road.pattern_of(measured, request.garment, options)
    doubting.hold(measured.doubts, drafted.measures, request.verb == "paper", request.trust)
    return drafted


def garment_and_pattern(request: Request, measured: Body, progress: Progress) -> tuple[Garment, Pattern]:
    """What is to be worn: the draft, or the drawing of the maker's own made ready for this doll."""
    if request.drawing is None:
        return request.garment, pattern(request, measured, progress)
    doubting.hold(measured.doubts, (), False, request.trust)
    progress.tell("reading the drawing")
    own = read_own(request.drawing)
    drawn = Drawn(own.pattern, own.wear, {name: measure.mm for name, measure in measured.measures.items()})
    return drawn, drawn.pattern


def set_of(request: Request, progress: Progress) -> tuple[list[tuple[str, Pattern]], Wear | None, list[str]]:
    """The drafts of a set with their dolls' names: the first doll's, and those of the others.

    With them, where the first is a drawing of the maker's own, how she says that it is worn; and what is to be told of
    the dolls that were measured.

    Raises
    ------
    OptionError
        Options were given for a pattern that is drafted already.
    """
    dolls = [
        (request.drawing or request.scan, request.height_mm),
        *((other.scan, other.height_mm) for other in request.also),
    ]
    drafted = [path for path, _ in dolls if path.suffix.lower() in (".json", ".svg")]
    if drafted and (request.options or request.measures or request.style):
        raise OptionError(f"{drafted[0]} is drafted already; give its scan to draft it with other options or measures")
    found: list[tuple[str, Pattern]] = []
    wear: Wear | None = None
    told: list[str] = []
    for path, height in dolls:
        if path.suffix.lower() == ".svg":
            own = read_own(path)
            found.append((path.stem, own.pattern))
            wear = wear or own.wear
        elif path in drafted:
            found.append((path.stem, kept_pattern(path, request.trust)))
        else:
            other = replace(request, scan=path, height_mm=height)
            measured = body(other, progress)
            found.append((path.stem, pattern(other, measured, progress)))
            told += doubting.told(measured)
    return found, wear, told


def kept_pattern(path: Path, trust: bool = False) -> Pattern:
    """The pattern in a pattern.json; one that was drafted under doubts must be trusted.

    Raises
    ------
    DraftError
        There is no such file, or it is not a pattern.
    MeasureError
        It stands on a doubtful measure or size.
    """
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
        found = read_record(record)
    except OSError as error:
        raise DraftError(f"{path} cannot be read: {error.strerror}; make one first: toile.py draft") from error
    except (ValueError, RecursionError) as error:
        raise DraftError(f"{path} is not a pattern.json of ours; make one first: toile.py draft") from error
    doubting.hold(doubting.read_doubts(record), found.measures, True, trust)
    return found


def expected(request: Request, measured: Body, garment: Garment, drafted: Pattern) -> tuple[Expected, ...]:
    """The ease that a draft promises in the cloths of this call."""
    said = drafted.options.get("cloth_thickness", request.fabric.thickness_mm)
    beneath = request.under.thickness_mm if request.under else 0.0
    return expected_ease(measured, drafted, garment, float(str(said)), beneath)


def dress(
    request: Request, measured: Body, garment: Garment, drafted: Pattern, progress: Progress, what: str = ""
) -> Dressed:
    """Sew, drape and read the fit; `what` names the variant on the terminal."""
    from ..drape import DrapeSettings, drape
    from ..steps import finish

    beneath = _beneath(request, measured, garment, drafted)
    steps = drape(measured, drafted, garment, request.fabric, DrapeSettings(request.edge_mm, request.quick), beneath)
    try:
        draped = finish(steps, lambda step: progress.tell(f"{what}{step.stage}", step.share))
    except DrapeError as error:
        raise (error.of(what.removesuffix(": ")) if what else error) from None
    progress.tell(f"{what}reading the fit")
    fit = read_fit(measured, draped, drafted, garment, request.fabric, {}, beneath)
    return Dressed(measured, drafted, draped, fit, beneath, expected(request, measured, garment, drafted))


def _beneath(request: Request, measured: Body, garment: Garment, drafted: Pattern) -> Beneath | None:
    """The under-robe, where one was asked for."""
    if request.under is None:
        return None
    return road.beneath_of(measured, garment, drafted, (request.fabric, request.under), request.under_options)


def cloth(request: Request) -> Cloth:
    """How the cloth looks on the pictures.

    Raises
    ------
    OptionError
        The picture of printed cloth cannot be read.
    """
    from ..album import Cloth
    from ..bridge import load_png
    from ..studio.prints import REPEAT_MM, rings_and_leaves
    from ..studio.stage import INDIGO

    printed, width = None, request.printed_width_mm
    if request.printed == Path(SAMPLE_PRINT):
        printed, width = rings_and_leaves(), width or REPEAT_MM
    elif request.printed:
        try:
            printed = load_png(request.printed)
        except RuntimeError as error:
            raise OptionError(f"--print {request.printed} cannot be read as a picture; give a PNG file") from error
    thickness = request.fabric.thickness_mm
    return Cloth(request.colour or INDIGO, thickness, printed, width)
