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
import numpy as np
import pytest

import addon
from addon import keep, log, session, shelf, signpost, table, workshop
from drafting.body.body import Body

pytest_plugins = ("window_fixtures",)

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


@pytest.mark.parametrize("lost", [("scanned",), ("body",), ("scanned", "body")])
def test_a_file_that_an_older_version_has_cut_opens_and_goes_on(worn, body, lost, tmp_path) -> None:
    """The older version cut values at their first zero byte."""
    worn.toile.by_hand[0].by_hand = ""
    for name in lost:
        whole = bytes(worn[f"toile_{name}"])
        del worn[f"toile_{name}"]
        worn[f"toile_{name}"] = whole[: whole.index(b"\0")]
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "cut.blend"))
    session._living.clear()
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "cut.blend"))
    scene = bpy.context.scene
    assert log.lines[-1].wrong
    if len(lost) == 2:
        assert signpost.next_sign(scene).text.startswith("Open a scan")
        assert not any(signpost.is_done(scene, step) for step in signpost.MAKES)
        assert workshop.open_doll(scene, Path(scene.toile.scan)).measures
        return
    assert digest(session.get(scene, "body")) == digest(body)
    row = next(row for row in scene.toile.by_hand if row.name == "waist_girth")
    row.by_hand = "150mm"
    assert session.get(scene, "body").measures["waist_girth"].mm == 150.0
    assert bpy.ops.toile.measure() == {"FINISHED"}
    np.testing.assert_array_equal(session.get(scene, "body").skin.vertices, body.skin.vertices)
    assert table.doll_of(scene) is not None
