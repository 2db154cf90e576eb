"""The window's ways: what follows at once, what is kept, what is left alone, and work that can be stopped."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import bpy
import numpy as np
import pytest
from scene_content import content

import addon
from addon import (
    album,
    bridge,
    darkroom,
    fitting,
    jobs,
    keep,
    log,
    marks,
    papering,
    picturing,
    rack,
    road,
    session,
    shades,
    sheets,
    shelf,
    table,
    workshop,
)
from addon.commands.request import SAMPLE
from addon.drape import DrapeSettings, drape
from addon.operators.seen import SeenOperator
from addon.panels import tape
from addon.road import pattern_of
from addon.steps import Seen, Step, aside, finish, otherwise, within
from addon.studio.colour import cividis, paint, plain
from addon.studio.movie import movie
from drafting.body.doll import measure as measure_skin
from drafting.cloth.fabric import FABRICS, lined
from drafting.errors import DraftError
from drafting.fit.advice import Advice
from drafting.fit.fit import fit_record, read_fit
from drafting.fit.surface import read_surface
from drafting.garments import GARMENTS
from drafting.garments.options import read_options
from drafting.garments.styles import STYLES

ROBE = GARMENTS["robe"]
COARSE = DrapeSettings(14.0)
pytest_plugins = ("window_fixtures",)


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()  # a class left registered hangs some versions at exit


# What follows at once


def test_a_changed_option_lays_the_panels_anew(opened, body) -> None:
    workshop.draft(opened)
    opened.toile.options.sleeve_drop = "61mm"
    expected = pattern_of(body, ROBE, {"sleeve_drop": "61mm"})
    kept = session.get(opened, "pattern")
    for panel, other in zip(kept.panels, expected.panels, strict=True):
        np.testing.assert_array_equal(panel.outline, other.outline)
    (sleeve,) = [thing for thing in table.ours(opened, "panel") if thing.name.startswith("sleeve, cut 2")][:1]
    assert sleeve.data.vertices
    opened.toile.live = False
    opened.toile.options.sleeve_drop = "90mm"
    assert session.get(opened, "pattern") is kept


def test_the_draft_follows_the_cloth_that_is_chosen(opened) -> None:
    """How thick it is, its lining and what lies beneath; what the maker says of its thickness stands."""
    workshop.draft(opened)
    assert session.get(opened, "pattern").options["cloth_thickness"] == 0.3
    opened.toile.fabric, opened.toile.lining, opened.toile.under = "denim", "habotai", "voile"
    options = session.get(opened, "pattern").options
    thick = [FABRICS[name].thickness_mm for name in ("denim", "habotai", "voile")]
    assert (options["cloth_thickness"], options["cloth_beneath"]) == (thick[0] + thick[1], thick[2])
    for level in workshop.expected(opened):
        assert level.cloth_mm == pytest.approx(2 * np.pi * sum(thick))
        assert level.verdict == "fits"
    opened.toile.options.cloth_thickness = "0.4mm"
    opened.toile.fabric = "flannel"
    assert session.get(opened, "pattern").options["cloth_thickness"] == 0.4


def test_a_value_that_cannot_be_is_told_and_leaves_the_panels(opened) -> None:
    workshop.draft(opened)
    before, kept = content(), session.get(opened, "pattern")
    opened.toile.options.sleeve_drop = "3 apples"
    assert log.last(opened).wrong
    assert "Sleeve depth" in log.last(opened).text
    assert (content(), session.get(opened, "pattern")) == (before, kept)


def test_her_own_figure_stands_in_for_the_scans_and_the_draft_follows(opened, body) -> None:
    workshop.draft(opened)
    row = next(row for row in opened.toile.by_hand if row.name == "hip_girth")
    row.by_hand = "300mm"
    hers, scanned = session.get(opened, "body").measures["hip_girth"], body.measures["hip_girth"]
    assert (hers.mm, hers.level_mm) == (300.0, scanned.level_mm)
    np.testing.assert_array_equal(hers.path, scanned.path)
    assert session.get(opened, "pattern").measures["hip_girth"] == 300.0
    assert bpy.ops.toile.forget_tape(index=list(body.measures).index("hip_girth")) == {"FINISHED"}
    assert session.get(opened, "body").measures["hip_girth"].mm == scanned.mm
    assert session.get(opened, "pattern").measures["hip_girth"] == scanned.mm


def test_her_own_figures_are_marked_and_one_that_is_none_changes_nothing(opened, body) -> None:
    row = next(row for row in opened.toile.by_hand if row.name == "hip_girth")
    scanned = body.measures["hip_girth"].mm
    assert tape.sign_of(opened, row) == "NONE"
    row.by_hand = f"{2.0 * scanned:.1f}mm"
    assert tape.sign_of(opened, row) == "QUESTION"
    row.by_hand = f"{scanned + 0.5:.1f}mm"
    assert tape.sign_of(opened, row) == "USER"
    row.by_hand = "300mm"
    row.by_hand = "three apples"
    assert tape.sign_of(opened, row) == "ERROR"
    assert log.last(opened).wrong
    assert session.get(opened, "body").measures["hip_girth"].mm == 300.0
    with pytest.raises(RuntimeError, match="three apples"):
        bpy.ops.toile.measure()


def test_tapes_follow_a_point_that_was_moved_and_remember_it(opened, body) -> None:
    workshop.draft(opened)
    ball = next(thing for thing in table.ours(opened, "landmark") if thing[table.POINT] == "waist_front")
    ball.location.z += 0.006
    moved = workshop.moved_points(opened)
    assert list(moved) == ["waist_front"]
    ball.name = "renamed"
    assert bpy.ops.toile.measure() == {"FINISHED"}
    expected = measure_skin(body.skin, moved)
    kept = session.get(opened, "body")
    assert {name: one.mm for name, one in kept.measures.items()} == {n: one.mm for n, one in expected.measures.items()}
    assert kept.measures["waist_girth"].level_mm == pytest.approx(body.measures["waist_girth"].level_mm + 6.0, abs=0.01)
    assert session.has(opened, "pattern")  # drafted again by the new measures
    assert workshop.moved_points(opened) == {}
    np.testing.assert_allclose(workshop.given_points(opened)["waist_front"], moved["waist_front"])


def test_a_style_is_taken_as_the_command_line_takes_it(opened, body) -> None:
    opened.toile.options.sleeve_drop = "61mm"
    for style in STYLES.values():
        workshop.draft(opened)
        assert bpy.ops.toile.take_style(style=style.name) == {"FINISHED"}
        kept, expected = session.get(opened, "pattern"), pattern_of(body, ROBE, style.texts(body.height_mm))
        assert kept.rules == expected.rules
        assert kept.options == expected.options


def test_a_saved_preset_brings_all_options_back(opened) -> None:
    workshop.draft(opened)
    options = opened.toile.options
    options.sleeve_drop, options.fronts, options.overlap_joined = "77mm", "right over left", False
    assert bpy.ops.toile.save_preset(name="Summer") == {"FINISHED"}
    wanted = session.get(opened, "pattern").options
    assert bpy.ops.toile.clear_options() == {"FINISHED"}
    assert session.get(opened, "pattern").options != wanted
    (path,) = Path(bpy.utils.user_resource("SCRIPTS", path="presets/pocket_toile/robe")).glob("[Ss]ummer.py")
    assert bpy.ops.toile.take_preset(filepath=str(path)) == {"FINISHED"}
    assert session.get(opened, "pattern").options == wanted
    assert bpy.ops.toile.save_preset(name="Summer", remove_name=True) == {"FINISHED"}


# The fit


def test_reading_the_fit_equals_the_function_and_colours_the_robe(worn, body, draped) -> None:
    assert bpy.ops.toile.read_fit() == {"FINISHED"}
    pattern, fabric = session.get(worn, "pattern"), FABRICS[worn.toile.fabric]
    assert fit_record(session.get(worn, "fit")) == fit_record(read_fit(body, draped, pattern, ROBE, fabric, {}))
    (robe,) = table.ours(worn, "robe")
    surface = read_surface(draped.cloth, body.skin, fabric.thickness_mm)
    far = shades.widest(body.height_mm)
    for name, values in (("room", surface.gap_mm / far), ("pull", surface.stretch / shades.MOST_PULL)):
        worn.toile.picture = name
        assert robe.data.color_attributes.active_color.name == name
        held = np.zeros(4 * len(draped.cloth.vertices), dtype=np.float32)
        robe.data.color_attributes[name].data.foreach_get("color", held)
        np.testing.assert_allclose(held.reshape(-1, 4), paint(cividis(np.clip(values, 0.0, 1.0))), atol=1e-6)
        assert fitting.legend(worn).marks[-1][0] == 1.0
        assert fitting.legend(worn).title.startswith(f"{name.capitalize()}: ")
    assert fitting.legend(worn).marks[0][1] == "0 %"
    numbers = np.zeros(len(draped.cloth.vertices), dtype=np.float32)
    robe.data.attributes["room mm"].data.foreach_get("value", numbers)
    np.testing.assert_allclose(numbers, surface.gap_mm, atol=1e-4)
    worn.toile.picture = "plain"
    assert fitting.legend(worn) is None


def test_a_file_from_before_the_pictures_had_these_names_still_shows_them(worn) -> None:
    bpy.ops.toile.read_fit()
    (robe,) = table.ours(worn, "robe")
    for new, old in rack.OLD_NAMES.items():
        robe.data.color_attributes[new].name = old
        worn.toile.picture = new
        assert robe.data.color_attributes.active_color.name == old


def test_a_level_is_cut_through_and_hidden_again(worn) -> None:
    bpy.ops.toile.read_fit()
    assert bpy.ops.toile.show_level(level="hip") == {"FINISHED"}
    cut = fitting.section(worn)
    np.testing.assert_allclose(cut.skin[..., 2], session.get(worn, "body").measures["hip_girth"].level_mm)
    bpy.ops.toile.show_level(level="hip")
    assert fitting.section(worn) is None


def test_an_advice_changes_the_draft_and_the_fit_before_is_kept(worn, body) -> None:
    bpy.ops.toile.read_fit()
    fit = replace(
        session.get(worn, "fit"), advice=(Advice("sleeve_drop", -12.0, "Shallower."), Advice("fabric", 0.0, ""))
    )
    session.put(worn, "fit", fit)
    drop = next(rule.mm for rule in session.get(worn, "pattern").rules if rule.name == "sleeve_drop")
    with pytest.raises(RuntimeError, match="changes no option"):
        bpy.ops.toile.apply_advice(index=1)
    assert bpy.ops.toile.apply_advice(index=0) == {"FINISHED"}
    assert session.get(worn, "pattern").options["sleeve_drop"] == pytest.approx(drop - 12.0)
    assert session.get(worn, "earlier") is fit
    assert not session.has(worn, "drape")
    assert len(table.ours(worn, "robe")) == 1  # it hangs there until the next one is draped


def test_the_robe_before_is_kept_when_another_is_draped(worn, draped) -> None:
    (before,) = table.ours(worn, "robe")
    rack.lay_robe(worn, draped, workshop.cloth(worn))
    (now,), (kept,) = table.ours(worn, "robe"), table.ours(worn, "earlier")
    assert kept == before
    assert kept.hide_viewport
    assert bpy.ops.toile.show_before() == {"FINISHED"}
    assert (now.hide_viewport, kept.hide_viewport) == (True, False)
    bpy.ops.toile.show_before()
    assert (now.hide_viewport, kept.hide_viewport) == (False, True)
    rack.lay_robe(worn, draped, workshop.cloth(worn))
    assert table.ours(worn, "earlier") == [now]


def test_an_under_robe_lies_beneath_takes_room_and_goes_with_the_next_robe(worn, body, draped) -> None:
    """It is drafted as the command line does, shown in paler cloth, and read with the robe."""
    worn.toile.under = "voile"
    below = workshop.beneath(worn, session.get(worn, "pattern"))
    cloths = (workshop.fabric(worn), FABRICS["voile"])
    same = road.beneath_of(body, workshop.garment(), session.get(worn, "pattern"), cloths, {})
    assert {rule.name: rule.mm for rule in below.pattern.rules} == {rule.name: rule.mm for rule in same.pattern.rules}
    assert not marks.holds(worn, "drape"), "what was draped had no under-robe"
    under = replace(draped.cloth, vertices=draped.cloth.vertices * [0.9, 0.9, 1.0])
    both = replace(draped, under=under)
    session.put(worn, "drape", both)
    rack.lay_robe(worn, both, workshop.cloth(worn))
    (thing,) = table.ours(worn, "under")
    assert len(thing.data.vertices) == len(under.vertices)
    assert min(thing.color[k] - table.ours(worn, "robe")[0].color[k] for k in range(3)) > 0.1
    fit = fitting.fit(worn)
    assert [layer.name for layer in fit.layers] == ["under-robe", "robe", "sash"]
    assert all(level.beneath_mm == pytest.approx(2 * np.pi * 0.2) for level in fit.levels if level.ease_mm is not None)
    rack.lay_robe(worn, draped, workshop.cloth(worn))
    assert not table.ours(worn, "under")


def test_a_lining_is_part_of_the_cloth(worn) -> None:
    plain = workshop.fabric(worn)
    worn.toile.lining = "habotai"
    assert workshop.fabric(worn) == lined(plain, FABRICS["habotai"])
    assert not marks.holds(worn, "drape")


def test_printed_cloth_lies_at_its_true_width(worn, draped, tmp_path) -> None:
    tile = np.zeros((20, 40, 4), dtype=np.uint8)
    bridge.save_png(tile, tmp_path / "print.png")
    worn.toile.printed = str(tmp_path / "print.png")
    (robe,) = table.ours(worn, "robe")
    assert "print" not in robe.data.uv_layers  # it waits for its width
    worn.toile.printed_width = "80mm"
    assert worn.toile.picture == "print"
    uv = bridge.read_corner_uv(robe.data, "print")
    left = np.array([name.endswith(".left") for name in draped.cloth.pieces])[draped.cloth.piece]
    np.testing.assert_allclose(uv[left], (draped.cloth.flat / [80.0, 40.0])[left], atol=1e-5)


# Long work


def test_a_drape_that_is_stopped_leaves_the_scene_as_it_was(worn, body) -> None:
    before = content()
    worn.toile.edge = "14mm"
    for steps in (1, 12):
        job = jobs.start("drape", workshop.draping(worn))
        while job.last.seen is None or steps > 1:
            job.step()
            steps -= job.last.seen is not None
        assert job.last.seen.cloth.shape[1] == 3
        assert job.last.seen.skin.shape == body.skin.vertices.shape
        assert bpy.ops.toile.stop() == {"FINISHED"}
        assert content() == before
    assert not bpy.ops.toile.stop.poll()


def test_buttons_wait_while_work_goes_on(opened) -> None:
    jobs.start("doll", iter_forever())
    jobs.current().step()
    with pytest.raises(RuntimeError, match="Wait or stop first: sewing"):
        bpy.ops.toile.draft()
    jobs.stop()
    assert bpy.ops.toile.draft() == {"FINISHED"}


def iter_forever() -> Iterator[Step]:
    while True:
        yield Step("sewing", 0.25)


def test_opening_a_file_in_the_middle_of_a_drape_is_safe(worn, tmp_path) -> None:
    worn.toile.edge = "14mm"
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "a.blend"))
    job = jobs.start("drape", workshop.draping(worn))
    while job.last.seen is None:
        job.step()
    assert "drape" in bpy.data.scenes
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "a.blend"))
    assert jobs.current() is None
    assert [scene.name for scene in bpy.data.scenes] == ["Scene"]
    assert job.work.gi_frame is None


def test_a_file_that_was_saved_in_the_middle_of_a_drape_opens_without_it(worn, tmp_path) -> None:
    worn.toile.edge = "14mm"
    bpy.data.meshes.new("hers")  # what nobody uses is not ours to take
    before = content()
    job = jobs.start("drape", workshop.draping(worn))
    while job.last.seen is None:
        job.step()
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "quit.blend"), copy=True)
    jobs.stop()
    assert content() == before
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "quit.blend"))
    assert not [scene for scene in bpy.data.scenes if scene.get(bridge.ROOM)]
    after = content()
    assert {kind: after[kind] for kind in ("scenes", "collections", "objects", "actions", "shape_keys")} == {
        kind: before[kind] for kind in ("scenes", "collections", "objects", "actions", "shape_keys")
    }


def test_the_time_left_is_the_share_left_over_the_pace() -> None:
    moments = iter(np.arange(0.0, 50.0, 0.5))
    clock = jobs.Clock(lambda: float(next(moments)))
    left = [clock.left(0.01 * k) for k in range(1, 30)]
    assert left[:2] == [None, None]
    assert left[-1] == pytest.approx((1.0 - 0.29) * 0.5 / 0.01)
    # Where nothing advances the seconds run down, to nothing at the least.
    assert clock.left(0.29) == pytest.approx(left[-1] - 0.5)
    assert [clock.left(0.29) for _ in range(60)][-1] >= 0.0


def test_a_time_is_told_in_seconds_and_then_in_minutes() -> None:
    assert [jobs.in_words(seconds) for seconds in (0.4, 89.0, 90.0, 425.0)] == ["0 s", "89 s", "2 min", "7 min"]


def test_no_time_is_told_for_work_that_does_not_say_how_far_it_is() -> None:
    moments = iter(np.arange(0.0, 50.0, 0.5))
    clock = jobs.Clock(lambda: float(next(moments)))
    assert {clock.left(0.2) for _ in range(60)} == {None}


def test_work_aside_brings_its_value_or_its_error_and_work_within_its_share() -> None:
    assert finish(aside("x", 0.3, lambda: 7)) == 7

    def wrong() -> None:
        raise DraftError("too narrow")

    with pytest.raises(DraftError, match="too narrow"):
        finish(aside("x", 0.0, wrong))

    closed = []

    def work() -> Iterator[Step]:
        try:
            yield Step("a", 0.5)
            return "value"
        finally:
            closed.append(True)

    told: list[Step] = []
    assert finish(within(work(), 0.2, 0.6, "90mm: "), told.append) == "value"
    assert told == [Step("90mm: a", 0.4)]
    half = within(work(), 0.0, 1.0)
    next(half)
    half.close()
    assert closed == [True, True]


def test_the_share_never_runs_back_where_work_is_tried_in_a_second_way() -> None:
    closed = []

    def tries(shares: tuple[float, ...], fails: bool) -> Iterator[Step]:
        try:
            for share in shares:
                yield Step("sewing", share)
            if fails:
                raise DraftError("too tight")
            return "value"
        finally:
            closed.append(True)

    told: list[Step] = []
    work = otherwise(tries((0.0, 0.4, 0.3), True), DraftError, lambda: tries((0.0, 0.5, 1.0), False), "again: ")
    assert finish(work, told.append) == "value"
    assert [step.share for step in told] == pytest.approx([0.0, 0.4, 0.4, 0.4, 0.7, 1.0])
    assert [step.stage for step in told] == ["sewing"] * 3 + ["again: sewing"] * 3
    assert closed == [True, True]
    with pytest.raises(DraftError, match="too tight"):
        finish(otherwise(tries((0.1,), True), DraftError, lambda: tries((0.1,), True)))
    assert finish(otherwise(tries((0.1,), False), DraftError, lambda: tries((), True))) == "value"
    half = otherwise(tries((0.1, 0.2), True), DraftError, lambda: tries((), True))
    next(half)
    half.close()
    assert len(closed) == 6


@pytest.mark.drape
def test_a_robe_that_is_far_too_small_is_tried_twice_and_its_progress_never_runs_back(body) -> None:
    small = {name: 0.72 * measure.mm for name, measure in body.measures.items()}
    work = drape(body, ROBE.draft(small, read_options(ROBE, {"ease": "0mm"})), ROBE, FABRICS["poplin"], COARSE)
    told = []
    for step in work:
        told.append(step)
        if step.stage == "once more: dressing the doll":
            break
    work.close()
    shares = [step.share for step in told]
    assert told[-1].stage.startswith("once more: ")
    assert shares == sorted(shares)
    assert shares[-1] < 1.0


def test_a_drape_shows_the_doll_that_it_dresses(body) -> None:
    work = drape(body, pattern_of(body, ROBE, {}), ROBE, FABRICS["lawn"], COARSE)
    seen = next(step.seen for step in iter(lambda: next(work), None) if step.seen is not None)
    assert seen.skin_faces is body.skin.faces
    assert seen.cloth_faces.max() == len(seen.cloth) - 1
    assert np.ptp(seen.skin[:, 1]) > 0.9 * np.ptp(body.skin.vertices[:, 1]), "never flat, as in a folded garment"
    work.close()


def test_the_doll_is_hidden_only_while_another_picture_of_her_is_there(worn, body) -> None:
    picture = Seen(*worn_mesh(worn), body.skin.vertices, body.skin.faces)
    steps = iter([Step("cutting the cloth", 0.0), Step("tying the sash", 0.2, picture)])
    work = SeenOperator()
    work._scene, work._timer, work._job = worn, None, jobs.start("drape", steps)
    bpy.context.view_layer.update()
    shown = visible(worn)
    assert any(thing.get(table.MARK) == "doll" for thing in shown)
    work._job.step()
    work.show_work(bpy.context)
    assert visible(worn) == shown
    work._job.step()
    assert work._job.shown is None, "she would be seen twice"
    work.show_work(bpy.context)
    assert work._job.shown is picture
    assert not [thing for thing in visible(worn) if thing[table.MARK] in {"doll", "robe"}]
    jobs._going.clear()  # as at the work's end
    work.leave(bpy.context)
    assert visible(worn) == shown


def visible(scene: bpy.types.Scene) -> list[bpy.types.Object]:
    return [thing for thing in table.ours(scene) if not thing.hide_get()]


def worn_mesh(scene: bpy.types.Scene):
    cloth = session.get(scene, "drape").cloth
    return cloth.vertices, cloth.faces


def test_tapes_hide_beneath_the_cloth_and_come_back(opened, draped) -> None:
    def tapes() -> set[bool]:
        return {tape.hide_viewport for tape in table.ours(opened, "tape")}

    assert tapes() == {False}
    bpy.ops.toile.draft()
    session.put(opened, "drape", draped)
    rack.lay_robe(opened, draped, workshop.cloth(opened))
    assert tapes() == {True}
    bpy.ops.toile.tapes()
    assert tapes() == {False}
    table.lay_tape(opened, session.get(opened, "body"))
    assert tapes() == {True}, "measured anew beneath the cloth"
    opened.toile.height = "400mm"
    bpy.ops.toile.measure()  # another doll wears nothing yet
    assert tapes() == {False}


# Other scenes


def test_all_is_found_again_after_saving_under_other_names_and_hidden(worn, tmp_path) -> None:
    bpy.ops.toile.read_fit()
    for number, thing in enumerate(table.ours(worn)):
        thing.name = f"thing {number}"
        thing.hide_set(True)
    worn.toile.options.sleeve_drop = "70mm"
    count = {role: len(table.ours(worn, role)) for role in table.ON_DOLL}
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "a.blend"))
    session._living.clear()
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "a.blend"))
    scene = bpy.context.scene
    assert {role: len(table.ours(scene, role)) for role in table.ON_DOLL} == count
    assert session.get(scene, "earlier").verdict
    assert bpy.ops.toile.draft() == {"FINISHED"}
    assert {role: len(table.ours(scene, role)) for role in table.ON_DOLL} == count
    assert session.get(scene, "pattern").options["sleeve_drop"] == 70.0


def test_bytes_made_ahead_are_those_that_are_kept(scene, body) -> None:
    session.ahead(body)
    session.put(scene, "scanned", body)
    session.put(scene, "body", replace(body, missing=("made",)))
    assert bytes(scene["toile_scanned"]) == keep.pack(body)
    assert bytes(scene["toile_body"]) == keep.pack(replace(body, missing=("made",)))


@pytest.mark.parametrize("unit", [1.0, 0.001, 0.0254])
def test_the_doll_is_true_to_size_in_any_unit(scene, body, draped, unit: float) -> None:
    scene.unit_settings.scale_length = unit
    scene.frame_start, scene.frame_end, scene.frame_current = 40, 60, 50
    workshop._on_the_table(scene, body, body, {})
    workshop.draft(scene)
    rack.lay_robe(scene, draped, workshop.cloth(scene))
    bpy.context.view_layer.update()
    for role in ("doll", "robe"):
        (thing,) = table.ours(scene, role)
        corners = np.array([thing.matrix_world @ vertex.co for vertex in thing.data.vertices])
        expected = body.skin.vertices if role == "doll" else draped.cloth.vertices
        np.testing.assert_allclose(np.ptp(corners[:, 2]) * unit, np.ptp(expected[:, 2]) / 1000.0, rtol=1e-5)
    assert scene.frame_current == 50


def test_nothing_else_is_touched(opened, tmp_path) -> None:
    """Neither objects of the maker's own in our collection, nor ours that are linked from another file."""
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "doll.blend"), copy=True)
    with bpy.data.libraries.load(str(tmp_path / "doll.blend"), link=True) as (_, here):
        here.collections = ["Pocket Toile"]
    opened.collection.children.link(here.collections[0])
    own = bpy.data.objects.new("hers", bpy.data.meshes.new("hers"))
    table.collection(opened).objects.link(own)
    linked = {thing.name_full for thing in here.collections[0].all_objects}
    assert linked
    bpy.ops.toile.draft()
    table.clear(opened, table.ON_DOLL)
    assert own.name in bpy.data.objects
    assert {thing.name_full for thing in here.collections[0].all_objects} == linked


