"""What is doubtful about a doll is told by every verb, and nothing is printed to cut by from a doubtful size."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from spoiled import SAMPLES

from addon.commands.__main__ import main
from addon.commands.doubting import hold
from drafting.body.body import Body, Doubt, Part
from drafting.body.doll import measure, read_doll
from drafting.errors import MeasureError


@pytest.fixture(scope="module")
def inches(tmp_path_factory):
    """A doll of 600 mm in a file of inches, which has no word of it."""
    mesh = trimesh.load(SAMPLES / "third_slim.glb", force="mesh", process=False)
    mesh.apply_scale(1000 / 25.4)
    path = tmp_path_factory.mktemp("inches") / "doll.stl"
    mesh.export(path)
    return path


def test_a_guessed_size_is_told_and_not_printed(inches, tmp_path, capsys):
    draft, paper = tmp_path / "draft", tmp_path / "paper"
    assert main(["draft", str(inches), "--out", str(draft)]) == 0
    out = capsys.readouterr().out
    assert "236.2 mm" in out
    assert "600.0 mm" in out
    for kept in ("pattern.json", "measures.json"):
        assert [doubt["about"] for doubt in json.loads((draft / kept).read_text())["doubts"]] == ["size"]
    for asked in (inches, draft / "pattern.json"):
        assert main(["paper", str(asked), "--out", str(paper)]) == 2
        assert "--height" in capsys.readouterr().err
    assert not paper.exists()
    assert main(["paper", str(inches), "--out", str(paper), "--height", "60cm"]) == 0
    assert "Doubt" not in capsys.readouterr().out


@pytest.mark.parametrize(
    ("about", "used", "cuts", "refused"),
    [("body", (), False, True), ("size", (), False, False), ("size", (), True, True),
     ("waist_girth", ("waist_girth",), False, True), ("waist_girth", ("hip_girth",), True, False)],
)  # fmt: skip
def test_what_is_made_from_a_doubtful_body(about, used, cuts, refused):
    doubts = (Doubt(about, "It may be wrong."),)
    hold(doubts, used, cuts, trusted=True)
    hold((Doubt(about, "It may be wrong.", mild=True),), used, cuts, trusted=False)
    if refused:
        with pytest.raises(MeasureError, match="It may be wrong"):
            hold(doubts, used, cuts, trusted=False)
    else:
        hold(doubts, used, cuts, trusted=False)


def swollen(body: Body, level: str, share: float) -> Body:
    """The doll made wider round one level of the trunk, measured anew."""
    points, at = body.skin.vertices.copy(), body.measures[f"{level}_girth"].level_mm
    near = np.isin(body.parts, [Part.TRUNK, Part.LEG_LEFT, Part.LEG_RIGHT])
    away = np.exp(-(((points[:, 2] - at) / (0.06 * body.height_mm)) ** 2))
    points[near, :2] *= 1.0 + share * away[near, None]
    return measure(replace(body.skin, vertices=points))


@pytest.mark.parametrize(("level", "share"), [("hip", 0.25), ("hip", 0.1), ("bust", 0.2), ("waist", -0.15)])
def test_a_doll_as_dolls_are_made_is_drafted_for(level, share):
    body = swollen(read_doll(SAMPLES / "sixth_curvy.glb", height_mm=270.0), level, share)
    hold(body.doubts, body.measures, True, trusted=False)


def test_proportions_far_from_any_body_wait_for_her_word():
    body = read_doll(SAMPLES / "sixth_curvy.glb", height_mm=270.0)
    tall = replace(body.skin, vertices=body.skin.vertices * [1.0, 1.0, 2.0])
    with pytest.raises(MeasureError, match="Nothing was made"):
        hold(measure(tall).doubts, body.measures, False, trusted=False)
