"""What each step was made of: a step is done as long as that is still what is chosen.

A mark is a text on the scene; it is worked out anew at each look, so that undoing a change brings the step back.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import bpy

from drafting.errors import ToileError

from . import asked, session
from .properties import option_texts

PAGE = ("page", "bolt", "folded", "one_way", "show")
LOOK = ("printed", "printed_width")
FABRIC = ("fabric", "own_cloth", "own_name", "lining", "under")
CLOTH = (*FABRIC, "quality", "edge")


def _doll(scene: bpy.types.Scene) -> object:
    return asked.how_to_read(scene)


def _draft(scene: bpy.types.Scene) -> object:
    return option_texts(scene.toile)


def _drape(scene: bpy.types.Scene) -> object:
    return _chosen(scene, CLOTH)


def _compare(scene: bpy.types.Scene) -> object:
    others = {name: text for name, text in option_texts(scene.toile).items() if name != scene.toile.vary}
    return session.token(scene, "body"), _chosen(scene, (*CLOTH, "vary", "values")), others


def _pictures(scene: bpy.types.Scene) -> object:
    return session.token(scene, "drape"), tuple(scene.toile.colour), _chosen(scene, (*FABRIC, *LOOK))


def _paper(scene: bpy.types.Scene) -> object:
    return session.token(scene, "pattern"), _chosen(scene, (*FABRIC, *PAGE))


def _chosen(scene: bpy.types.Scene, names: tuple[str, ...]) -> tuple[object, ...]:
    return tuple(getattr(scene.toile, name) for name in names)


OF: dict[str, Callable[[bpy.types.Scene], object]] = {
    "doll": _doll,
    "draft": _draft,
    "drape": _drape,
    "compare": _compare,
    "pictures": _pictures,
    "paper": _paper,
}


def key(step: str) -> str:
    """The scene's property that holds a step's mark."""
    return f"toile_of_{step}"


def has(scene: bpy.types.Scene, step: str) -> bool:
    """Whether a step was ever done."""
    return key(step) in scene


def holds(scene: bpy.types.Scene, step: str) -> bool:
    """Whether what a step was made of is still what is chosen; a field that cannot be read is no choice."""
    try:
        return bool(scene.get(key(step)) == repr(OF[step](scene)))
    except ToileError:
        return False


def keep(scene: bpy.types.Scene, step: str) -> None:
    """The step has been done with what is chosen now."""
    scene[key(step)] = repr(OF[step](scene))


def forget(scene: bpy.types.Scene, step: str) -> None:
    """The step must be done again, or was never done."""
    if key(step) in scene:
        del scene[key(step)]


@contextmanager
def made(scene: bpy.types.Scene, step: str) -> Iterator[None]:
    """Work on a step: at its end it has been done with what was chosen at its start."""
    chosen = repr(OF[step](scene))
    yield
    scene[key(step)] = chosen
