"""What follows at once when the maker changes a value in the window: each is called by Blender after the change."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import bpy

from drafting.errors import ToileError

from . import log, session, view

Update = Callable[[bpy.types.PropertyGroup, bpy.types.Context], None]

_held: list[bool] = []


@contextmanager
def held() -> Iterator[None]:
    """Let many values change without a follow-up for each."""
    _held.append(True)
    try:
        yield
    finally:
        _held.pop()


def _following(function: Callable[[bpy.types.Scene], None]) -> Update:
    """A follow-up on a scene; an error is told in the log, and nothing changes."""

    def update(self: bpy.types.PropertyGroup, _context: bpy.types.Context) -> None:
        scene = self.id_data
        if _held:
            return
        try:
            function(scene)
        except ToileError as error:
            log.say(str(error), wrong=True)
        view.redraw()

    return update


def draft(scene: bpy.types.Scene) -> None:
    """Draft anew where something is drafted and the maker wants it at once."""
    if scene.toile.live and session.has(scene, "pattern"):
        from . import workshop

        workshop.draft(scene)


def _fabric(scene: bpy.types.Scene) -> None:
    """Another cloth is as thick as it is: the draft follows where that changes it; a drape that is there is kept."""
    from . import marks

    if not session.has(scene, "drape") and not marks.holds(scene, "draft"):
        draft(scene)


def _tape(scene: bpy.types.Scene) -> None:
    if session.has(scene, "body"):
        from . import workshop

        workshop.tape_by_hand(scene)


def _cloth(scene: bpy.types.Scene) -> None:
    from . import workshop

    workshop.colour_robe(scene)


def _picture(scene: bpy.types.Scene) -> None:
    from . import fitting

    fitting.show_picture(scene)


def draw_again(_self: bpy.types.PropertyGroup, _context: bpy.types.Context) -> None:
    """Only what is drawn changes."""
    view.redraw()


option_changed = _following(draft)
fabric_changed = _following(_fabric)
measure_changed = _following(_tape)
cloth_changed = _following(_cloth)
picture_changed = _following(_picture)
