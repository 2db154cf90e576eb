"""The ticks of the nine steps: each comes with its work, and goes when what it was made of changes."""

from __future__ import annotations

from collections.abc import Iterator

import bpy
import pytest

import addon
from addon import comparing, marks, rack, session, shelf, signpost, workshop
from addon.properties import STEPS

pytest_plugins = ("window_fixtures",)


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()


def ticks(scene: bpy.types.Scene) -> set[str]:
    return {step for step in STEPS if signpost.is_done(scene, step)}


@pytest.fixture
def finished(worn, draped, tmp_path) -> bpy.types.Scene:
    """All nine steps done; what takes long is taken as given: the drapes, and the files of the last two steps."""
    worn.toile.folder, worn.toile.values = str(tmp_path), "60mm, 90mm"
    bpy.ops.toile.read_fit()
    fit = session.get(worn, "fit")
    with marks.made(worn, "compare"):
        session.put(worn, "compared", ("sleeve_drop", (("60mm", draped, fit), ("90mm", draped, fit))))
        comparing.stand(worn)
    for step in ("pictures", "paper"):
        marks.keep(worn, step)
    return worn


def test_each_step_is_ticked_once_its_work_is_done(scene, body, draped, tmp_path) -> None:
    scene.toile.height, scene.toile.shots, scene.toile.folder = "420mm", "chart", str(tmp_path)

    def drape_given() -> None:
        with marks.made(scene, "drape"):
            session.put(scene, "drape", draped)
            rack.lay_robe(scene, draped, workshop.cloth(scene))

    road = (
        (lambda: workshop._on_the_table(scene, body, body, {}), {"doll", "tape"}, "draft"),
        (bpy.ops.toile.draft, {"draft"}, "drape"),
        (drape_given, {"cloth", "drape"}, "fit"),
        (bpy.ops.toile.read_fit, {"fit"}, "paper"),
        (bpy.ops.toile.pictures, {"pictures"}, "paper"),
        (bpy.ops.toile.paper, {"paper"}, ""),
    )
    assert (ticks(scene), signpost.next_sign(scene).step) == (set(), "doll")
    expected: set[str] = set()
    for work, ticked, next_step in road:
        work()
        expected |= ticked
        assert (ticks(scene), signpost.next_sign(scene).step) == (expected, next_step)
    assert set(STEPS) - expected == {"compare"}


def test_nothing_is_left_to_do_once_all_is_done(finished) -> None:
    assert ticks(finished) == set(STEPS)
    assert signpost.next_sign(finished).step == ""


CHANGES: dict[str, tuple[str, object, set[str], str]] = {
    "height": ("height", "430mm", {"doll", "tape"}, "doll"),
    "front": ("front", "+X", {"doll", "tape"}, "doll"),
    "a height that is none": ("height", "tall", {"doll", "tape"}, "doll"),
    "cloth": ("fabric", "denim", {"draft", "cloth", "drape", "fit", "compare", "pictures", "paper"}, "draft"),
    "fineness": ("quality", "quick", {"cloth", "drape", "fit", "compare"}, "drape"),
    "values": ("values", "60mm, 95mm", {"compare"}, ""),
    "colour": ("colour", (0.1, 0.2, 0.3), {"pictures"}, ""),
    "page": ("page", "A3", {"paper"}, "paper"),
    "the cloth as bought": ("folded", True, {"paper"}, "paper"),
    "which pictures": ("shots", "fit", set(), ""),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_tick_goes_with_what_it_was_made_of_and_comes_back_with_it(finished, change: str) -> None:
    name, value, lost, next_step = CHANGES[change]
    before = getattr(finished.toile, name)
    before = before if isinstance(before, str | bool) else tuple(before)
    setattr(finished.toile, name, value)
    assert set(STEPS) - ticks(finished) == lost
    assert signpost.next_sign(finished).step == next_step
    setattr(finished.toile, name, before)
    assert ticks(finished) == set(STEPS)


def test_an_option_that_is_not_drafted_yet_takes_the_drafts_tick(finished) -> None:
    finished.toile.live = False
    finished.toile.options.sleeve_drop = "70mm"
    assert set(STEPS) - ticks(finished) == {"draft"}  # variants were of 60 and 90 mm: they stand
    assert signpost.next_sign(finished).operator == "toile.draft"
    bpy.ops.toile.draft()
    assert ticks(finished) == {"doll", "tape", "draft", "compare"}


def test_her_own_figure_takes_all_that_was_drafted_by_the_scans(finished) -> None:
    row = finished.toile.by_hand[[row.name for row in finished.toile.by_hand].index("hip_girth")]
    row.by_hand = "300mm"
    assert ticks(finished) == {"doll", "tape", "draft"}  # the draft followed at once


def test_a_fit_is_not_read_of_another_cloth_than_was_draped(finished) -> None:
    finished.toile.fabric = "denim"
    with pytest.raises(RuntimeError, match="drape again first"):
        bpy.ops.toile.read_fit()
    finished.toile.fabric = "lawn"
    assert bpy.ops.toile.read_fit() == {"FINISHED"}


def test_ticks_are_saved_with_the_file_and_put_aside_with_the_doll(finished, tmp_path) -> None:
    bpy.ops.toile.another_doll()
    (aside,) = shelf.dolls(finished)
    assert ticks(finished) == set()
    bpy.ops.toile.take_up(doll=aside.name)
    assert ticks(finished) == set(STEPS)
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "a.blend"))
    session._living.clear()
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "a.blend"))
    assert ticks(bpy.context.scene) == set(STEPS)


def test_work_that_is_stopped_brings_no_tick(worn, tmp_path) -> None:
    worn.toile.folder = str(tmp_path)

    def stopped(step: str) -> None:
        with marks.made(worn, step):
            raise GeneratorExit

    for step in ("pictures", "paper", "compare"):
        with pytest.raises(GeneratorExit):
            stopped(step)
        assert not signpost.is_done(worn, step)
