"""What the window remembers: each step's result, kept in the .blend with its scene; a saved file goes on where it was.

A result is stored as bytes beside a token; the token finds the living value again, so that drawing a panel costs
nothing and undo brings the right one back.
"""

from __future__ import annotations

import uuid
from collections import deque
from typing import Any

import bpy

from . import keep

STEPS = ("body", "pattern", "drape", "fit")  # in order: a new result makes those after it void
# What lies beside the road: the body as the scan shows it, the fit before this one, and variants compared.
BESIDE = ("scanned", "earlier", "compared")
_living: dict[str, Any] = {}
_ahead: deque[tuple[object, bytes]] = deque(maxlen=4)
MOST_LIVING = 32  # values kept alive for undo; older ones are read from the file again


def ahead(*values: object) -> None:
    """Make the bytes of results that will be put in a moment; knows no Blender, so it can be done aside."""
    for value in values:
        _bytes_of(value)


def put(scene: bpy.types.Scene, step: str, value: object) -> None:
    """Keep a step's result and forget those that came after it; a fit that becomes void is kept as the earlier one."""
    if step in ("body", "pattern", "drape") and has(scene, "fit"):
        _move(scene, "fit", "earlier")
    if step in STEPS:
        for later in STEPS[STEPS.index(step) :]:
            forget(scene, later)
    stand_in(scene, step, value)


def has(scene: bpy.types.Scene, step: str) -> bool:
    """Whether a step has a result."""
    return f"toile_{step}_token" in scene


def token(scene: bpy.types.Scene, step: str) -> str:
    """What changes whenever the result does; "" where there is none."""
    return str(scene.get(f"toile_{step}_token", ""))


def get(scene: bpy.types.Scene, step: str) -> Any:
    """A step's result, or None."""
    found = token(scene, step)
    if not found:
        return None
    if found not in _living:
        _remember(found, keep.unpack(bytes(scene.get(f"toile_{step}", b""))))
    return _living[found]


def forget(scene: bpy.types.Scene, step: str) -> None:
    """Drop a step's result if there is one."""
    for name in (f"toile_{step}", f"toile_{step}_token"):
        if name in scene:
            del scene[name]


def stand_in(scene: bpy.types.Scene, step: str, value: object) -> None:
    """Keep a result, as in place of one that was lost; those after it stay."""
    token = uuid.uuid4().hex
    write(scene, f"toile_{step}", _bytes_of(value))
    write(scene, f"toile_{step}_token", token)
    _remember(token, value)


def write(owner: bpy.types.ID, name: str, value: object) -> None:
    """Set a custom property of a scene or a collection.

    Bytes that are assigned to one that exists are cut at their first zero byte (Blender 4.2 to 5.2), so the old one
    goes first.
    """
    if name in owner:
        del owner[name]
    owner[name] = value


def _bytes_of(value: object) -> bytes:
    """A result as bytes, those that were made ahead where they were."""
    found = next((packed for known, packed in _ahead if known is value), None)
    if found is None:
        found = keep.pack(value)
        _ahead.append((value, found))
    return found


def _move(scene: bpy.types.Scene, step: str, other: str) -> None:
    """Keep a result under another name."""
    for end in ("", "_token"):
        write(scene, f"toile_{other}{end}", scene[f"toile_{step}{end}"])


def _remember(token: str, value: object) -> None:
    _living[token] = value
    while len(_living) > MOST_LIVING:
        del _living[next(iter(_living))]
