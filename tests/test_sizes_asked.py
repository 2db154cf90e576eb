"""What the maker is asked about sizes: nothing where it is clear, and each answer ends the question."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import bpy
import numpy as np
import pytest

import addon
from addon import doubts, log, session, signpost, table, tapes, workshop
from addon.commands.request import SAMPLE
from drafting.body.body import Doubt
from drafting.units import parse_length

pytest_plugins = ("window_fixtures",)


@pytest.fixture(scope="module", autouse=True)
def _enabled() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()


@pytest.mark.parametrize(
    "height", ["42cm", "16 1/2in", '16 1/2"', "420 mm", "0.42m", "200mm", "800mm", "", "tall", "mm"]
)
def test_a_likely_height_with_its_unit_is_not_asked_about(height: str) -> None:
    assert doubts.of_written(height) is None


@pytest.mark.parametrize(
    ("height", "answers"),
    [
        ("26.8", ("26.8 cm", "26.8 in", "26.8 mm")),
        ("268", ("268 mm",)),
        ("42", ("42 cm", "42 mm")),
        ("26.8mm", ("26.8 cm", "26.8 in", "26.8mm")),
        ("268 cm", ("268 mm", "268 cm")),
        ("16 1/2", ("16 1/2 in", "16 1/2 mm")),
    ],
)
def test_a_height_without_a_unit_or_out_of_reach_is_asked_about(height: str, answers: tuple[str, ...]) -> None:
    question = doubts.of_written(height)
    assert question.answers == answers
    assert question.text == f"Is she {answers[0]} tall?"
    likely = [parse_length(answer) for answer in answers[:-1]]
    assert all(doubts.LEAST_MM <= mm <= doubts.MOST_MM for mm in likely)


def test_the_answer_makes_the_doll_that_tall_and_ends_the_question(opened) -> None:
    opened.toile.height = "26.8"
    bpy.ops.toile.measure()
    assert session.get(opened, "body").height_mm == pytest.approx(26.8)
    assert signpost.next_sign(opened).text.startswith("Is she 26.8 cm tall?")
    assert not signpost.is_done(opened, "doll")
    assert bpy.ops.toile.answer_height(height="26.8 cm") == {"FINISHED"}
    assert session.get(opened, "body").height_mm == pytest.approx(268.0)
    assert (doubts.of_height(opened), signpost.is_done(opened, "doll")) == (None, True)


def test_a_maker_who_stands_by_an_unlikely_height_is_asked_once(opened) -> None:
    opened.toile.height = "26.8mm"
    assert doubts.of_height(opened) is not None
    opened.toile.sure = "26.8mm"  # as the answer sets it
    assert doubts.of_height(opened) is None
    opened.toile.height = "26.9mm"
    assert doubts.of_height(opened) is not None


def test_an_answer_that_cannot_be_measured_changes_nothing(opened) -> None:
    opened.toile.height, opened.toile.scan = "26.8", "/nowhere/doll.stl"
    before = session.token(opened, "body")
    with pytest.raises(RuntimeError, match="no longer there"):
        bpy.ops.toile.answer_height(height="26.8 cm")
    assert (opened.toile.height, opened.toile.sure, session.token(opened, "body")) == ("26.8", "", before)


def test_a_guessed_size_is_asked_about_until_it_is_said(opened, body) -> None:
    opened.toile.height = ""
    guessed = replace(body, doubts=(Doubt("size", "The size is a guess."),))
    session.put(opened, "body", guessed)
    question = doubts.of_height(opened)
    assert doubts.is_guessed(opened)
    assert question.answers[0] == "420 mm"
    assert signpost.next_sign(opened).step == "doll"
    bpy.ops.toile.answer_height(height=question.answers[0])
    assert not doubts.is_guessed(opened)
    assert signpost.is_done(opened, "doll")
    assert np.ptp(session.get(opened, "body").skin.vertices[:, 2]) == pytest.approx(420.0)


def test_a_height_said_before_there_is_a_scan_is_only_written(scene) -> None:
    scene.toile.height = "26.8"
    assert bpy.ops.toile.answer_height(height="26.8 cm") == {"FINISHED"}
    assert (scene.toile.height, doubts.of_height(scene)) == ("26.8 cm", None)
    assert "open her scan" in log.lines[-1].text
    workshop.open_doll(scene, SAMPLE)
    assert session.get(scene, "body").height_mm == pytest.approx(268.0)


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("15.8", "15.8 cm"),  # a bare number is millimetres
        ("158cm", "158 mm"),
        ("6.2", "6.2 in"),
        ("6 1/4 cm", "6 1/4 in"),
        ("158", None),
        ("6 1/4in", None),
        ("190mm", None),
        ("71mm", None),  # far, but no unit brings it near
        ("xx", None),
        ("", None),
    ],
)
def test_a_figure_in_another_unit_is_told_by_the_scan(written: str, meant: str | None) -> None:
    assert doubts.meant(written, 158.3) == meant


def test_what_was_meant_is_taken_by_a_button(opened, body) -> None:
    index = [row.name for row in opened.toile.by_hand].index("waist_girth")
    opened.toile.by_hand[index].by_hand = "15.8"
    meant = doubts.meant("15.8", body.measures["waist_girth"].mm)
    assert bpy.ops.toile.take_meant(index=index, meant=meant) == {"FINISHED"}
    assert session.get(opened, "body").measures["waist_girth"].mm == pytest.approx(158.0)


def test_measures_that_are_drafted_by_come_first_before_and_after_the_draft(opened) -> None:
    before = tapes.used(opened)
    bpy.ops.toile.draft()
    assert before == tapes.used(opened) == frozenset(session.get(opened, "pattern").measures)
    names = [row.name for row in opened.toile.by_hand]
    places = tapes.order(names, before)
    listed = [name for _, name in sorted(zip(places, names, strict=True))]
    assert sorted(places) == list(range(len(names)))
    assert set(listed[: len(before)]) == before
    assert [name for name in names if name in before] == listed[: len(before)]
    assert [name for name in names if name not in before] == listed[len(before) :]


def test_the_doll_stands_elsewhere_only_after_another_size(opened) -> None:
    bpy.context.view_layer.update()
    before = table.space_of_doll(opened)
    bpy.ops.toile.measure()
    assert table.space_of_doll(opened) == before
    opened.toile.height = "30cm"
    bpy.ops.toile.measure()
    assert table.space_of_doll(opened)[5] == pytest.approx(before[5] * 300 / 420, rel=1e-4)
