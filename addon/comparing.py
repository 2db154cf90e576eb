"""Step 7 as plain functions over a scene: one drape for each value of an option, side by side."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import bpy

from drafting.cloth.draped import Draped
from drafting.errors import DrapeError, OptionError
from drafting.files import write_files
from drafting.fit.fit import Fit, read_fit
from drafting.garments.options import read_options
from drafting.units import split_lengths
from drafting.words import plain

from . import darkroom, fitting, live, marks, rack, road, session, table, workshop
from .drape import drape
from .properties import option_texts
from .steps import Work, aside, finish, within
from .variants import caption, compared

MOST = 6  # variants that can be told apart on one sheet
Variants = tuple[tuple[str, Draped, Fit], ...]


def compare(scene: bpy.types.Scene) -> Variants:
    """Drape every value, and stand the dolls side by side."""
    return finish(comparing(scene))


def comparing(scene: bpy.types.Scene) -> Work[Variants]:
    """The same, a step at a time; the scene changes only when all are done.

    Raises
    ------
    OptionError, DraftError
        Before the first is draped: a value that cannot be.
    DrapeError
        Names the value that cannot be draped.
    """
    body, garment, fabric = session.get(scene, "body"), workshop.garment(), workshop.fabric(scene)
    option, values, chosen = scene.toile.vary, read_values(scene), option_texts(scene.toile)
    patterns = {value: road.pattern_of(body, garment, {**chosen, option: value}) for value in values}
    settings, made = workshop.settings_of(scene), []
    workshop.cloth(scene)  # a print that cannot be used is told before the first is draped
    with marks.made(scene, "compare"):
        for place, (value, pattern) in enumerate(patterns.items()):
            low, high = place / len(values), (place + 1) / len(values)
            try:
                beneath = workshop.beneath(scene, pattern)
                work = drape(body, pattern, garment, fabric, settings, beneath)
                draped = yield from within(work, low, high, f"{value}: ")
            except DrapeError as error:
                raise error.of(value) from None
            read = partial(read_fit, body, draped, pattern, garment, fabric, {}, beneath)
            fit = yield from aside(f"{value}: reading the fit", high, read)
            made.append((value, draped, fit))
    compared = (option, tuple(made))
    yield from aside("keeping the drapes", 1.0, lambda: session.ahead(compared))
    session.put(scene, "compared", compared)
    stand(scene)
    return compared[1]


def read_values(scene: bpy.types.Scene) -> list[str]:
    """The values as written, each checked as the option wants it.

    Raises
    ------
    OptionError
        Fewer than two, too many, or one that is not offered.
    """
    option = scene.toile.vary
    values = list(dict.fromkeys(split_lengths(scene.toile.values)))
    if not 2 <= len(values) <= MOST:
        raise OptionError(f"Write two to {MOST} values with commas between, such as 60mm, 90mm, 140mm")
    for value in values:
        read_options(workshop.garment(), {option: value})
    return values


def stand(scene: bpy.types.Scene) -> None:
    """The variants to the left of the doll, each with its value and verdict below; the table has the figures."""
    body = session.get(scene, "body")
    option, made = session.get(scene, "compared")
    table.clear(scene, ("variant",))
    cloth = workshop.cloth(scene)
    for place, (value, draped, fit) in enumerate(reversed(made)):
        rack.stand_beside(scene, place, f"{plain(option)} {value}", draped, cloth, (value, fit.verdict), body.height_mm)


def take(scene: bpy.types.Scene, index: int) -> bool:
    """Go on with one of the variants: its value becomes the draft's, its drape and fit the doll's."""
    return finish(taking(scene, index))


def taking(scene: bpy.types.Scene, index: int) -> Work[bool]:
    """The same, a step at a time; False where only the value was taken: cloth or draft have changed since the drape.

    The scene changes only when all is worked out.
    """
    option, made = session.get(scene, "compared")
    value, draped, fit = made[index]
    stands, cloth = marks.holds(scene, "compare"), workshop.cloth(scene)
    if stands:
        surface = yield from fitting.feeling(scene, draped)
        yield from aside("keeping the drape", 0.9, lambda: session.ahead(draped, fit))
    with live.held():
        setattr(scene.toile.options, option, value)
    workshop.draft(scene)
    if stands:
        session.put(scene, "drape", draped)
        rack.lay_robe(scene, draped, cloth)
        marks.keep(scene, "drape")
        session.put(scene, "fit", fit)
        fitting.show_surface(scene, surface)
    return stands


def clear(scene: bpy.types.Scene) -> None:
    """Put the variants away."""
    session.forget(scene, "compared")
    marks.forget(scene, "compare")
    table.clear(scene, ("variant",))


def sheet(scene: bpy.types.Scene) -> list[Path]:
    """compare.png, compare.csv and compare.json in the chosen folder."""
    return finish(sheeting(scene))


def sheeting(scene: bpy.types.Scene) -> Work[list[Path]]:
    """The same, a step at a time."""
    option, made = session.get(scene, "compared")
    settings = scene.toile
    lines = tuple(tuple(caption(option, value, fit, settings.show)) for value, _, fit in made)
    order = darkroom.Order(
        "sheet",
        session.get(scene, "body"),
        tuple(draped for _, draped, _ in made),
        workshop.cloth(scene),
        settings.size,
        lines=lines,
    )
    pictures = yield from darkroom.developing(order)
    files: dict[str, bytes | str] = {**pictures, **compared(option, {value: fit for value, _, fit in made})}
    return write_files(bpy.path.abspath(settings.folder), files)