def test_two_dolls_keep_their_own_settings_and_results(worn, body) -> None:
    scene = worn
    scene.toile.options.sleeve_drop = "66mm"
    row = next(row for row in scene.toile.by_hand if row.name == "hip_girth")
    row.by_hand = "280mm"
    first, wanted = session.get(scene, "pattern"), shelf.settings_of(scene)
    assert bpy.ops.toile.another_doll() == {"FINISHED"}
    assert not any(session.has(scene, step) for step in session.STEPS)
    assert scene.toile.options.sleeve_drop == ""
    workshop._on_the_table(scene, body, body, {})
    bpy.ops.toile.draft()
    second = session.get(scene, "pattern")
    assert second.options["sleeve_drop"] is None
    bpy.context.view_layer.update()
    dolls = [thing for thing in bpy.data.objects if thing.get(table.MARK) == "doll"]
    assert abs(dolls[0].location.x - dolls[1].location.x) > body.height_mm / 1000.0
    (other,) = shelf.dolls(scene)
    assert bpy.ops.toile.take_up(doll=other.name) == {"FINISHED"}
    assert session.get(scene, "pattern") is first
    assert shelf.settings_of(scene) == wanted
    (other,) = shelf.dolls(scene)
    bpy.ops.toile.take_up(doll=other.name)
    assert session.get(scene, "pattern") is second


