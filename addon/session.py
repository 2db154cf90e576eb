"""What the window remembers: each step's result, kept in the .blend with its scene; a saved file goes on where it was.

A result is stored as bytes beside a token; the token finds the living value again, so that drawing a panel costs
nothing and undo brings the right one back.
"""

from __future__ import annotations

import uuid
from typing import Any

import bpy

from . import keep

STEPS = ("body", "pattern", "drape", "fit")  # in order: a new result makes those after it void
_living: dict[str, Any] = {}
MOST_LIVING = 24  # values kept alive for undo; older ones are read from the file again


def put(scene: bpy.types.Scene, step: str, value: object) -> None:
    """Keep a step's result and forget those that came after it."""
    for later in STEPS[STEPS.index(step) :]:
        forget(scene, later)
    token = uuid.uuid4().hex
    scene[f"toile_{step}"] = keep.pack(value)
    scene[f"toile_{step}_token"] = token
    _remember(token, value)


def get(scene: bpy.types.Scene, step: str) -> Any:
    """A step's result, or None."""
    token = scene.get(f"toile_{step}_token")
    if token is None:
        return None
    if token not in _living:
        _remember(token, keep.unpack(bytes(scene[f"toile_{step}"])))
    return _living[token]


def forget(scene: bpy.types.Scene, step: str) -> None:
    """Drop a step's result if there is one."""
    for name in (f"toile_{step}", f"toile_{step}_token"):
        if name in scene:
            del scene[name]


def _remember(token: str, value: object) -> None:
    _living[token] = value
    while len(_living) > MOST_LIVING:
        del _living[next(iter(_living))]
