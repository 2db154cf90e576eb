"""The window's manners: what is greyed says why, a step is undone as one, and stopped work leaves nothing behind."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace

import bpy
import numpy as np
import pytest
from scene_content import content

import addon
from addon import (
    asked,
    bridge,
    comparing,
    fitting,
    jobs,
    log,
    marks,
    picturing,
    properties,
    rack,
    session,
    shelf,
    signpost,
    table,
    workshop,
)
from addon.operators import CLASSES, turning
from addon.operators.edge import LongOperator
from addon.operators.seen import SeenOperator
from addon.panels.base import filled, lines_in, lines_of
from addon.steps import Seen, Step
from addon.turns import Turns
from addon.words import OURS as OURS_CONTEXT
from drafting.errors import OptionError
from drafting.fit.advice import Advice
from drafting.fit.surface import read_surface
from drafting.units import format_length

pytest_plugins = ("window_fixtures",)
IMPORT_HELPERS = {"filepath", "check_existing", "filter_glob", "name", "remove_name", "remove_active", "menu_idname"}
IMPORT_HELPERS |= {"directory", "filter_folder"}
OURS = [cls for cls in CLASSES if issubclass(cls, bpy.types.Operator)]


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()


@pytest.fixture
def compared(worn, draped) -> bpy.types.Scene:
    """All that a scene can hold: a fit with advice, variants, and a robe before this one."""
    bpy.ops.toile.read_fit()
    fit = replace(session.get(worn, "fit"), advice=(Advice("sleeve_drop", -12.0, "Shallower."),))
    session.put(worn, "fit", fit)
    worn.toile.vary, worn.toile.values, worn.toile.edge = "sleeve_drop", "60mm, 90mm", ""
    with marks.made(worn, "compare"):
        session.put(worn, "compared", ("sleeve_drop", (("60mm", draped, fit), ("90mm", draped, fit))))
        comparing.stand(worn)
    rack.lay_robe(worn, draped, workshop.cloth(worn))
    return worn


def kept() -> dict[str, object]:
    """All that a scene of ours is: what the file holds, what the road keeps, and what is set."""
    scene = bpy.context.scene
    steps = (*session.STEPS, *session.BESIDE)
    return {**content(), **{step: session.token(scene, step) for step in steps}, "set": shelf.settings_of(scene)}


# What is greyed


@pytest.mark.parametrize("state", ["scene", "opened", "worn"])
def test_every_button_that_is_greyed_says_why(state: str, request: pytest.FixtureRequest) -> None:
    request.getfixturevalue(state)
    greyed = 0
    for cls in OURS:
        operator = getattr(bpy.ops.toile, cls.bl_idname.partition(".")[2])
        if operator.poll():
            continue
        greyed += 1
        with pytest.raises(RuntimeError) as told:
            operator()
        why = str(told.value).partition("poll()")[2].partition("\n")[0].strip()
        assert len(why) > 10, f"{cls.bl_idname} does not say why"
        assert "context is incorrect" not in why
    assert greyed


def test_every_button_waits_while_work_goes_on(worn) -> None:
    jobs.start("drape", workshop.draping(worn))
    going = {
        "toile.stop",
        "toile.rule",
        "toile.save_preset",
        "toile.told",
        "toile.list",
        "toile.help",
    }  # they end the work, tell, and change nothing of a scene
    assert not [
        cls.bl_idname
        for cls in OURS
        if cls.bl_idname not in going and getattr(bpy.ops.toile, cls.bl_idname.partition(".")[2]).poll()
    ]
    jobs.stop()


def test_every_button_has_a_tooltip(scene) -> None:
    del scene
    assert not [cls.bl_idname for cls in OURS if not cls.__doc__]
    fields = [prop for group in properties.CLASSES for prop in group.bl_rna.properties if not prop.is_hidden]
    silent = {prop.identifier for prop in fields if prop.type not in {"POINTER", "COLLECTION"} and not told(prop)}
    folds = {*(name for name in properties.TOILE_PG_folds.__annotations__)}
    assert silent - folds == {"name", "stage", "share"}  # read by the list and the progress bar, shown nowhere


def told(prop: bpy.types.Property) -> bool:
    """Whether a field says what it is; a menu may say it of each of its items."""
    return bool(prop.description) or (prop.type == "ENUM" and all(item.description for item in prop.enum_items))


# Another language


def test_no_word_of_ours_is_translated_as_one_of_blenders(scene, root) -> None:
    """Else the ease of a robe is "Vereinfachen" in a German window, and a fit is "Einpassen"."""
    del scene
    assert {cls.bl_rna.translation_context for cls in (*OURS, bpy.types.TOILE_PT_road)} == {OURS_CONTEXT}
    operators = [getattr(bpy.ops.toile, cls.bl_idname.partition(".")[2]).get_rna_type() for cls in OURS]
    groups = [*(cls.bl_rna for cls in properties.CLASSES), *operators]
    fields = [prop for group in groups for prop in group.properties if told(prop)]
    others = {prop.identifier for prop in fields if prop.translation_context != OURS_CONTEXT}
    assert others <= {"rna_type", *IMPORT_HELPERS}
    calls = [
        (path.name, call.lineno, {word.arg: word.value for word in call.keywords})
        for path in (root / "addon" / "panels").glob("*.py")
        for call in ast.walk(ast.parse(path.read_text()))
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute) and call.func.attr in {"label", "menu"}
    ]
    assert len(calls) > 20
    assert [
        (name, line) for name, line, words in calls if getattr(words.get("translate"), "value", None) is not False
    ] == []


# Undo


UNDONE = (
    ("draft", {}),
    ("measure", {}),
    ("points", {}),
    ("tapes", {}),
    ("read_fit", {}),
    ("show_level", {"level": "hip"}),
    ("apply_advice", {"index": 0}),
    ("take_variant", {"index": 0}),
    ("clear_variants", {}),
    ("show_before", {}),
    ("clear_options", {}),
    ("another_doll", {}),
)


@pytest.mark.parametrize(("name", "words"), UNDONE)
def test_a_step_is_undone_as_one(compared, name: str, words: dict[str, object]) -> None:
    if name == "clear_options":
        compared.toile.live = False
        compared.toile.options.sleeve_drop = "77mm"
    bpy.ops.ed.undo_push(message="before")
    before = kept()
    assert getattr(bpy.ops.toile, name)("EXEC_DEFAULT", True, **words) == {"FINISHED"}
    after = kept()
    assert after != before
    bpy.ops.ed.undo()
    assert kept() == before
    bpy.ops.ed.redo()
    assert kept() == after


# What else the maker does meanwhile


class Worked(SeenOperator):
    """Work that says in which scene it ends."""

    def report(self, *_):
        """As Blender's own."""

    def done(self, context, _value):
        """The scene's name."""
        return context.scene.name


