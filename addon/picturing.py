"""Step 8 as plain functions over a scene: pictures of the draped robe."""

from __future__ import annotations

from pathlib import Path

import bpy

from drafting.files import write_files

from . import darkroom, session, workshop
from .album import Setting
from .darkroom import Order
from .steps import Work, finish
from .studio.stage import BACKDROPS


def pictures(scene: bpy.types.Scene) -> list[Path]:
    """Take the pictures that are chosen and write them into the chosen folder."""
    return finish(picturing(scene))


def picturing(scene: bpy.types.Scene) -> Work[list[Path]]:
    """The same, a step at a time."""
    taken = yield from darkroom.developing(order_of(scene))
    return write_files(bpy.path.abspath(scene.toile.folder), taken)


def order_of(scene: bpy.types.Scene) -> Order:
    """What is chosen in the window, as an order."""
    settings = scene.toile
    return Order(
        settings.shots,
        session.get(scene, "body"),
        (session.get(scene, "drape"),),
        workshop.cloth(scene),
        settings.size,
        Setting(settings.shape, BACKDROPS[settings.backdrop][1], settings.plain_form),
        settings.frames,
    )
