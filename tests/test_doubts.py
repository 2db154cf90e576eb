"""What is doubtful about a doll is told by every verb, and nothing is printed to cut by from a doubtful size."""

from __future__ import annotations

import json

import pytest
import trimesh
from spoiled import SAMPLES

from addon.commands.__main__ import main
from addon.commands.doubting import hold
from drafting.body.body import Doubt
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
    if refused:
        with pytest.raises(MeasureError, match="It may be wrong"):
            hold(doubts, used, cuts, trusted=False)
    else:
        hold(doubts, used, cuts, trusted=False)