# Results


def test_pictures_from_the_other_blender_are_the_same(worn) -> None:
    worn.toile.shots, worn.toile.size = "turntable", 64
    worn.toile.shape, worn.toile.backdrop, worn.toile.plain_form = "portrait", "slate", True
    order = replace(picturing.order_of(worn), frames=1, film=False)
    before = content()
    here, there = finish(order.shots()), finish(darkroom.sent_out(order))
    assert sorted(here) == sorted(there) == ["turn_001.png"]
    assert here == there
    assert content() == before


def test_frames_become_a_film_of_their_size_and_number(tmp_path) -> None:
    shades = (40, 90, 140, 190, 240)
    frames = {f"turn_{k:03d}.png": album.png(plain(121, 90, (shade / 255.0,) * 3)) for k, shade in enumerate(shades)}
    before = content()
    made = movie(frames, 121, 90)
    if made is None:
        pytest.skip("this Blender was built without an encoder")
    (tmp_path / "turn.mp4").write_bytes(made)
    clip = bpy.data.movieclips.load(str(tmp_path / "turn.mp4"))
    assert (clip.frame_duration, tuple(clip.size)) == (len(shades), (120, 90))
    bpy.data.movieclips.remove(clip)
    assert content() == before


def test_the_size_chart_is_the_measures_own(opened, body, tmp_path) -> None:
    opened.toile.folder, opened.toile.shots = str(tmp_path), "chart"
    made = picturing.pictures(opened)
    assert {path.name: path.read_bytes() for path in made} == {
        name: data.encode() if isinstance(data, str) else data for name, data in picturing.chart(body, "mm").items()
    }


