"""What is kept and cannot be read back, as where an older version cut it short: it is forgotten, told, and worked out
anew where that can be.
"""

from __future__ import annotations

import bpy

from drafting.body.body import Body
from drafting.errors import ToileError

from . import asked, keep, log, marks, road, session

WORDS = {  # what a result is called, and how it is had again
    "scanned": ("The doll as the scan shows her", "read the scan anew (step 1)"),
    "body": ("The doll", "open her scan again (step 1)"),
    "pattern": ("The draft", "draft again (step 3)"),
    "drape": ("The drape", "drape again (step 5)"),
    "fit": ("The fit", "read the fit again (step 6)"),
    "earlier": ("The fit before this one", "it comes again with the next drape"),
    "compared": ("The variants", "drape all again (step 7)"),
}


def tell(scene: bpy.types.Scene) -> None:
    """Forget what cannot be read, and say so in the log."""
    for line in recover(scene):
        log.say(line, wrong=True)


def recover(scene: bpy.types.Scene) -> list[str]:
    """Forget what is kept and cannot be read; returns what that was and how it is had again, a line each.

    The doll as scanned and the doll with the maker's own tape stand in for each other; without both she is no longer
    known, and nothing that was made for her is.
    """
    lost = [step for step in WORDS if session.has(scene, step) and not _reads(scene, step)]
    for step in lost:
        session.forget(scene, step)
    if "scanned" in lost:
        marks.forget(scene, "doll")  # so that measuring reads the scan again
    if {"scanned", "body"} <= set(lost):
        _forget_all(scene)
        return [_line("body")]
    if "scanned" in lost and session.has(scene, "body"):
        session.stand_in(scene, "scanned", session.get(scene, "body"))
    if "body" in lost:
        session.stand_in(scene, "body", _with_tape(scene, session.get(scene, "scanned")))
        lost.remove("body")
    return [_line(step) for step in lost]


def _reads(scene: bpy.types.Scene, step: str) -> bool:
    try:
        session.get(scene, step)
    except keep.KeptError:
        return False
    return True


def _with_tape(scene: bpy.types.Scene, scanned: Body) -> Body:
    """With the maker's own figures, where they can be read."""
    try:
        return road.with_tape(scanned, asked.taped(scene))
    except ToileError:
        return scanned


def _forget_all(scene: bpy.types.Scene) -> None:
    for step in WORDS:
        session.forget(scene, step)
    for step in marks.OF:
        marks.forget(scene, step)
    if "toile_points" in scene:
        del scene["toile_points"]


def _line(step: str) -> str:
    what, again = WORDS[step]
    return f"{what} cannot be read from this file any more and is forgotten: {again}"


@bpy.app.handlers.persistent
def _opened(*_: object) -> None:
    """After a file was opened."""
    for scene in bpy.data.scenes:
        tell(scene)


def register() -> None:
    """Look at each file that is opened, and at the one that is open, as soon as Blender lets us."""
    bpy.app.handlers.load_post.append(_opened)
    bpy.app.timers.register(_opened, first_interval=0.0)


def unregister() -> None:
    """Look no more."""
    bpy.app.handlers.load_post.remove(_opened)
    if bpy.app.timers.is_registered(_opened):
        bpy.app.timers.unregister(_opened)
