"""Undo and the points: who takes back a measuring takes back the move that it followed, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator

import bpy
import pytest

import addon
from addon import follow, session, table

pytest_plugins = ("window_fixtures",)
TIMERS = (follow._measure, follow._undo_move, follow._redo_measure)


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()


@pytest.fixture(autouse=True)
def _watched() -> Iterator[None]:
    """As in a window; a module without one has no turns in which a timer could fire, so the tests fire them."""
    follow.watch()
    yield
    follow.unregister()


def push(message: str) -> None:
    bpy.ops.ed.undo_push(message=message)


def fire() -> None:
    """What waits for its turn happens."""
    for timer in TIMERS:
        if bpy.app.timers.is_registered(timer):
            bpy.app.timers.unregister(timer)
            timer()


def point() -> bpy.types.Object:
    return next(thing for thing in table.ours(bpy.context.scene, "landmark") if thing[table.POINT] == "waist_front")


def level() -> float:
    return session.get(bpy.context.scene, "body").measures["waist_girth"].level_mm


def drag() -> None:
    point().location.z += 0.005
    push("Move")


def test_an_undone_measuring_takes_its_move_along_and_one_redo_brings_both(opened) -> None:
    push("opened")
    place, before = point().location.copy(), level()
    drag()
    bpy.ops.toile.measure("EXEC_DEFAULT", True)
    moved, after = point().location.copy(), level()
    assert after != before
    for _ in range(2):
        bpy.ops.ed.undo()
        fire()
        fire()  # nothing comes of it later
        assert (point().location, level()) == (place, before)
        bpy.ops.ed.redo()
        fire()
        fire()
        assert (point().location, level()) == (moved, after)


def test_another_step_that_is_undone_leaves_a_point_that_was_never_measured_from(opened) -> None:
    """As where Escape stopped the measuring."""
    push("opened")
    drag()
    moved = point().location.copy()
    opened.toile.fabric = "denim"
    push("Cloth")
    bpy.ops.ed.undo()
    fire()
    assert bpy.context.scene.toile.fabric == "lawn"
    assert point().location == moved
    bpy.ops.ed.undo()
    fire()
    assert point().location != moved
