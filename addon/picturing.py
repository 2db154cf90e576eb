"""Step 8 as plain functions over a scene: pictures of the draped robe."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from pathlib import Path

import bpy

from drafting.body.body import Body
from drafting.body.record import measures_csv
from drafting.body.tape_picture import tape_png
from drafting.files import write_files

from . import darkroom, marks, session, workshop
from .album import Setting
from .darkroom import Order
from .steps import Work, aside, finish
from .studio.stage import BACKDROPS


def pictures(scene: bpy.types.Scene) -> list[Path]:
    """Take the pictures that are chosen and write them into the chosen folder."""
    return finish(picturing(scene))


def picturing(scene: bpy.types.Scene) -> Work[list[Path]]:
    """The same, a step at a time."""
    settings, body = scene.toile, session.get(scene, "body")
    taken: Mapping[str, bytes | str]
    with marks.made(scene, "pictures"):
        if settings.shots == "chart":
            taken = yield from aside("drawing the size chart", 0.3, partial(chart, body, settings.show))
        else:
            taken = yield from darkroom.developing(order_of(scene))
        return write_files(bpy.path.abspath(settings.folder), taken)


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
        film=settings.film,
    )


def chart(body: Body, unit: str) -> dict[str, bytes | str]:
    """The size chart: the doll with every tape where it lies, and the measures as a table."""
    return {"size_chart.png": tape_png(body, unit), "measures.csv": measures_csv(body)}
