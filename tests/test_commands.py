"""The verbs as the maker calls them: what they write, what they refuse, and that refusing leaves nothing behind."""

from __future__ import annotations

import io
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
import trimesh

from addon.commands.progress import Progress
from addon.commands.request import read_request
from drafting.body.record import read_landmarks
from drafting.cloth.fabric import FABRICS, LAWN, lined
from drafting.errors import LengthError, MeasureError, OptionError, ToileError
from drafting.garments import GARMENTS
from drafting.pattern.record import read_record

ROOT = Path(__file__).resolve().parent.parent


def call(*words: object, cwd: Path | None = None) -> subprocess.CompletedProcess:
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "addon.commands", *map(str, words)]
    return subprocess.run(command, cwd=cwd, env=environment, capture_output=True, text=True, check=False)


def box(**moved: float) -> trimesh.Trimesh:
    mesh = trimesh.creation.box((10.0, 5.0, 40.0))
    vertices = mesh.vertices.copy()
    vertices[0, 0] = moved.get("x", vertices[0, 0])
    return trimesh.Trimesh(vertices, mesh.faces, process=False)


def two_triangles() -> trimesh.Trimesh:
    return trimesh.Trimesh([[0, 0, 0], [1, 0, 0], [1, 0, 2], [0, 0, 2]], [[0, 1, 2], [0, 2, 3]], process=False)


def bad_scan(kind: str, folder: Path) -> Path:
    path = folder / f"{kind.replace(' ', '_')}.stl"
    if kind == "empty file":
        path.write_bytes(b"")
    elif kind == "text renamed":
        path.write_text("Dear diary, today I scanned my doll.\n" * 20)
    elif kind == "two triangles":
        path.write_bytes(two_triangles().export(file_type="stl"))
    elif kind == "not a number":
        path.write_bytes(box(x=np.nan).export(file_type="stl"))
    return path  # "no such file" stays away


def refused(said: subprocess.CompletedProcess) -> str:
    """The one line that a refusal is."""
    assert said.returncode == 2, said.stdout + said.stderr
    lines = said.stderr.splitlines()
    assert len(lines) == 1, said.stderr
    assert lines[0].startswith("toile: ")
    assert "Traceback" not in said.stdout
    return lines[0]


@pytest.mark.parametrize("verb", ["measure", "draft", "fit"])
@pytest.mark.parametrize("kind", ["empty file", "text renamed", "two triangles", "not a number", "no such file"])
def test_a_bad_scan_is_one_line_and_nothing_written(kind: str, verb: str, tmp_path: Path) -> None:
    path = bad_scan(kind, tmp_path)
    before = sorted(tmp_path.iterdir())
    line = refused(call(verb, path, "--height", "42cm", "--out", tmp_path / "out"))
    assert path.name in line or "triangle" in line or "scan" in line
    assert sorted(tmp_path.iterdir()) == before


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (["fit", "--height", "0"], "above 0"),
        (["fit", "--height", "0mm"], "above 0"),
        (["fit", "--height", "tall"], "--height"),
        (["fit", "--height", "9km"], "--height"),
        (["fit", "--height", "9m"], "no doll's height"),
        (["fit", "--sleve_drop", "90mm"], "did you mean --sleeve_drop?"),
        (["fit", "--sleve-drop=90mm"], "did you mean --sleeve_drop?"),
        (["fit", "--sleeve_drop", "0mm"], "sleeve_drop"),
        (["fit", "--sleeve_drop", "-5mm"], "sleeve_drop"),
        (["fit", "--sleeve_drop", "nan"], "sleeve_drop"),
        (["fit", "--fronts", "upside down"], "left over right"),
        (["fit", "--fabric", "tin"], "lawn"),
        (["fit", "--fabric", "lown"], "did you mean lawn?"),
        (["fit", "--fabric", "nowhere.toml"], "--fabric nowhere.toml cannot be read"),
        (["compare", "--fabric", str(ROOT / "pyproject.toml"), "--vary", "sleeve_drop=60mm,90mm"], "is not a fabric's"),
        (["fit", "--under", "tin"], "--under tin: choose one of"),
        (["paper", "--under", "voile"], "paper toile_out/quarter_curvy/under_pattern.json"),
        (["fit", "--lining", "lown"], "--lining lown: did you mean lawn?"),
        (["fit", "--under-option", "length=250mm"], "give its cloth, such as --under voile"),
        (["fit", "--under", "voile", "--under-option", "length"], "NAME=VALUE"),
        (["fit", "--under", "voile", "--under-option", "lenth=9cm"], "did you mean --length?"),
        (["fit", "--under", "voile", "--under-option", "length=nan"], "length"),
        (["fit", "--edge", "0"], "above 0"),
        (["fit", "--size", "3"], "pixels"),
        (["fit", "--measure", "waist_girth"], "NAME=LENGTH"),
        (["fit", "--measure", "wing_span=3mm"], "wing_span"),
        (["measure", "--known", "bust_girth"], "--known bust_girth: NAME=LENGTH"),
        (["measure", "--cut-below", "-3mm"], "--cut-below"),
        (["measure", "--landmarks", "nowhere.json"], "nowhere.json"),
        (["fit", "--colour", "reddish"], "#"),
        (["fit", "--print", "nowhere.png", "--print-width", "3cm"], "nowhere.png"),
        (["compare"], "--vary"),
        (["compare", "--vary", "sleeve_drop=60mm"], "two values"),
        (["draft", "--from", "drawing.svg"], "--from is for paper and fit"),
        (["fit", "--from", "nowhere.svg"], "nowhere.svg"),
        (["compare", "--vary", "sleve_drop=60mm,90mm"], "did you mean --sleeve_drop?"),
        (["fitt"], "not a verb"),
        (["fit", "a.stl", "b.stl"], "b.stl"),
    ],
)
def test_a_word_that_cannot_be_is_one_line(words: list[str], part: str, tmp_path: Path) -> None:
    assert part in refused(call(*words, cwd=tmp_path))
    assert list(tmp_path.iterdir()) == []


