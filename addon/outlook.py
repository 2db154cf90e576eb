"""What long work will make of what, and about how long it takes: a line to be read before its button is pressed."""

from __future__ import annotations

import bpy

from drafting.units import format_length

from . import jobs, session
from .properties import GARMENT, NO_CLOTH, OPTION_ITEMS

QUICK_SHARE = 0.25  # of a full drape's time, as measured and told in README.md
_paces: dict[str, float] = {}  # s; how long a drape took on this machine, by how fine it was


def note(scene: bpy.types.Scene, step: str, seconds: float) -> None:
    """Remember how long a step took by the clock, for the next one."""
    count = {"drape": 1, "compare": len(values(scene))}.get(step, 0)
    if count:
        _paces[scene.toile.quality] = seconds / count


def drape_seconds(scene: bpy.types.Scene) -> float | None:
    """About how long one drape takes as it is chosen, from the last one; None where none is known."""
    known, draped = dict(_paces), session.get(scene, "drape")
    if draped is not None:
        known.setdefault("quick" if draped.quick else "full", draped.solver_seconds)
    chosen = scene.toile.quality
    if chosen in known or not known:
        return known.get(chosen)
    return known["full"] * QUICK_SHARE if chosen == "quick" else known["quick"] / QUICK_SHARE


def of_drape(scene: bpy.types.Scene) -> str:
    """What is draped on whom."""
    body, settings = session.get(scene, "body"), scene.toile
    if body is None:
        return ""
    height = format_length(body.height_mm, settings.show)
    return f"Doll of {height}, {GARMENT} in {cloth(scene)}, {settings.quality}: {time(drape_seconds(scene))}"


def of_compare(scene: bpy.types.Scene) -> str:
    """How many are draped."""
    settings, one = scene.toile, drape_seconds(scene)
    several = values(scene)
    if len(several) < 2:
        return "Write two values or more; each is draped by itself."
    option = next(label for name, label, _ in OPTION_ITEMS if name == settings.vary).lower()
    takes = time(None if one is None else one * len(several))
    return (
        f"{len(several)} times the {GARMENT} in {cloth(scene)}, {settings.quality}, each with another {option}: {takes}"
    )


def of_pictures(scene: bpy.types.Scene) -> str:
    """Which pictures of what."""
    settings = scene.toile
    shots = settings.bl_rna.properties["shots"].enum_items[settings.shots].name.lower()
    if settings.shots == "chart":
        return "The doll with every tape where it lies, and a table of her measures."
    frames = f", {settings.frames} frames" if settings.shots == "turntable" else ""
    return f"Pictures: {shots}{frames}, {settings.size} pixels wide, of the {GARMENT} in {cloth(scene)}."


def of_paper(scene: bpy.types.Scene) -> str:
    """What is printed."""
    pattern, settings = session.get(scene, "pattern"), scene.toile
    if pattern is None:
        return ""
    pieces = sum(panel.cut for panel in pattern.panels)
    laid = "folded cloth" if settings.folded else "cloth"
    return f"{pieces} pieces of the {GARMENT} on {settings.page}, laid out on {laid} {settings.bolt} wide."


def values(scene: bpy.types.Scene) -> list[str]:
    """The values that are compared."""
    return [value for value in scene.toile.values.split(",") if value.strip()]


def cloth(scene: bpy.types.Scene) -> str:
    """The cloth that is chosen, with its lining and what is worn beneath, in words."""
    settings = scene.toile
    lining = "" if settings.lining == NO_CLOTH else f" lined with {settings.lining}"
    under = "" if settings.under == NO_CLOTH else f" over {settings.under}"
    return f"{settings.own_name or settings.fabric}{lining}{under}"


def time(seconds: float | None) -> str:
    """About how long, in words."""
    return "how long is told once it goes on" if seconds is None else f"about {jobs.in_words(seconds)}"
