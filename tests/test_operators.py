"""The window's buttons do what the plain functions do, say why they cannot, and leave nothing of ours behind."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import bpy
import numpy as np
import pytest

import addon
from addon import bridge, keep, session, sheets, table, workshop
from addon.commands.request import SAMPLE, SAMPLE_HEIGHT_MM
from addon.properties import option_texts
from addon.road import body_of, pattern_of
from addon.steps import finish
from drafting.garments import GARMENTS
from drafting.paper.layout_pieces import cut_lines

ROBE = GARMENTS["robe"]


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()  # a class left registered hangs some versions at exit


@pytest.fixture
def scene() -> bpy.types.Scene:
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    return bpy.context.scene


@pytest.fixture(scope="module")
def body():
    return body_of(SAMPLE, height_mm=SAMPLE_HEIGHT_MM)


def roles(scene: bpy.types.Scene) -> list[str]:
    return sorted(thing[table.MARK] for thing in table.collection(scene).all_objects)


def test_a_button_that_cannot_work_says_why(scene) -> None:
    for name, why in (("measure", "Open a doll first"), ("draft", "Open a doll first"), ("drape", "Open a doll first")):
        operator = getattr(bpy.ops.toile, name)
        assert not operator.poll()
        with pytest.raises(RuntimeError, match=why):
            operator()


def test_the_sample_doll_stands_on_the_table_true_to_size(scene, body) -> None:
    scene.toile.height = "42cm"
    assert bpy.ops.toile.open_scan(filepath=str(SAMPLE)) == {"FINISHED"}
    (doll,) = [thing for thing in table.collection(scene).all_objects if thing[table.MARK] == "doll"]
    vertices = bridge.read_vertices(doll.data)
    np.testing.assert_allclose(vertices, body.skin.vertices / 1000.0, atol=1e-6)
    assert np.ptp(vertices[:, 2]) == pytest.approx(0.42, abs=1e-4)


def test_operators_equal_functions(scene, body) -> None:
    scene.toile.height = "42cm"
    bpy.ops.toile.open_scan(filepath=str(SAMPLE))
    bpy.ops.toile.measure()
    scene.toile.options.sleeve_drop = "90mm"
    bpy.ops.toile.draft()
    kept = session.get(scene, "body")
    assert {name: measure.mm for name, measure in kept.measures.items()} == {
        name: measure.mm for name, measure in body.measures.items()
    }
    drafted, expected = session.get(scene, "pattern"), pattern_of(body, ROBE, {"sleeve_drop": "90mm"})
    assert drafted.options == expected.options
    for panel, other in zip(drafted.panels, expected.panels, strict=True):
        np.testing.assert_array_equal(panel.outline, other.outline)


def test_untouched_settings_are_the_garments_defaults(scene) -> None:
    for option in ROBE.options:
        value = getattr(scene.toile.options, option.name)
        assert option.name in option_texts(scene.toile) or (option.default is None and value == "")


def test_panels_lie_beside_the_doll_apart_and_at_true_size(scene, body) -> None:
    pattern = pattern_of(body, ROBE, {})
    table.lay_doll(scene, body)
    sheets.lay_panels(scene, body, pattern)
    cut = cut_lines(pattern)
    papers = [thing for thing in table.ours(scene, "panel") if thing.type == "MESH" and ", cut " in thing.name]
    assert len(papers) == len(pattern.panels)
    boxes = []
    for sheet, panel in zip(
        sorted(papers, key=lambda s: s.name), sorted(pattern.panels, key=lambda p: p.name), strict=True
    ):
        flat = bridge.read_vertices(sheet.data)[:, [0, 2]]
        corners = flat[bridge.read_triangles(sheet.data)]
        (ax, ay), (bx, by) = np.moveaxis(np.diff(corners, axis=1), 0, -1)
        x, y = cut[panel.name].T
        shoelace = 0.5 * np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))
        assert 0.5 * (ax * by - ay * bx).sum() * 1e6 == pytest.approx(shoelace, rel=1e-4)  # counter-clockwise too
        boxes.append((flat.min(axis=0), flat.max(axis=0)))
    widest = body.skin.vertices[:, 0].max() / 1000.0
    assert all(low[0] > widest for low, _ in boxes)
    for index, (low, high) in enumerate(boxes):
        for other_low, other_high in boxes[index + 1 :]:
            assert (high <= other_low + 1e-9).any() or (other_high <= low + 1e-9).any()


def test_a_wrong_option_is_reported_and_changes_nothing(scene) -> None:
    scene.toile.height = "42cm"
    bpy.ops.toile.open_scan(filepath=str(SAMPLE))
    bpy.ops.toile.draft()
    before = roles(scene), session.get(scene, "pattern")
    scene.toile.options.sleeve_drop = "3 apples"
    with pytest.raises(RuntimeError, match="Sleeve depth"):
        bpy.ops.toile.draft()
    assert (roles(scene), session.get(scene, "pattern")) == before


def test_a_scan_that_is_none_is_reported(scene, tmp_path: Path) -> None:
    bad = tmp_path / "bad.stl"
    bad.write_text("no scan at all")
    with pytest.raises(RuntimeError, match="Error"):
        bpy.ops.toile.open_scan(filepath=str(bad))
    assert session.get(scene, "body") is None


def test_a_new_step_makes_later_ones_void(scene, body) -> None:
    for step in session.STEPS:
        session.put(scene, step, body.measures["hip_girth"])
    assert session.get(scene, "fit") is not None
    session.put(scene, "pattern", body.measures["hip_girth"])
    assert [session.get(scene, step) is not None for step in session.STEPS] == [True, True, False, False]


def test_a_saved_file_goes_on_where_it_was(scene, body, tmp_path: Path) -> None:
    session.put(scene, "body", body)
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "a.blend"))
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    session._living.clear()
    assert session.get(bpy.context.scene, "body") is None
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "a.blend"))
    kept = session.get(bpy.context.scene, "body")
    np.testing.assert_array_equal(kept.skin.vertices, body.skin.vertices)
    assert kept.measures.keys() == body.measures.keys()


def test_what_is_kept_is_the_same(body) -> None:
    pattern = pattern_of(body, ROBE, {})
    for value in (body, pattern):
        again = keep.unpack(keep.pack(value))
        assert keep.pack(again) == keep.pack(value)
    assert again.options == pattern.options
    assert again.seams == pattern.seams
    assert again.ties == pattern.ties


@pytest.mark.parametrize("data", [b"", b"PK", b"not a zip at all"])
def test_damaged_bytes_are_an_error_of_ours(data: bytes) -> None:
    with pytest.raises(keep.KeptError):
        keep.unpack(data)


def test_only_draftings_own_types_come_out_of_kept_bytes() -> None:
    with pytest.raises(KeyError):
        keep._kind("subprocess", "Popen")
    with pytest.raises(KeyError):
        keep._kind("drafting.files", "write_files")


@pytest.fixture(scope="module")
def draped_scene(body):
    """A drape through the operators."""
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    scene = bpy.context.scene
    scene.toile.height, scene.toile.edge = "42cm", "6mm"
    bpy.ops.toile.open_scan(filepath=str(SAMPLE))
    bpy.ops.toile.draft()
    assert bpy.ops.toile.drape() == {"FINISHED"}
    bpy.ops.toile.read_fit()
    return scene


@pytest.mark.drape
def test_the_robe_lies_on_the_doll(draped_scene) -> None:
    scene = draped_scene
    draped = session.get(scene, "drape")
    (robe,) = [thing for thing in table.collection(scene).all_objects if thing[table.MARK] == "robe"]
    np.testing.assert_allclose(bridge.read_vertices(robe.data), draped.cloth.vertices / 1000.0, atol=1e-6)
    flat = bridge.read_corner_uv(robe.data, "flat")
    np.testing.assert_allclose(flat, draped.cloth.flat / 1000.0, atol=1e-6)
    assert draped.edge_mm == 6.0
    assert session.get(scene, "fit").vertices == len(draped.cloth.vertices)


@pytest.mark.drape
def test_pictures_need_a_folder_and_fill_it(draped_scene, tmp_path: Path) -> None:
    draped_scene.toile.folder = ""
    with pytest.raises(RuntimeError, match="Choose a folder"):
        bpy.ops.toile.pictures()
    draped_scene.toile.folder, draped_scene.toile.size = str(tmp_path / "pictures"), 256
    assert bpy.ops.toile.pictures() == {"FINISHED"}
    assert {"front.png", "back.png", "side.png", "room.png"} <= {
        path.name for path in (tmp_path / "pictures").iterdir()
    }


def test_a_drape_that_is_stopped_leaves_the_file_as_it_was(scene, body) -> None:
    scene.toile.height, scene.toile.edge = "42cm", "6mm"
    bpy.ops.toile.open_scan(filepath=str(SAMPLE))
    bpy.ops.toile.draft()
    before = {kind.name: len(getattr(bpy.data, kind.identifier)) for kind in collections()}
    work = workshop.draping(scene)
    steps = [next(work) for _ in range(3)]
    assert all(0.0 <= step.share < 1.0 for step in steps)
    work.close()
    assert {kind.name: len(getattr(bpy.data, kind.identifier)) for kind in collections()} == before
    assert session.get(scene, "drape") is None
    assert "robe" not in roles(scene)


def collections() -> list:
    return [rna for rna in bpy.data.bl_rna.properties if rna.type == "COLLECTION"]


def test_finish_runs_a_generator_to_its_value() -> None:
    def work():
        yield "a"
        yield "b"
        return "value"

    said: list[str] = []
    assert finish(work(), said.append) == "value"
    assert said == ["a", "b"]
