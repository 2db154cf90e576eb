"""What is amiss before a step: things deleted, scaled or edited by hand, a print that cannot be laid on, a folder that
cannot be written into; each with the button that puts it right.

Cheap enough for a panel, which draws `of_step(scene, step)` at the top of each step: the text, and below it the button
`operator` where there is one.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import bpy

from drafting.errors import ToileError

from . import session, table, workshop

SCALE_OFF = 1e-4  # a doll whose scale differs by a larger share has been scaled by hand
LAID = (  # role, its step, the result that it shows, and how it is told
    ("tape", "tape", "body", "The tapes are no longer on the doll: lay them out again"),
    ("panel", "draft", "pattern", "The panels are no longer in the scene: lay them out again"),
    ("robe", "drape", "drape", "The robe is no longer in the scene: lay it out again"),
)


@dataclass(frozen=True)
class Amiss:
    """One thing that stands in a step's way.

    Attributes
    ----------
    step : str
        Of the road: "doll", "draft" ...
    text : str
        What is wrong, and what to do.
    operator : str
        The button that puts it right; "" where only the maker can.
    """

    step: str
    text: str
    operator: str = ""


def of_step(scene: bpy.types.Scene, step: str) -> list[Amiss]:
    """All that is amiss with one step."""
    return [one for one in (*of_objects(scene), *of_cloth(scene), *of_folder(scene)) if one.step == step]


def of_objects(scene: bpy.types.Scene) -> list[Amiss]:
    """What was deleted, scaled or edited by hand; the weightiest first."""
    if not session.has(scene, "body"):
        return []
    wrong = [*_of_doll(scene)]
    for role, step, kept, text in LAID:
        if session.has(scene, kept) and table.first(scene, role) is None:
            wrong.append(Amiss(step, text, "toile.lay_again"))
    return wrong


def _of_doll(scene: bpy.types.Scene) -> Iterator[Amiss]:
    doll = table.doll_of(scene)
    if doll is None:
        yield Amiss("doll", "The doll is no longer in the scene: lay her out again", "toile.lay_again")
    elif len(doll.data.vertices) != len(session.get(scene, "body").skin.vertices):
        yield Amiss("doll", "The doll's surface was changed by hand: lay her out again", "toile.lay_again")
    elif scaled(scene, doll):
        text = "The doll, or the unit of the scene, was scaled by hand: give her true size back"
        yield Amiss("doll", text, "toile.true_size")


def of_cloth(scene: bpy.types.Scene) -> list[Amiss]:
    """A cloth that cannot be read, a print without its width or that is no picture."""
    settings = scene.toile
    try:
        workshop.fabric(scene)
    except ToileError as error:
        return [Amiss("cloth", str(error))]
    if not settings.printed:
        return []
    try:
        workshop.print_width(scene)
    except ToileError as error:
        return [Amiss("cloth", str(error))]
    path = Path(bpy.path.abspath(settings.printed))
    wrong = unreadable(path, path.stat().st_mtime if path.is_file() else 0.0)
    return [Amiss("cloth", wrong)] if wrong else []


@lru_cache(maxsize=8)
def unreadable(path: Path, _changed: float) -> str:
    """Why a picture cannot be a print, "" if it can, by its first bytes; looked at once for each change of the file.

    Those of a PNG are in its specification (W3C PNG, third edition, 5.2), of a JPEG in ISO/IEC 10918-1, B.1.1.3.
    """
    try:
        with path.open("rb") as file:
            begins = file.read(8)
    except OSError:
        begins = b""
    if begins == b"\x89PNG\r\n\x1a\n" or begins.startswith(b"\xff\xd8\xff"):
        return ""
    return f"{path} cannot be read as a picture; choose a PNG or JPEG file"


def of_folder(scene: bpy.types.Scene) -> list[Amiss]:
    """A folder for results that is a file, or in which nothing can be written."""
    if not scene.toile.folder:
        return []
    folder = Path(bpy.path.abspath(scene.toile.folder))
    there = next(place for place in (folder, *folder.parents) if place.exists())
    if there.is_dir() and os.access(there, os.W_OK):
        return []
    return [
        Amiss(step, f"Nothing can be written into {folder}; choose another folder") for step in ("pictures", "paper")
    ]


def hindrance(scene: bpy.types.Scene, needs: tuple[str, ...]) -> str:
    """Why a step that stands on these results cannot be done as the scene is, "" if it can."""
    roles = {"body": "doll", "drape": "drape"}
    steps = [roles[kept] for kept in needs if kept in roles]
    return next((one.text for one in of_objects(scene) if one.step in steps), "")


def scaled(scene: bpy.types.Scene, doll: bpy.types.Object) -> bool:
    """Whether the doll has not her true size: scaled by hand, by a parent, or by another unit of the scene."""
    true = 1.0 / scene.unit_settings.scale_length
    return any(abs(axis - true) > SCALE_OFF * true for axis in doll.matrix_world.to_scale())
