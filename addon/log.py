"""What was done and what went wrong, one line each, for the panel; it lives as long as Blender is open."""

from __future__ import annotations

import time
from collections import deque
from dataclasses import dataclass

import bpy

MOST_LINES = 12


@dataclass(frozen=True)
class Line:
    """One thing that was said; `wrong` where it was an error, `of` then what was set when it went wrong."""

    at: str
    text: str
    wrong: bool = False
    of: str = ""


lines: deque[Line] = deque(maxlen=MOST_LINES)


def say(text: str, wrong: bool = False) -> None:
    """Add a line."""
    of = state(bpy.context.scene) if wrong else ""
    lines.append(Line(time.strftime("%H:%M"), " ".join(text.split()), wrong, of))


def last(scene: bpy.types.Scene) -> Line | None:
    """The newest line; None where it is an error and something has been set or made since: it may be mended."""
    if not lines or (lines[-1].wrong and lines[-1].of != state(scene)):
        return None
    return lines[-1]


def state(scene: bpy.types.Scene) -> str:
    """All that is set and kept in a scene, as a text that is another one as soon as any of it changes."""
    made = {name: scene[name] for name in scene.keys() if name.startswith("toile_") and name.endswith("_token")}  # noqa: SIM118
    return repr((_values(scene.toile), made))


def _values(group: bpy.types.PropertyGroup) -> dict[str, object]:
    """Every field of a group, groups in it and lists of groups too."""
    found: dict[str, object] = {}
    for field in group.bl_rna.properties:
        value = getattr(group, field.identifier)
        if field.identifier in {"rna_type", "stage", "share"}:
            continue
        if field.type == "POINTER":
            found[field.identifier] = _values(value)
        elif field.type == "COLLECTION":
            found[field.identifier] = [_values(row) for row in value]
        else:
            found[field.identifier] = value if isinstance(value, str | int | float) else tuple(value)
    return found