def test_pictures_that_are_stopped_end_the_other_blender(worn) -> None:
    work = darkroom.sent_out(picturing.order_of(worn))
    next(work)
    other = work.gi_frame.f_locals["other"]
    folder = work.gi_frame.f_locals["folder"]
    while not any(folder.glob("blender_*")):  # its temporary files lie there too, and go with the folder
        next(work)
    work.close()
    assert other.returncode is not None
    assert not folder.exists()


def test_the_other_blender_ends_when_nobody_waits_for_it(worn, tmp_path, monkeypatch) -> None:
    """The window was killed: the system gives its child another parent."""
    (tmp_path / darkroom.ORDER).write_bytes(darkroom.packed(picturing.order_of(worn)))
    parents = iter((1, 1))
    monkeypatch.setattr(darkroom.os, "getppid", lambda: next(parents, 0))
    darkroom.serve(str(tmp_path))
    assert {path.name for path in tmp_path.iterdir()} == {darkroom.ORDER, darkroom.TOLD}


def test_the_pattern_is_written_as_the_function_makes_it(opened, tmp_path) -> None:
    workshop.draft(opened)
    opened.toile.folder, opened.toile.page = str(tmp_path), "A3"
    assert bpy.ops.toile.paper() == {"FINISHED"}
    pattern = session.get(opened, "pattern")
    made = papering.sheets(SAMPLE.stem, pattern, "A3", papering.spread(opened), "mm")
    assert {path.name for path in tmp_path.iterdir()} == set(made)
    assert (tmp_path / "pattern.svg").read_text() == made["pattern.svg"]
    assert (tmp_path / "layout.svg").read_text() == made["layout.svg"]