@pytest.fixture
def working(worn, body) -> Iterator[Worked]:
    """A piece of work in the middle, with a picture of itself."""
    picture = Seen(*worn_mesh(worn), body.skin.vertices, body.skin.faces)
    work = Worked()
    work._scene, work._timer, work._turns = worn, None, Turns()
    work._job = jobs.start("drape", iter([Step("hanging", 0.5, picture)]))
    work._job.step()
    yield work
    jobs._going.clear()


def worn_mesh(scene: bpy.types.Scene):
    cloth = session.get(scene, "drape").cloth
    return cloth.vertices, cloth.faces


def test_work_ends_in_the_scene_in_which_it_was_begun(working, worn) -> None:
    bpy.context.view_layer.update()
    shown = [thing for thing in table.ours(worn) if thing.visible_get()]
    working.show_work(bpy.context)
    assert table.doll_of(worn).hide_get()
    bpy.context.window.scene = bpy.data.scenes.new("another")
    working.show_work(bpy.context)
    jobs._going.clear()  # a list's iterator cannot be closed as work is
    assert working.go_on(bpy.context) == {"FINISHED"}
    assert bpy.context.scene == worn
    assert log.lines[-1].text == worn.name
    assert [thing for thing in table.ours(worn) if thing.visible_get()] == shown


def test_work_stops_when_its_scene_is_deleted(working, worn) -> None:
    bpy.context.window.scene = bpy.data.scenes.new("another")
    bpy.data.scenes.remove(worn)
    working._job.work = (step for step in ())
    assert working.modal(bpy.context, SimpleNamespace(type="TIMER", value="NOTHING")) == {"CANCELLED"}
    assert jobs.current() is None
    assert bpy.context.scene.name == "another"


@pytest.mark.parametrize("key", ["ctrl", "oskey"])
def test_the_key_for_undo_does_not_end_work(working, key: str) -> None:
    struck = {"ctrl": False, "oskey": False, key: True}
    assert working.modal(bpy.context, SimpleNamespace(type="Z", value="PRESS", **struck)) == {"RUNNING_MODAL"}
    assert jobs.current() is working._job
    assert "Escape stops the work" in log.lines[-1].text


