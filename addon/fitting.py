"""Step 6 as plain functions over a scene: read the fit, show it on the cloth, and take its advice."""

from __future__ import annotations

from dataclasses import dataclass

import bpy

from drafting.cloth.draped import Draped
from drafting.errors import OptionError
from drafting.fit.cross_section import CrossSection, read_cross_section
from drafting.fit.fit import Fit, read_fit
from drafting.fit.level import Level
from drafting.fit.redraft import Redraft
from drafting.fit.surface import SEEN, Surface, read_surface
from drafting.pattern.pattern import Pattern

from . import rack, readiness, session, shades, table, workshop
from .live import held
from .steps import Work, aside, finish

SHADED = tuple(SEEN)  # pictures that are colours of the cloth's vertices
SHADING = {"plain": "MATERIAL", "print": "TEXTURE"} | dict.fromkeys(SHADED, "VERTEX")


@dataclass(frozen=True)
class Row:
    """One level beside the same of the fit before, if there was one."""

    level: Level
    before: Level | None


def fit(scene: bpy.types.Scene) -> Fit:
    """Read how the draped garment fits."""
    return finish(fitting(scene))


def fitting(scene: bpy.types.Scene) -> Work[Fit]:
    """The same, a step at a time; the robe then carries room, pull and touch as colours."""
    body, pattern, draped = (session.get(scene, step) for step in ("body", "pattern", "drape"))
    garment, fabric, beneath = workshop.garment(), workshop.fabric(scene), workshop.beneath(scene, pattern)
    surface = yield from feeling(scene, draped)
    result = yield from aside(
        "measuring girths and lengths", 0.5, lambda: read_fit(body, draped, pattern, garment, fabric, {}, beneath)
    )
    session.put(scene, "fit", result)
    show_surface(scene, surface)
    return result


def feeling(scene: bpy.types.Scene, draped: Draped) -> Work[Surface]:
    """Take the room between the skin and a draped cloth, and how far it is drawn out, a step at a time."""
    body, thick = session.get(scene, "body"), workshop.fabric(scene).thickness_mm
    return (yield from aside("taking the room", 0.1, lambda: read_surface(draped.cloth, body.skin, thick)))


def show_surface(scene: bpy.types.Scene, surface: Surface) -> None:
    """Lay what was found of the surface on the robe, and show the picture that is chosen."""
    scene.toile.contact_mm = surface.contact_mm
    for robe in table.ours(scene, "robe"):
        rack.show_surface(robe, surface, session.get(scene, "body").height_mm)
    show_picture(scene)


def show_picture(scene: bpy.types.Scene) -> None:
    """Show the picture that is chosen on the robe, and set the window's 3D views to it."""
    picture = scene.toile.picture
    for robe in table.ours(scene, "robe"):
        rack.choose_colours(robe, picture)
    for window in bpy.context.window_manager.windows:
        if window.scene == scene:
            for area in window.screen.areas:
                if area.type == "VIEW_3D":
                    area.spaces.active.shading.color_type = SHADING[picture]


def shown(scene: bpy.types.Scene) -> Fit | None:
    """The fit, as long as the robe that it is of is worn."""
    found: Fit | None = session.get(scene, "fit")
    return found if is_worn(scene) else None


def is_worn(scene: bpy.types.Scene) -> bool:
    """Whether the doll and the robe that is kept are in the scene as they were draped."""
    amiss = {one.step for one in readiness.of_objects(scene)}
    return session.has(scene, "drape") and not amiss & {"doll", "drape"}


def legend(scene: bpy.types.Scene) -> shades.Scale | None:
    """What the colours on the robe mean; None where it shows none, or wears none yet."""
    settings = scene.toile
    if settings.picture not in SHADED or not (session.has(scene, "fit") and is_worn(scene)):
        return None
    return shades.scale_of(settings.picture, session.get(scene, "body").height_mm, settings.contact_mm)


def section(scene: bpy.types.Scene) -> CrossSection | None:
    """Body and garment cut at the level that is chosen; None where none is, or there is no drape."""
    body, draped = session.get(scene, "body"), session.get(scene, "drape")
    if not scene.toile.level or body is None or draped is None or not is_worn(scene):
        return None
    return read_cross_section(draped.cloth, body, scene.toile.level)


def rows(now: Fit, before: Fit | None) -> list[Row]:
    """All levels, each beside the same of an earlier fit."""
    known = {level.name: level for level in before.levels} if before else {}
    return [Row(level, known.get(level.name)) for level in now.levels]


def can_apply(pattern: Pattern, option: str) -> bool:
    """Whether an advice names an option of the draft, so that it can be followed at once."""
    known = (one.name for one in workshop.garment().options if one.kind == "length")
    return option in known and option in pattern.options


def apply(scene: bpy.types.Scene, index: int) -> Pattern:
    """Follow an advice: change the option that it names by what it says, and draft anew.

    Raises
    ------
    OptionError
        The advice changes no option of the draft.
    """
    fit, pattern = session.get(scene, "fit"), session.get(scene, "pattern")
    advice = fit.advice[index]
    if not can_apply(pattern, advice.option):
        raise OptionError("This advice changes no option of the draft; follow it by hand")
    mm = Redraft(workshop.garment(), {}, pattern).value(advice.option) + advice.change_mm
    with held():
        setattr(scene.toile.options, advice.option, f"{mm:.2f}".rstrip("0").rstrip(".") + "mm")
    return workshop.draft(scene)
