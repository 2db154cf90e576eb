"""The maker's own cloth in the window: saved from its figures, chosen, and never written over unasked; and pictures."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import bpy
import pytest

import addon
from addon import drapes, own_cloth, preferences, workshop
from addon.panels.cloth import likened
from drafting.cloth.fabric import FABRICS
from drafting.cloth.fabric_file import read_fabric

pytest_plugins = ("window_fixtures",)
FIGURES = dict(zip(own_cloth.FIELDS, ("100mm", "0.83", "32mm", "28mm", ""), strict=True))


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()


@pytest.fixture
def measured(scene, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> bpy.types.Scene:
    """A scene whose fields hold the figures of a lawn, with a folder for cloths."""
    monkeypatch.setattr(own_cloth, "folder", lambda: tmp_path / "cloths")
    for name, text in FIGURES.items():
        setattr(scene.toile, name, text)
    return scene


def test_saved_figures_are_a_file_that_reads_as_the_cloth_that_is_chosen(measured, tmp_path: Path) -> None:
    assert bpy.ops.toile.save_cloth(name="Blue lawn") == {"FINISHED"}
    path = tmp_path / "cloths" / "blue_lawn.toml"
    assert [*(tmp_path / "cloths").iterdir()] == [path]
    cloth = workshop.fabric(measured)
    assert cloth == read_fabric(path.read_text(encoding="utf-8"), "other")
    assert (cloth.name, cloth.warp_mm, cloth.weft_mm) == ("Blue lawn", 16.0, 14.0)
    assert cloth.mass_g_m2 == pytest.approx(83.0)
    assert own_cloth.files() == [path]


def test_a_name_that_is_taken_is_written_over_only_when_asked(measured, tmp_path: Path) -> None:
    bpy.ops.toile.save_cloth(name="lawn")
    before = (tmp_path / "cloths" / "lawn.toml").read_bytes()
    measured.toile.weighed_grams = "1.2"
    with pytest.raises(RuntimeError, match="already"):
        bpy.ops.toile.save_cloth(name="Lawn ")
    assert (tmp_path / "cloths" / "lawn.toml").read_bytes() == before
    assert workshop.fabric(measured).mass_g_m2 == pytest.approx(83.0)
    assert bpy.ops.toile.save_cloth(name="Lawn", replace=True) == {"FINISHED"}
    assert workshop.fabric(measured).mass_g_m2 == pytest.approx(120.0)


@pytest.mark.parametrize("name", ["", " .. ", "/"])
def test_a_name_of_no_letters_is_refused(measured, tmp_path: Path, name: str) -> None:
    with pytest.raises(RuntimeError, match="letters or figures"):
        bpy.ops.toile.save_cloth(name=name)
    assert not (tmp_path / "cloths").exists()
    assert workshop.fabric(measured) == FABRICS["lawn"]


def test_figures_that_give_no_cloth_grey_the_button_and_say_why(measured) -> None:
    measured.toile.overhang_warp = ""
    with pytest.raises(RuntimeError, match="overhang"):
        bpy.ops.toile.save_cloth(name="lawn")


def test_each_cloth_of_the_table_has_a_picture_and_all_are_small() -> None:
    files = [drapes.file_of(name) for name in FABRICS]
    assert sorted(files) == sorted(drapes.FOLDER.iterdir())
    assert sum(path.stat().st_size for path in files) < 300_000
    for path in files:
        image = bpy.data.images.load(str(path))
        assert tuple(image.size) == (drapes.SIDE, drapes.SIDE)
        bpy.data.images.remove(image)


def test_a_cloth_is_taken_by_its_picture(measured) -> None:
    assert bpy.ops.toile.take_cloth(cloth="denim") == {"FINISHED"}
    assert workshop.fabric(measured) == FABRICS["denim"]
    with pytest.raises(RuntimeError, match="not a cloth"):
        bpy.ops.toile.take_cloth(cloth="tin")


def test_without_a_folder_of_hers_cloths_go_into_blenders_own(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(preferences, "wishes", lambda: None)
    assert own_cloth.folder().parts[-2:] == ("pocket_toile", "cloths")


def test_a_repeat_is_likened_to_things_from_narrow_to_wide() -> None:
    """A sheet of A4 is 210 by 297 mm (ISO 216)."""
    assert "width of a sheet of A4" in likened(210.0)
    assert "height of a sheet of A4" in likened(297.0)
    assert len({likened(mm) for mm in (1.0, 8.0, 18.0, 45.0, 85.0, 210.0, 297.0, 900.0)}) == 8