def test_options_of_a_draft_are_refused_for_a_drawing(tmp_path: Path) -> None:
    (tmp_path / "vest.svg").write_text("<svg/>")
    said = call("fit", "--from", "vest.svg", "--sleeve_drop", "90mm", cwd=tmp_path)
    assert "vest.svg is drafted already; leave out --sleeve_drop" in refused(said)


def test_a_folder_that_cannot_be_written_is_found_before_the_work(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    for out in (tmp_path / "file", tmp_path / "file" / "under", Path("/proc/toile")):
        said = call("fit", "--out", out)
        assert "cannot write" in refused(said)
        assert "measuring" not in said.stdout


def test_help_is_status_0_and_names_every_option() -> None:
    assert call("help").returncode == 0
    said = call("draft", "--help")
    assert said.returncode == 0
    assert all(f"--{option.name}" in said.stdout for option in GARMENTS["robe"].options)


def test_measure_writes_its_record_and_table(tmp_path: Path) -> None:
    said = call("measure", "--out", tmp_path / "new" / "out")
    assert said.returncode == 0, said.stderr
    record = json.loads((tmp_path / "new" / "out" / "measures.json").read_text())
    assert record["unit"] == "mm"
    assert record["up"] == "+Z"
    assert record["height_mm"] == pytest.approx(420.0, abs=0.1)
    for name in ("bust_girth", "waist_girth", "hip_girth", "neck_girth", "arm_length"):
        assert record["measures"][name]["mm"] > 0.0
    assert all(len(point) == 3 for point in record["landmarks"].values())
    assert (tmp_path / "new" / "out" / "measures.csv").exists()
    assert (tmp_path / "new" / "out" / "tape.png").read_bytes().startswith(b"\x89PNG")


def test_a_known_girth_and_a_moved_landmark(tmp_path: Path) -> None:
    marks = tmp_path / "mine.json"
    marks.write_text('{"landmarks": {"waist_front": [0, -20, 250]}}')
    said = call("measure", ROOT / "sample_meshes" / "quarter_curvy.glb", "--known", "hip_girth=10in",
                "--landmarks", marks, "--out", tmp_path / "out")  # fmt: skip
    assert said.returncode == 0, said.stderr
    record = json.loads((tmp_path / "out" / "measures.json").read_text())
    assert record["measures"]["hip_girth"]["mm"] == pytest.approx(254.0, rel=1e-4)
    assert record["measures"]["waist_girth"]["level_mm"] == pytest.approx(250.0)
    assert any("set by taped measures" in note for note in record["notes"])


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{}",
        '{"landmarks": 3}',
        '{"landmarks": {"nose": [0, 0, 0]}}',
        '{"landmarks": {"crotch": [1, 2]}}',
        '{"landmarks": {"crotch": [1, 2, NaN]}}',
        "[" * 100000,
    ],
)
def test_a_landmark_file_that_cannot_be(text: str) -> None:
    with pytest.raises(MeasureError, match="landmark"):
        read_landmarks(text)