def test_a_drag_may_be_taken_back_while_it_is_measured_from(working) -> None:
    working.keeps_undo = next(cls for cls in OURS if cls.bl_idname == "toile.measure").keeps_undo
    undo = SimpleNamespace(type="Z", value="PRESS", ctrl=True, oskey=False)
    assert working.modal(bpy.context, undo) == {"PASS_THROUGH"}


# Stopped work


def test_a_compare_that_is_stopped_in_its_second_drape_leaves_the_scene_as_it_was(compared) -> None:
    compared.toile.edge, compared.toile.values = "14mm", "60mm, 95mm"
    before = kept()
    job = jobs.start("compare", comparing.comparing(compared))
    while job.last.share < 0.5 or job.last.seen is None:
        job.step()
    assert job.last.stage.startswith("95mm: ")
    assert bpy.ops.toile.stop() == {"FINISHED"}
    assert kept() == before
    assert not marks.holds(compared, "compare")


@pytest.mark.parametrize("shots", ["fit", "listing", "turntable", "chart"])
def test_pictures_that_are_stopped_leave_the_scene_and_the_folder_as_they_were(worn, tmp_path, shots: str) -> None:
    worn.toile.folder, worn.toile.shots, worn.toile.size = str(tmp_path), shots, 64
    before = kept()
    job = jobs.start("pictures", picturing.picturing(worn))
    job.step()
    jobs.stop()
    assert kept() == before
    assert list(tmp_path.iterdir()) == []
    assert not marks.has(worn, "pictures")


# Words that fit


SAID = "Hip: body 246.1 mm, ease 14.3 mm; 11.8 mm to 100 mm is wanted, 9 5/8 in and 12 % of 3 girths, minimum illness"


def wide(text: str, size: float = 11.0) -> float:
    """How wide Blender sets a text, pixels."""
    import blf  # Blender's own, there once bpy is

    blf.size(0, size)
    return blf.dimensions(0, text)[0]


@pytest.mark.parametrize("width", range(90, 400, 31))
def test_lines_are_as_full_as_they_can_be_and_no_number_loses_its_unit(width: int) -> None:
    lines = lines_of(SAID, width, 11.0)
    assert " ".join(lines) == SAID
    assert max(map(wide, lines)) <= width
    assert not [line for line in lines if line.startswith(("mm", "in ", "in,", "%"))]
    for line, after in pairwise(lines):
        first, unit = [*after.split(), ""][:2]
        more = f"{line} {first}" + (f" {unit}" if first[0].isdigit() and unit.startswith(("mm", "in", "%")) else "")
        assert wide(more) > width, "the next word would have fitted"


def test_a_word_that_is_wider_than_a_line_is_broken_within() -> None:
    path = "/home/a_maker/dolls/" + "mm" * 60 + ".stl"
    lines = lines_of(f"{path} cannot be read", 150, 11.0)
    assert "".join(lines).replace(" ", "") == f"{path}cannotberead"
    assert max(map(wide, lines)) <= 150


@pytest.mark.parametrize("high", [1, 2, 3])
@pytest.mark.parametrize("text", ["", "Draped", SAID, SAID * 3])
def test_a_message_takes_as_many_lines_whatever_it_says(high: int, text: str) -> None:
    known = SimpleNamespace(ui_styles=bpy.context.preferences.ui_styles, system=SimpleNamespace(ui_scale=1.0))
    sidebar = SimpleNamespace(region=SimpleNamespace(width=280), preferences=known)  # as wide as Blender opens it
    lines = filled(sidebar, text, high)
    assert len(lines) == high
    whole = "".join(lines_in(sidebar, text)) == "".join(lines)
    assert whole != lines[-1].endswith("\N{HORIZONTAL ELLIPSIS}")
    assert max(map(wide, lines)) <= 280


# The sidebar's parts


def test_one_step_and_one_part_are_unfolded_at_a_time(scene) -> None:
    folds = bpy.context.window_manager.toile_folds
    steps = (*properties.STEPS, "log")
    parts = [name for name in properties.TOILE_PG_folds.__annotations__ if name not in {*steps, "step", "part"}]
    assert len(parts) > len(properties.PARTS)
    for names in (steps, parts):
        for name in names:
            setattr(folds, name, True)
            assert [one for one in names if getattr(folds, one)] == [name]
        other = names[0]
        setattr(folds, other, False)
        assert getattr(folds, names[-1]), "folding what is folded leaves what is unfolded"
        setattr(folds, names[-1], False)
        assert not any(getattr(folds, name) for name in names)
    folds.doll = True


