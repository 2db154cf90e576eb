"""Step 9 as plain functions over a scene: the pattern to cut from, as files."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import bpy

from drafting.errors import LengthError
from drafting.files import write_files
from drafting.paper.layout import Spread
from drafting.paper.page import read_page
from drafting.pattern.pattern import Pattern

from . import marks, session, workshop
from .asked import length_of
from .steps import Work, aside, finish


def paper(scene: bpy.types.Scene) -> list[Path]:
    """pattern.pdf, .svg, .dxf and .toml, guide.pdf, and the layout on the cloth, in the chosen folder."""
    return finish(papering(scene))


def papering(scene: bpy.types.Scene) -> Work[list[Path]]:
    """The same, a step at a time."""
    settings, pattern = scene.toile, session.get(scene, "pattern")
    name = Path(settings.scan).stem or "doll"
    draw = partial(sheets, name, pattern, settings.page, spread(scene), settings.show)
    with marks.made(scene, "paper"):
        made = yield from aside("drawing sheets and layout", 0.2, draw)
        return write_files(bpy.path.abspath(settings.folder), made)


def spread(scene: bpy.types.Scene) -> Spread:
    """The cloth as it is bought and laid.

    Raises
    ------
    LengthError
        Its width is missing.
    """
    settings = scene.toile
    width = length_of(settings.bolt)
    if width is None:
        raise LengthError("Write the width of the cloth as you buy it, such as 1100mm or 44in")
    return Spread(width, folded=settings.folded, one_way=settings.one_way)


def sheets(name: str, pattern: Pattern, page: str, cloth: Spread, unit: str) -> dict[str, bytes | str]:
    """All files that are handed out with a pattern, for one doll."""
    # The libraries that write PDF and DXF are loaded only when they are needed: they are large.
    from drafting.paper.issue import issue

    return issue([(name, pattern)], workshop.garment(), read_page(page), unit, cloth).files