def test_a_measure_by_hand_is_used(tmp_path: Path) -> None:
    for words in (["--measure", "hip_girth=300mm"], []):
        assert call("draft", "--out", tmp_path / f"{len(words)}", *words).returncode == 0
    by_hand, scanned = (json.loads((tmp_path / name / "pattern.json").read_text()) for name in ("2", "0"))
    assert by_hand["measures"]["hip_girth"] == 300.0
    assert scanned["measures"]["hip_girth"] != 300.0


def test_a_draft_is_of_the_cloth_that_is_chosen_unless_its_thickness_is_given(tmp_path: Path) -> None:
    """Three layers of it lie under the sash: 2 pi times 3 times the difference (Steiner's formula)."""
    thick = {"": 0.3, "--fabric denim": 0.65, "--fabric denim --cloth_thickness 0.4mm": 0.4}
    worn = {}
    for words, mm in thick.items():
        said = call("draft", "--out", tmp_path, *words.split())
        record = json.loads((tmp_path / "pattern.json").read_text())
        assert record["options"]["cloth_thickness"] == mm
        worn[mm] = next(rule["mm"] for rule in record["rules"] if rule["name"] == "sash_worn")
        for level in record["expected_ease"]:
            assert level["cloth_mm"] == pytest.approx(2 * np.pi * mm, abs=0.01)
            assert level["verdict"] == "fits"
        assert "Expected ease:" in said.stdout
    assert worn[0.65] - worn[0.3] == pytest.approx(6 * np.pi * 0.35, abs=1e-3)


def test_draft_writes_a_pattern_that_can_be_read_back(tmp_path: Path) -> None:
    said = call("draft", "--out", tmp_path, "--sleeve_drop", "3 1/2in", "--fronts", "right-over-left")
    assert said.returncode == 0, said.stderr
    record = json.loads((tmp_path / "pattern.json").read_text())
    assert record["options"]["sleeve_drop"] == pytest.approx(88.9)
    assert record["options"]["fronts"] == "right over left"
    assert {panel["name"] for panel in record["panels"]} == {panel.name for panel in read_record(record).panels}
    for seam in record["seams"]:
        assert seam["length_a_mm"] - seam["length_b_mm"] == pytest.approx(seam["ease_mm"], abs=0.1)
    assert (tmp_path / "draft.svg").read_text().lstrip().startswith("<")
    assert (tmp_path / "draft.png").read_bytes().startswith(b"\x89PNG")


def test_control_c_stops_with_130_and_nothing_written(tmp_path: Path) -> None:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
    command = [sys.executable, "-m", "addon.commands", "fit", "--out", str(tmp_path / "out")]
    told = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    # A shell's background job, as this test may be, hands down that the signal is to be ignored.
    heed = {"preexec_fn": lambda: signal.signal(signal.SIGINT, signal.SIG_DFL), "start_new_session": True}
    with subprocess.Popen(command, env=environment, **told, **heed) as work:
        for line in work.stdout:
            if line.startswith("sewing"):
                break
        time.sleep(1.0)
        work.send_signal(signal.SIGINT)
        _, errors = work.communicate(timeout=120)
    assert work.returncode == 130
    assert errors.splitlines() == ["toile: stopped; nothing was written."]
    assert list(tmp_path.iterdir()) == []


def test_dashes_and_underscores_mean_the_same() -> None:
    plain, dashed = read_request(["fit", "--sleeve_drop", "9cm"]), read_request(["fit", "--sleeve-drop=9cm"])
    assert plain.options == dashed.options == {"sleeve_drop": "9cm"}


def test_inches_in_inches_out() -> None:
    assert read_request(["measure", "a.stl", "--height", "16 1/2in"]).show == "in"
    assert read_request(["measure", "a.stl", "--height", "16 1/2in"]).height_mm == pytest.approx(419.1)
    assert read_request(["measure", "a.stl", "--height", "42cm"]).show == "mm"
    assert read_request(["measure", "a.stl", "--height", "16in", "--show", "mm"]).show == "mm"


