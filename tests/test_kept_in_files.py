"""What the window keeps is in the file: overwritten, saved, and opened by a fresh process with nothing in memory."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import bpy
import pytest

import addon
from addon import keep, log, marks, recovery, session, shelf, signpost
from addon.properties import STEPS
from drafting.body.body import Body

pytest_plugins = ("window_fixtures",)
ALL = (*session.STEPS, *session.BESIDE)

FRESH = """
import hashlib, json, sys
import bpy
sys.path.insert(0, {root!r})
from addon import keep, session
bpy.ops.wm.open_mainfile(filepath={path!r})
scene = bpy.context.scene
kept = {{name: session.get(scene, name) for name in (*session.STEPS, *session.BESIDE)}}
found = {{name: hashlib.sha256(keep.pack(value)).hexdigest() for name, value in kept.items() if value is not None}}
points = {{name: list(point) for name, point in scene.get("toile_points", {{}}).items()}}
print("FOUND" + json.dumps([found, points]))
"""


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()


def digest(value: object) -> str:
    return hashlib.sha256(keep.pack(value)).hexdigest()


def in_a_fresh_process(path: Path, root: Path) -> tuple[dict[str, str], dict[str, list[float]]]:
    """What another Python with Blender's module finds in the file."""
    program = FRESH.format(root=str(root), path=str(path))
    said = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, env=dict(os.environ), timeout=300
    )
    found, points = json.loads(next(line for line in said.stdout.splitlines() if line.startswith("FOUND"))[5:])
    return found, points


def overwrite_all(scene: bpy.types.Scene, body: Body) -> dict[str, object]:
    """Each kept value put anew in place of another one, as measuring anew, drafting anew and comparing again do."""
    fit = session.get(scene, "fit")
    moved = replace(body, missing=("overwritten",))
    values = {"scanned": moved, "body": moved, "pattern": session.get(scene, "pattern")}
    values |= {"drape": session.get(scene, "drape"), "fit": replace(fit, reasons=("overwritten",))}
    values |= {"earlier": replace(fit, reasons=("before",)), "compared": ("sleeve_drop", ((" 70mm", None, fit),))}
    for _ in range(2):
        for name, value in values.items():
            session.put(scene, name, value)
    return {**values, "earlier": values["earlier"]}


def test_every_value_that_was_overwritten_is_whole_in_a_fresh_process(worn, body, root, tmp_path) -> None:
    bpy.ops.toile.read_fit()
    values = overwrite_all(worn, body)
    for name in (*session.STEPS, *session.BESIDE):
        assert session.has(worn, name), name
    worn["toile_points"] = {"waist_front": [1.0, 2.0, 3.0]}
    worn["toile_points"] = {"nape": [0.5, 0.25, 0.125]}
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "kept.blend"))
    found, points = in_a_fresh_process(tmp_path / "kept.blend", root)
    assert found == {name: digest(value) for name, value in values.items()}
    assert points == {"nape": [0.5, 0.25, 0.125]}


def test_a_doll_who_was_put_aside_and_taken_up_is_whole_in_a_fresh_process(worn, body, root, tmp_path) -> None:
    before = {name: digest(session.get(worn, name)) for name in ("scanned", "body", "pattern", "drape")}
    for _ in range(2):
        shelf.put_aside(worn)
        shelf.take_up(worn, shelf.dolls(worn)[0].name)
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "aside.blend"))
    assert in_a_fresh_process(tmp_path / "aside.blend", root)[0] == before


def test_values_that_memory_has_let_go_are_read_from_the_file_again(opened, body) -> None:
    for count in range(session.MOST_LIVING + 10):
        session.put(opened, "scanned", replace(body, missing=(f"change {count}",)))
        if count == 0:
            session.put(opened, "compared", ("ease", ()))
    assert session.token(opened, "body") not in session._living
    assert session.token(opened, "compared") not in session._living
    assert session.get(opened, "compared") == ("ease", ())
    assert digest(session.get(opened, "body")) == digest(body)


# Cut short by an older version: at the first zero byte


def told(scene: bpy.types.Scene) -> dict[str, object]:
    """All that a scene keeps."""
    return {
        "values": {name: digest(session.get(scene, name)) for name in ALL if session.has(scene, name)},
        "marks": {name: scene[name] for name in map(marks.key, marks.OF) if name in scene},
        "points": dict(scene.get("toile_points", {})),
        "ticked": [step for step in STEPS if signpost.is_done(scene, step)],
    }


