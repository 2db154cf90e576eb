"""Preferences, File > Import and a dropped scan: each does what the plain function does; all go with the extension."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import bpy
import numpy as np
import pytest

from addon import own_cloth, preferences, session, table, workshop
from addon.commands.request import SAMPLE
from addon.operators import drop
from drafting.cloth.fabric import FABRICS
from drafting.cloth.fabric_file import read_fabric


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    """As Blender enables it, so that it has preferences."""
    bpy.ops.preferences.addon_enable(module="addon")
    yield
    bpy.ops.preferences.addon_disable(module="addon")
    assert drop.draw_import not in drawn_in_import()
    assert not hasattr(bpy.types, "TOILE_OT_drop_scan")
    assert not hasattr(bpy.types, "TOILE_preferences")


def drawn_in_import() -> list:
    return bpy.types.TOPBAR_MT_file_import._dyn_ui_initialize()


@pytest.fixture
def scene() -> bpy.types.Scene:
    bpy.ops.wm.read_homefile(use_empty=True)
    own = preferences.wishes()
    own.property_unset("show")
    own.property_unset("folder")
    own.property_unset("fabrics")
    return bpy.context.scene


def test_a_dropped_scan_is_the_plain_functions(scene) -> None:
    scene.toile.height = "42cm"
    # As Blender's drop calls it: `invoke`, and of the file it fills in what the operator has (its manual, FileHandler).
    assert bpy.ops.toile.drop_scan("INVOKE_DEFAULT", filepath=str(SAMPLE)) == {"FINISHED"}
    dropped = session.get(scene, "body")
    expected = workshop.open_doll(scene, SAMPLE)
    np.testing.assert_array_equal(dropped.skin.vertices, expected.skin.vertices)
    assert {name: measure.mm for name, measure in dropped.measures.items()} == {
        name: measure.mm for name, measure in expected.measures.items()
    }
    assert [thing.get(table.MARK) for thing in table.collection(scene).all_objects].count("doll") == 1


def test_a_dropped_file_that_is_no_scan_is_reported(scene, tmp_path: Path) -> None:
    bad = tmp_path / "bad.stl"
    bad.write_text("no scan at all")
    with pytest.raises(RuntimeError, match=r"bad\.stl"):
        bpy.ops.toile.drop_scan(filepath=str(bad))
    assert session.get(scene, "body") is None


def test_scans_are_dropped_onto_the_3d_view_and_nowhere_else(scene) -> None:
    handler = bpy.types.TOILE_FH_scan
    operator = bpy.ops.toile.drop_scan.get_rna_type()
    assert handler.bl_import_operator == "toile.drop_scan"
    assert "filepath" in operator.properties  # what Blender fills in: its manual, FileHandler
    assert ".glb" in handler.bl_file_extensions.split(";")
    window = bpy.context.window_manager.windows[0]
    kinds = {area.type: area for area in window.screen.areas}
    for kind, area in kinds.items():
        with bpy.context.temp_override(window=window, area=area):
            assert handler.poll_drop(bpy.context) == (kind == "VIEW_3D")
    assert "VIEW_3D" in kinds
    assert len(kinds) > 1


def test_the_import_menu_has_one_line_of_ours() -> None:
    assert drawn_in_import().count(drop.draw_import) == 1


@pytest.mark.parametrize(
    ("wish", "system", "shown"),
    [
        ("scene", "METRIC", "mm"),
        ("scene", "IMPERIAL", "in"),
        ("scene", "NONE", "mm"),
        ("mm", "IMPERIAL", "mm"),
        ("in", "METRIC", "in"),
    ],
)
def test_a_new_doll_starts_in_the_makers_unit_and_folder(scene, tmp_path: Path, wish, system, shown) -> None:
    own = preferences.wishes()
    own.show, own.folder = wish, str(tmp_path)
    scene.unit_settings.system = system
    preferences.start_with(scene)
    assert (scene.toile.show, scene.toile.folder) == (shown, str(tmp_path))


def test_what_was_chosen_in_the_file_stands(scene, tmp_path: Path) -> None:
    own = preferences.wishes()
    own.show, own.folder = "in", str(tmp_path)
    scene.toile.show, scene.toile.folder = "mm", "/mine"
    preferences.start_with(scene)
    assert (scene.toile.show, scene.toile.folder) == ("mm", "/mine")


def test_opening_a_doll_asks_the_preferences(scene) -> None:
    preferences.wishes().show = "in"
    bpy.ops.toile.drop_scan(filepath=str(SAMPLE))
    assert scene.toile.show == "in"


OWN = 'square = "100mm"\nsquare_g = 0.83\noverhang_warp = "32mm"\noverhang_weft = "28mm"\n'


def test_own_cloths_come_from_the_fabric_folder_and_stay_in_the_file(scene, tmp_path: Path) -> None:
    """Figures of the two home tests: 0.83 g on 100 mm squared is 83 g/m2; the overhang is twice the bending length."""
    (tmp_path / "curtain.toml").write_text(OWN)
    assert not bpy.ops.toile.own_cloth.poll()
    with pytest.raises(RuntimeError, match="choose a folder with cloths"):
        bpy.ops.toile.own_cloth(cloth="")
    preferences.wishes().fabrics = str(tmp_path)
    assert bpy.ops.toile.own_cloth(cloth=str(tmp_path / "curtain.toml")) == {"FINISHED"}
    chosen = workshop.fabric(scene)
    assert chosen == read_fabric(OWN, "curtain")
    assert (chosen.mass_g_m2, chosen.warp_mm, chosen.weft_mm) == pytest.approx((83.0, 16.0, 14.0))
    (tmp_path / "curtain.toml").unlink()
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "a.blend"))
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "a.blend"))
    assert workshop.fabric(bpy.context.scene) == chosen


def test_the_folder_with_her_own_cloths_is_chosen_beside_them(scene, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "curtain.toml").write_text(OWN)
    before = preferences.wishes().fabrics
    for folder in ("empty", "none"):
        with pytest.raises(RuntimeError, match="holds no cloth"):
            bpy.ops.toile.fabric_folder(directory=str(tmp_path / folder))
    assert preferences.wishes().fabrics == before
    assert bpy.ops.toile.fabric_folder(directory=str(tmp_path)) == {"FINISHED"}
    assert own_cloth.files() == [tmp_path / "curtain.toml"]
    assert bpy.ops.toile.own_cloth.poll()


def test_a_cloth_of_the_table_takes_the_own_ones_place(scene, tmp_path: Path) -> None:
    (tmp_path / "curtain.toml").write_text(OWN)
    own_cloth.choose(scene, tmp_path / "curtain.toml")
    scene.toile.fabric = "denim"
    assert workshop.fabric(scene) == FABRICS["denim"]


@pytest.mark.parametrize(
    ("text", "why"), [("weight = 3", "weight is not"), ("= 3", "not TOML"), (b"\xff\xfe", "cannot be")]
)
def test_a_cloth_that_cannot_be_is_told_and_nothing_changes(scene, tmp_path: Path, text: str | bytes, why: str) -> None:
    path = tmp_path / "bad.toml"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    preferences.wishes().fabrics = str(tmp_path)
    with pytest.raises(RuntimeError, match=why):
        bpy.ops.toile.own_cloth(cloth=str(path))
    assert workshop.fabric(scene) == FABRICS["lawn"]
