"""What was deleted, scaled or edited by hand is told, hinders what stands on it, and is put right by its button."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import bpy
import numpy as np
import pytest

import addon
from addon import comparing, fitting, jobs, log, overlay, rack, readiness, session, shelf, signpost, table, workshop
from addon.operators import edge, seen
from addon.properties import STEPS
from drafting.errors import OptionError

pytest_plugins = ("window_fixtures",)


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()


def roles(scene: bpy.types.Scene) -> Counter[str]:
    return Counter(thing[table.MARK] for thing in table.ours(scene))


def delete(*names: str) -> Callable[[bpy.types.Scene], None]:
    """As by the key X: the objects go, what hung on them stays."""

    def gone(scene: bpy.types.Scene) -> None:
        for thing in table.ours(scene, *names):
            bpy.data.objects.remove(thing)

    return gone


def scale(scene: bpy.types.Scene) -> None:
    table.doll_of(scene).scale *= 1.5


def scale_unit(scene: bpy.types.Scene) -> None:
    scene.unit_settings.scale_length = 0.01


def edit(scene: bpy.types.Scene) -> None:
    mesh = table.doll_of(scene).data
    mesh.vertices.add(1)
    mesh.update()


SPOILED = {
    "the doll deleted": (delete("doll"), {"doll", "tape"}, "toile.lay_again", ("toile.draft", "toile.drape")),
    "the doll and all deleted": (
        delete("doll", "tape", "landmark", "panel", "robe"),
        {"doll", "tape", "draft", "drape", "cloth", "fit"},
        "toile.lay_again",
        ("toile.draft", "toile.drape", "toile.read_fit"),
    ),
    "the doll edited": (edit, {"doll", "tape"}, "toile.lay_again", ("toile.draft",)),
    "the doll scaled": (scale, {"doll", "tape"}, "toile.true_size", ("toile.draft", "toile.drape")),
    "the unit changed": (scale_unit, {"doll", "tape"}, "toile.true_size", ("toile.draft", "toile.drape")),
    "the panels deleted": (delete("panel"), {"draft"}, "toile.lay_again", ()),
    "the robe deleted": (delete("robe"), {"cloth", "drape", "fit"}, "toile.lay_again", ("toile.pictures",)),
}


@pytest.mark.parametrize("what", SPOILED)
def test_what_was_changed_by_hand_is_told_and_put_right(worn, what: str, tmp_path: Path) -> None:
    spoil, unticked, button, waiting = SPOILED[what]
    worn.toile.folder = str(tmp_path)
    bpy.ops.toile.read_fit()
    ticked = {step for step in STEPS if signpost.is_done(worn, step)}
    before, kept = roles(worn), {name: session.token(worn, name) for name in session.STEPS}
    spoil(worn)
    bpy.context.view_layer.update()
    assert {step for step in STEPS if signpost.is_done(worn, step)} == ticked - unticked
    sign = signpost.next_sign(worn)
    assert sign.operator == button
    assert sign.text == readiness.of_step(worn, sign.step)[0].text
    for name in waiting:
        group, verb = name.split(".")
        with pytest.raises(RuntimeError, match=sign.text[:20]):
            getattr(getattr(bpy.ops, group), verb)()
    group, verb = button.split(".")
    assert getattr(getattr(bpy.ops, group), verb)() == {"FINISHED"}
    bpy.context.view_layer.update()
    assert not readiness.of_objects(worn)
    assert roles(worn) == before
    assert {step for step in STEPS if signpost.is_done(worn, step)} == ticked
    assert {name: session.token(worn, name) for name in session.STEPS} == kept
    doll, body = table.doll_of(worn), session.get(worn, "body")
    true = np.array(doll.matrix_world.to_scale()) * worn.unit_settings.scale_length
    np.testing.assert_allclose(true, 1.0, atol=1e-5)
    assert len(doll.data.vertices) == len(body.skin.vertices)
    assert all(thing.parent == doll for thing in table.ours(worn, "robe", "panel", "tape", "landmark"))


@pytest.mark.parametrize("what", ["the doll deleted", "the doll edited", "the doll scaled", "the robe deleted"])
def test_no_verdict_and_no_colours_are_shown_of_a_robe_that_is_not_on_the_doll(worn, what: str) -> None:
    bpy.ops.toile.read_fit()
    worn.toile.picture, worn.toile.level = "room", "hip"
    fit = session.get(worn, "fit")
    assert fitting.shown(worn) is fit
    assert fitting.legend(worn) is not None
    assert overlay.shown_section(worn) is not None
    spoil, _, button, _ = SPOILED[what]
    spoil(worn)
    bpy.context.view_layer.update()
    assert (fitting.shown(worn), fitting.legend(worn), overlay.shown_section(worn)) == (None, None, None)
    getattr(bpy.ops.toile, button.partition(".")[2])()
    bpy.context.view_layer.update()
    assert fitting.shown(worn) is fit
    assert overlay.shown_section(worn) is not None


def test_a_doll_deleted_by_hand_is_never_mixed_with_another(worn, body, draped) -> None:
    first = {name: session.token(worn, name) for name in session.STEPS if session.has(worn, name)}
    held = roles(worn)
    bpy.ops.toile.another_doll()
    workshop._on_the_table(worn, body, body, {})
    second = session.token(worn, "body")
    delete("doll")(worn)
    (aside,) = shelf.dolls(worn)
    assert bpy.ops.toile.take_up(doll=aside.name) == {"FINISHED"}
    assert {name: session.token(worn, name) for name in first} == first
    assert roles(worn) == held
    (other,) = shelf.dolls(worn)
    assert other["toile_body_token"] == second
    assert Counter(thing[table.MARK] for thing in other.objects)["doll"] == 1
    delete("doll")(worn)
    assert bpy.ops.toile.another_doll() == {"FINISHED"}
    assert len(shelf.dolls(worn)) == 2
    assert not session.has(worn, "body")


@pytest.mark.parametrize("printed", ["no width", "no picture", "not there"])
def test_a_print_that_cannot_be_laid_on_is_refused_before_the_drape(worn, printed: str, tmp_path: Path) -> None:
    path = tmp_path / "print.png"
    path.write_bytes(b"\x89PNG\r\n\x1a\n" if printed == "no width" else b"no picture at all")
    worn.toile.printed_width = "" if printed == "no width" else "200mm"
    worn.toile.printed = str(path) if printed != "not there" else str(tmp_path / "none.png")
    (wrong,) = readiness.of_step(worn, "cloth")
    with pytest.raises(RuntimeError, match="true width" if printed == "no width" else "cannot be read as a picture"):
        bpy.ops.toile.drape()
    with pytest.raises(OptionError):
        next(workshop.draping(worn))
    worn.toile.values = "60mm, 90mm"
    with pytest.raises(OptionError):
        next(comparing.comparing(worn))
    assert wrong.text
    worn.toile.printed = ""
    assert not readiness.of_step(worn, "cloth")


def test_a_folder_in_which_nothing_can_be_written_is_told(opened, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    opened.toile.folder = str(tmp_path / "file" / "results")
    assert "choose another folder" in readiness.of_step(opened, "paper")[0].text
    opened.toile.folder = str(tmp_path / "new" / "results")
    assert not readiness.of_step(opened, "paper")


def test_the_robe_before_is_seen_though_it_was_hidden_while_another_was_draped(worn, draped) -> None:
    (before,) = table.ours(worn, "robe")
    seen.hide(worn)
    assert before.hide_get()
    rack.lay_robe(worn, draped, workshop.cloth(worn))
    seen.show(worn)
    (now,) = table.ours(worn, "robe")
    assert bpy.ops.toile.show_before() == {"FINISHED"}
    assert before.visible_get()
    assert not now.visible_get()
    bpy.ops.toile.show_before()
    assert now.visible_get()
    assert not before.visible_get()


def test_what_the_maker_has_hidden_stays_hidden(worn) -> None:
    doll = table.doll_of(worn)
    doll.hide_set(True)
    seen.hide(worn)
    seen.show(worn)
    assert doll.hide_get()
    assert all(robe.visible_get() for robe in table.ours(worn, "robe"))


def test_work_tells_how_long_it_took_by_the_clock() -> None:
    job = jobs.start("drape", iter(()))
    job._begun -= 125.0
    assert edge.took(job.seconds()) == "; it took 2 min"
    assert edge.took(edge.WORTH_TELLING / 2.0) == ""
    jobs._going.clear()
    log.lines.clear()