@pytest.fixture
def whole(worn, draped) -> bpy.types.Scene:
    """A scene in which all that can be kept is."""
    bpy.ops.toile.read_fit()
    fit = session.get(worn, "fit")
    session.put(worn, "earlier", replace(fit, cautions=("before",)))
    session.put(worn, "compared", ("sleeve_drop", (("60mm", draped, fit),)))
    worn["toile_points"] = {"waist_front": [1.0, 2.0, 3.0]}
    for step in marks.OF:
        marks.keep(worn, step)
    return worn


def cut_short(scene: bpy.types.Scene, *steps: str) -> None:
    """Leave of these values what an older version left: all up to the first zero byte."""
    for step in steps:
        name = f"toile_{step}"
        begins = bytes(scene[name]).split(b"\0")[0]
        del scene[name]
        scene[name] = begins


def opened_again(path: Path) -> bpy.types.Scene:
    """The scene of a file that was saved and is opened with nothing in memory."""
    bpy.ops.wm.save_as_mainfile(filepath=str(path))
    session._living.clear()
    log.lines.clear()
    bpy.ops.wm.open_mainfile(filepath=str(path))
    return bpy.context.scene


@pytest.mark.parametrize("step", ALL)
def test_a_value_that_was_cut_short_is_told_and_all_others_stay(whole, tmp_path, step: str) -> None:
    before = told(whole)
    cut_short(whole, step)
    scene = opened_again(tmp_path / "cut.blend")
    after = told(scene)
    told_of = [] if step == "body" else [recovery._line(step)]  # the scan's doll and the maker's figures make her again
    assert [line.text for line in log.lines if line.wrong] == told_of
    others = [other for other in ALL if other != step]
    assert {name: after["values"][name] for name in others} == {name: before["values"][name] for name in others}
    stays = {"scanned": "body", "body": "scanned"}.get(step)
    assert after["values"].get(step) == (before["values"][stays] if stays else None)
    assert signpost.next_sign(scene).text


def test_a_doll_whose_scan_was_cut_short_is_read_anew_by_the_next_button(whole, body, tmp_path) -> None:
    cut_short(whole, "scanned")
    scene = opened_again(tmp_path / "cut.blend")
    assert not signpost.is_done(scene, "doll")
    assert signpost.next_sign(scene).operator == "toile.measure"
    assert bpy.ops.toile.measure() == {"FINISHED"}
    assert digest(session.get(scene, "scanned")) == digest(body)
    assert signpost.is_done(scene, "doll")
    next(row for row in scene.toile.by_hand if row.name == "waist_girth").by_hand = "150mm"
    assert session.get(scene, "body").measures["waist_girth"].mm == 150.0


def test_a_doll_that_cannot_be_read_at_all_takes_every_tick_and_is_opened_anew(whole, body, tmp_path) -> None:
    cut_short(whole, "scanned", "body", "drape")
    scene = opened_again(tmp_path / "cut.blend")
    assert told(scene) == {"values": {}, "marks": {}, "points": {}, "ticked": []}
    assert [line.text for line in log.lines if line.wrong] == [recovery._line("body")]
    assert signpost.next_sign(scene).step == "doll"
    scene.toile.by_hand[0].by_hand = "20mm"  # a field that follows a doll is left alone where there is none
    assert bpy.ops.toile.open_scan(filepath=scene.toile.scan) == {"FINISHED"}
    assert digest(session.get(scene, "scanned")) == digest(body)


def test_a_doll_put_aside_that_was_cut_short_is_told_when_she_is_taken_up(whole, tmp_path) -> None:
    cut_short(whole, "drape")
    assert bpy.ops.toile.another_doll() == {"FINISHED"}
    scene = opened_again(tmp_path / "aside.blend")
    (aside,) = shelf.dolls(scene)
    assert bpy.ops.toile.take_up(doll=aside.name) == {"FINISHED"}
    assert not session.has(scene, "drape")
    assert session.get(scene, "pattern").panels
    assert recovery._line("drape") in [line.text for line in log.lines if line.wrong]
