"""Several dolls in one scene: one is on the table, the others stand aside, each in a collection of her own that holds
her settings and results.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import bpy

from . import live, marks, recovery, session, table

ASIDE = "aside"
SETTINGS, KEPT = "toile_settings", ("toile_points", *map(marks.key, marks.OF))
APART = 3.0  # of the doll's height, from one doll to the next
# What belongs to the maker and not to a doll stays as it is.
HERS = {"rna_type", "name", "show", "folder", "live", "stage", "share"}


def dolls(scene: bpy.types.Scene) -> list[bpy.types.Collection]:
    """The collections of the dolls that stand aside."""
    return [child for child in scene.collection.children if child.get(table.MARK) == ASIDE and child.library is None]


def put_aside(scene: bpy.types.Scene) -> None:
    """Clear the table for another doll; the one on it stays where she stands.

    One that was deleted by hand must have been laid again (`readiness.laying_again`): all else hangs on her.
    """
    doll = table.doll_of(scene)
    if doll is None:
        return
    here = table.collection(scene)
    here[SETTINGS] = settings_of(scene)
    for name in _state(scene):
        session.write(here, name, scene[name])
        del scene[name]
    here[table.MARK], here.name = ASIDE, f"Pocket Toile, {Path(scene.toile.scan).stem or 'doll'}"
    places = [
        one.location.x for child in [here, *dolls(scene)] for one in child.objects if one.get(table.MARK) == "doll"
    ]
    scene["toile_place"] = max(places) + APART * doll.dimensions.z
    with live.held():
        _unset(scene.toile)


def take_up(scene: bpy.types.Scene, name: str) -> None:
    """Go on with the doll of that collection; the one on the table is put aside."""
    chosen = next(child for child in dolls(scene) if child.name == name)
    put_aside(scene)
    for other in [child for child in scene.collection.children if child.get(table.MARK) == "table"]:
        if not other.objects:
            bpy.data.collections.remove(other)
    chosen[table.MARK], chosen.name = "table", "Pocket Toile"
    for kept in [key for key in chosen.keys() if key.startswith("toile_") and key not in (table.MARK, SETTINGS)]:  # noqa: SIM118
        session.write(scene, kept, chosen[kept])
        del chosen[kept]
    with live.held():
        _unset(scene.toile)
        _set(scene.toile, chosen[SETTINGS].to_dict())
    del chosen[SETTINGS]
    recovery.tell(scene)


def settings_of(scene: bpy.types.Scene) -> dict[str, Any]:
    """All settings that belong to a doll, as plain values."""
    settings = scene.toile
    plain = {name: _plain(getattr(settings, name)) for name in _names(settings) - {"options", "by_hand"}}
    options = {name: _plain(getattr(settings.options, name)) for name in _names(settings.options)}
    return {**plain, "options": options, "by_hand": {row.name: row.by_hand for row in settings.by_hand}}


def _state(scene: bpy.types.Scene) -> list[str]:
    """The names under which the scene keeps what belongs to the doll."""
    steps = [*session.STEPS, *session.BESIDE]
    names = [f"toile_{step}{end}" for step in steps for end in ("", "_token")]
    return [name for name in [*names, *KEPT] if name in scene]


def _names(group: bpy.types.PropertyGroup) -> set[str]:
    return {prop.identifier for prop in group.bl_rna.properties if not prop.is_readonly or prop.type != "STRING"} - HERS


def _plain(value: Any) -> Any:
    return value if isinstance(value, str | int | float | bool) else list(value)


def _unset(settings: bpy.types.PropertyGroup) -> None:
    for name in _names(settings) - {"options", "by_hand"}:
        settings.property_unset(name)
    for name in _names(settings.options):
        settings.options.property_unset(name)
    settings.by_hand.clear()


def _set(settings: bpy.types.PropertyGroup, kept: dict[str, Any]) -> None:
    for name, value in kept.pop("options").items():
        setattr(settings.options, name, value)
    for name, text in kept.pop("by_hand").items():
        row = settings.by_hand.add()
        row.name, row.by_hand = name, text
    for name, value in kept.items():
        setattr(settings, name, value)