def test_a_scan_of_ones_own_has_no_height_of_ours() -> None:
    assert read_request(["measure", "a.stl"]).height_mm is None
    assert read_request(["measure"]).height_mm == 420.0


def test_a_quick_look_chooses_its_own_edge_length() -> None:
    assert read_request(["fit", "--quick"]).quick
    assert not read_request(["fit"]).quick
    with pytest.raises(OptionError, match="leave out --edge or --quick"):
        read_request(["fit", "--quick", "--edge", "8mm"])


def test_an_under_robe_and_a_lining_are_read() -> None:
    asked = read_request(["fit", "--under", "voile", "--under-option", "sleeve_drop=60mm", "--lining", "habotai"])
    assert asked.under == FABRICS["voile"]
    assert asked.under_options == {"sleeve_drop": "60mm"}
    assert asked.fabric == lined(LAWN, FABRICS["habotai"])
    assert read_request(["fit"]).under is None


@pytest.mark.parametrize(
    ("words", "folder"),
    [
        (["fit"], "toile_out/quarter_curvy"),
        (["fit", "scans/anna.stl"], "toile_out/anna"),
        (["measure", "scans/berta.glb"], "toile_out/berta"),
        (["fit", "anna.stl", "--out", "here"], "here"),
        (["fit", "anna.stl", "--from", "tunic.svg"], "toile_out/anna-tunic"),
        (["fit", "--from", "tunic.svg"], "toile_out/tunic"),
        (["paper", "toile_out/anna/pattern.json"], "toile_out/anna"),
        (["paper", "toile_out/anna/under_pattern.json"], "toile_out/anna-under_pattern"),
        (["pictures", "kept"], "kept"),
    ],
)
def test_each_dolls_results_have_a_folder_of_their_own(
    words: list[str], folder: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tunic.svg").write_text("<svg/>")
    (tmp_path / "kept").mkdir()
    assert read_request(words).out == Path(folder)


@pytest.mark.parametrize("axis", ["-Z", "-Y", "-x", "+Y"])
def test_an_axis_may_begin_with_a_minus(axis: str) -> None:
    asked = read_request(["measure", "a.stl", "--up", axis, "--front", axis, "--quick"])
    assert (asked.up, asked.front, asked.scan) == (axis, axis, Path("a.stl"))


@pytest.mark.parametrize("verb", ["fit", "compare", "pictures"])
@pytest.mark.parametrize("content", [b"", b"Dear diary", "cut short"])
def test_a_print_that_cannot_be_read_is_refused_before_the_work(verb: str, content: object, tmp_path: Path) -> None:
    whole = (ROOT / "sample_meshes" / "pictures" / "front.png").read_bytes()
    (tmp_path / "print.png").write_bytes(whole[:3000] if content == "cut short" else content)
    words = ["--vary", "sleeve_drop=60mm,90mm"] if verb == "compare" else []
    said = call(verb, "--print", "print.png", "--print-width", "9cm", *words, cwd=tmp_path)
    assert "--print print.png cannot be read as a picture" in refused(said)
    assert "measuring" not in said.stdout
    assert [path.name for path in tmp_path.iterdir()] == ["print.png"]


def test_what_is_refused_is_one_of_our_errors() -> None:
    with pytest.raises(OptionError):
        read_request(["fit", "--nothing"])
    with pytest.raises(LengthError):
        read_request(["fit", "--height", "-1mm"])
    assert issubclass(OptionError, ToileError)


class Screen(io.StringIO):
    """A terminal."""

    def isatty(self) -> bool:
        return True


def test_progress_rewrites_one_line_on_a_terminal_and_leaves_it_clean() -> None:
    screen = Screen()
    with Progress(screen) as progress:
        for share in np.linspace(0.0, 1.0, 50):
            progress.tell("settling", float(share))
    assert "\n" not in screen.getvalue()
    assert "settling   0%" in screen.getvalue()
    assert screen.getvalue().endswith("\r\x1b[K")


def test_progress_is_one_line_a_stage_in_a_log() -> None:
    log = io.StringIO()
    with Progress(log) as progress:
        for stage in ("sewing", "sewing", "settling"):
            progress.tell(stage, 0.5)
    assert log.getvalue() == "sewing ...\nsettling ...\n"