def test_an_error_goes_when_what_it_is_about_is_mended(opened) -> None:
    bpy.ops.toile.draft()
    opened.toile.options.sleeve_drop = "very deep"
    assert "very deep" in log.last(opened).text
    opened.toile.options.sleeve_drop = "70mm"
    assert log.last(opened) is None
    assert "very deep" in log.lines[-1].text, "it is still told among what was done"
    log.say("Draped")
    opened.toile.options.sleeve_drop = "71mm"
    assert log.last(opened).text == "Draped", "what was done stays so"


def test_each_long_step_is_told_in_the_road(scene) -> None:
    del scene
    steps = {cls.step_name for cls in OURS if issubclass(cls, LongOperator)}
    assert "" not in steps
    assert steps <= set(properties.STEPS)


# The cloth's pictures


def test_touch_shows_where_the_cloth_touches_and_nothing_else(compared, body, draped) -> None:
    compared.toile.picture = "touch"
    bpy.ops.toile.read_fit()
    (robe,) = table.ours(compared, "robe")
    assert robe.data.color_attributes.active_color.name == "touch"
    surface = read_surface(draped.cloth, body.skin, workshop.fabric(compared).thickness_mm)
    held = np.zeros(4 * len(draped.cloth.vertices), dtype=np.float32)
    robe.data.color_attributes["touch"].data.foreach_get("color", held)
    touches = surface.gap_mm < surface.contact_mm
    colours = held.reshape(-1, 4)
    assert touches.any()
    assert not touches.all()
    assert len(np.unique(colours[touches], axis=0)) == len(np.unique(colours[~touches], axis=0)) == 1
    assert f"{surface.contact_mm:.1f} mm" in str(fitting.legend(compared).marks[1][1])


# Other scenes


@pytest.mark.parametrize("unit", [0.001, 0.0254])
def test_variants_stand_true_to_size_and_apart_in_any_unit(compared, draped, unit: float) -> None:
    made, body = session.get(compared, "compared"), session.get(compared, "body")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    scene = bpy.context.scene
    scene.unit_settings.scale_length = unit
    scene.frame_start, scene.frame_end, scene.frame_current = 40, 60, 50
    workshop._on_the_table(scene, body, body, {})
    session.put(scene, "compared", made)
    comparing.stand(scene)
    bpy.context.view_layer.update()
    meshes = [thing for thing in table.ours(scene, "variant") if thing.type == "MESH"]
    robes = [thing for thing in meshes if "flat" in thing.data.uv_layers]
    reach = []
    for robe in robes:
        corners = np.array([robe.matrix_world @ vertex.co for vertex in robe.data.vertices]) * unit * 1000.0
        np.testing.assert_allclose(np.ptp(corners, axis=0), np.ptp(draped.cloth.vertices, axis=0), rtol=1e-4)
        reach.append(corners[:, 0].mean())
    assert abs(np.diff(reach)) == pytest.approx(rack.APART * body.height_mm, rel=1e-4)
    assert scene.frame_current == 50


def test_the_doll_wears_the_robe_that_was_draped_for_the_value_that_is_taken(compared, draped) -> None:
    other = replace(draped, cloth=replace(draped.cloth, vertices=draped.cloth.vertices * 1.25))
    fit = session.get(compared, "fit")
    second = replace(fit, cautions=("of the second",))
    session.put(compared, "compared", ("sleeve_drop", (("60mm", draped, fit), ("90mm", other, second))))
    marks.keep(compared, "compare")
    assert bpy.ops.toile.take_variant(index=1) == {"FINISHED"}
    assert session.get(compared, "pattern").options["sleeve_drop"] == 90.0
    assert session.get(compared, "drape") is other
    assert session.get(compared, "fit") is second
    robe = table.first(compared, "robe")
    np.testing.assert_allclose(bridge.read_vertices(robe.data), other.cloth.vertices / 1000.0, atol=1e-6)
    assert "room" in robe.data.color_attributes
    assert {step for step in ("draft", "drape", "fit", "compare") if not signpost.is_done(compared, step)} == set()


@pytest.mark.parametrize(("name", "value"), [("fabric", "denim"), ("quality", "quick"), ("options.overlap", "30mm")])
def test_a_robe_of_another_cloth_or_draft_is_not_worn_for_a_value(compared, name: str, value: str) -> None:
    *group, field = name.split(".")
    compared.toile.live = False
    setattr(getattr(compared.toile, group[0]) if group else compared.toile, field, value)
    assert bpy.ops.toile.take_variant(index=1) == {"FINISHED"}
    assert session.get(compared, "pattern").options["sleeve_drop"] == 90.0
    assert not session.has(compared, "drape")
    assert "drape again" in log.lines[-1].text