@pytest.mark.parametrize(
    ("outline", "dash"), [([[0, 0], [40, 0], [40, 9], [0, 9]], (6.0, 3.0)), ([[0, 0], [5, 0], [0, 5]], (6.0, 3.0))]
)
def test_dashes_begin_and_end_at_every_corner_and_leave_a_third_free(outline, dash) -> None:
    points = np.array(outline, dtype=float)
    runs = np.array(sheets.dashes(points, dash))
    for corner in points:
        assert (np.linalg.norm(runs.reshape(-1, 2) - corner, axis=1) < 1e-9).sum() >= 2
    drawn = np.linalg.norm(runs[:, 1] - runs[:, 0], axis=1).sum()
    sides = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    long = sides > sum(dash)
    assert drawn == pytest.approx(sides[~long].sum() + sides[long].sum() * dash[0] / sum(dash))


def test_kept_values_of_the_road_survive_as_bytes(draped, body) -> None:
    order = darkroom.Order("fit", body, (draped,), workshop.Cloth((0.1, 0.2, 0.3)), 64)
    again = darkroom.unpacked(darkroom.packed(order))
    assert keep.pack(again.draped) == keep.pack(order.draped)
    assert (again.kind, again.size, again.setting, again.cloth) == (order.kind, 64, order.setting, order.cloth)