def test_variants_that_are_cleared_are_gone_and_the_robe_stays(compared) -> None:
    kept = {name: session.token(compared, name) for name in session.STEPS}
    robe = table.first(compared, "robe")
    assert bpy.ops.toile.clear_variants() == {"FINISHED"}
    assert not table.ours(compared, "variant")
    assert not session.has(compared, "compared")
    assert not signpost.is_done(compared, "compare")
    assert {name: session.token(compared, name) for name in session.STEPS} == kept
    assert table.first(compared, "robe") == robe
    assert not bpy.ops.toile.clear_variants.poll()


def test_letters_below_a_variant_keep_to_its_place(compared, body, draped) -> None:
    for place, lines in enumerate((("60mm", "fits"), ("not joined at the overlap", "does not close"))):
        *_, text = rack.stand_beside(compared, place, "x", draped, workshop.cloth(compared), lines, body.height_mm)
        bpy.context.view_layer.update()
        assert text.data.body.splitlines() == list(lines)
        assert 0.05 * body.height_mm < text.dimensions.x * 1000.0 < rack.APART * body.height_mm
        assert text.data.size * 1000.0 <= rack.LETTERS * body.height_mm + 1e-4


# What she typed


@pytest.mark.parametrize("typed", ["42cm", "42,0 cm", "420", "16 17/32in"])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_length_that_the_maker_typed_stays_as_she_typed_it(scene, typed: str, unit: str) -> None:
    """Her own text wherever that length is told, whatever unit others are shown in; another length is not hers."""
    scene.toile.show, scene.toile.height = unit, typed
    mm = asked.length_of(typed)
    assert asked.as_typed(scene.toile.height, mm, unit) == (f"{typed} mm" if typed == "420" else typed)
    assert asked.as_typed(scene.toile.height, mm + 0.2, unit) == format_length(mm + 0.2, unit)
    assert asked.as_typed("", mm, unit) == asked.as_typed("3 apples", mm, unit) == format_length(mm, unit)


def test_values_to_compare_may_have_decimal_commas(opened) -> None:
    opened.toile.vary, opened.toile.values = "sleeve_drop", "6,5cm; 9cm, 95,5mm"
    assert comparing.read_values(opened) == ["6,5cm", "9cm", "95,5mm"]
    opened.toile.values = "6,5cm"
    with pytest.raises(OptionError, match="two to"):
        comparing.read_values(opened)


# Turning her


def test_turning_her_measures_anew_and_stays_when_she_is_read_again(opened, body) -> None:
    """She was read head down and from behind; two buttons put her right, measure for measure, and reading keeps it."""
    settings = opened.toile
    settings.up, settings.front = (axis.translate(str.maketrans("+-", "-+")) for axis in body.skin.axes)
    assert bpy.ops.toile.turn_her(way="over") == {"FINISHED"}
    assert session.get(opened, "body").skin.vertices[:, 1].mean() != pytest.approx(body.skin.vertices[:, 1].mean())
    assert bpy.ops.toile.turn_her(way="round") == {"FINISHED"}
    assert bpy.ops.toile.measure() == {"FINISHED"}
    assert (settings.quarters, settings.flipped) == (2, True)
    now = session.get(opened, "body")
    assert now.measures.keys() == body.measures.keys()
    for name, measure in body.measures.items():
        assert now.measures[name].mm == pytest.approx(measure.mm, abs=0.01)
    assert marks.holds(opened, "doll")
    assert "turned by you" in " ".join(now.skin.notes)


def test_a_turn_that_cannot_be_measured_leaves_her_as_she_stood(opened, tmp_path) -> None:
    settings, before = opened.toile, session.token(opened, "body")
    settings.scan = str(tmp_path / "gone.stl")
    with pytest.raises(RuntimeError, match="no longer there"):
        bpy.ops.toile.turn_her(way="left")
    assert (settings.quarters, settings.flipped) == (0, False)
    assert session.token(opened, "body") == before


def test_no_field_names_an_axis(scene) -> None:
    """What the sidebar shows of how she stands is four buttons; the axes of a scan are the command line's."""
    shown = [prop for prop in scene.toile.bl_rna.properties if not prop.is_hidden]
    texts = [text for prop in shown for text in (prop.name, prop.description)]
    texts += [item.name for prop in shown if prop.type == "ENUM" for item in prop.enum_items]
    texts += [text for words, tip, _ in turning.WAYS.values() for text in (words, tip)]
    assert "Fineness" in texts
    assert not [text for text in texts if re.search(r"[+-][XYZ]\b|(?<![\w-])--[a-z]|[a-z]_[a-z]", text)]
