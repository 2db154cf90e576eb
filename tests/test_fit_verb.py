"""The main job from end to end on the sample doll: every promised file, every promised figure."""

from __future__ import annotations

import csv
import json
import math
import struct
import subprocess
from pathlib import Path

import numpy as np
import pytest
import trimesh

from addon import keep
from drafting.pattern.record import read_record
from tests.analytic_doll import analytic_doll
from tests.test_commands import call, refused


@pytest.fixture(scope="module")
def fitted(tmp_path_factory: pytest.TempPathFactory) -> tuple[subprocess.CompletedProcess, Path]:
    out = tmp_path_factory.mktemp("fit") / "out"
    said = call("fit", "--out", out, "--size", "300")
    assert said.returncode == 0, said.stdout + said.stderr
    return said, out


@pytest.fixture(scope="module")
def record(fitted) -> dict:
    return json.loads((fitted[1] / "fit.json").read_text())


def size_of(path: Path) -> tuple[int, int]:
    """Width and height in a PNG's header (ISO/IEC 15948, 11.2.2)."""
    data = path.read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", data[16:24])
    return width, height


def test_all_files_are_there_and_the_folder_is_told(fitted) -> None:
    said, out = fitted
    promised = {"measures.json", "pattern.json", "draft.svg", "fit.json", "drape.glb", "report.html"}
    views = {"front.png", "back.png", "side.png", "room.png", "pull.png", "touch.png"}
    assert promised | views <= {path.name for path in out.iterdir()}
    assert all(size_of(out / name) == (300, 300) for name in views)
    assert len({(out / name).read_bytes() for name in views}) == len(views)
    assert str(out) in said.stdout
    assert said.stderr == ""


def test_the_record_holds_what_the_contract_names(record) -> None:
    assert record["verdict"] in {"fits", "tight", "loose", "does not close"}
    levels = {level["name"]: level for level in record["levels"]}
    assert {"bust", "waist", "hip"} <= set(levels)
    for level in levels.values():
        assert {"height_mm", "body_girth_mm", "garment_girth_mm", "ease_mm", "wanted_mm", "verdict"} <= set(level)
    for field, parts in {
        "gap_mm": ("p05", "median", "p95", "max"),
        "stretch": ("p99", "max"),
        "seams": ("count", "widest_open_mm", "longest_mismatch_mm"),
        "below_skin": ("deepest_mm", "share"),
        "hem": ("above_floor_mm",),
        "sleeve": ("past_wrist_mm", "drop_mm"),
        "settled": ("p99_mm_per_s",),
        "cloth": ("vertices", "edge_mm", "fabric", "stiffness"),
        "seconds": ("total", "solver", "pictures"),
    }.items():
        assert set(parts) <= set(record[field])
    assert isinstance(record["advice"], list)
    assert 0.0 <= record["contact_share"] <= 1.0


def test_the_seams_are_closed_and_the_cloth_at_rest(record) -> None:
    assert record["seams"]["widest_open_mm"] == 0.0
    assert record["seams"]["widest_welded_mm"] <= 1.5
    assert record["settled"]["p99_mm_per_s"] <= 5.0
    assert record["crossings"] == 0
    assert record["below_skin"]["deepest_mm"] <= 0.3
    assert record["below_skin"]["share"] <= 0.005
    assert record["fronts"] == "left over right"


def test_the_threads_hardly_stretch_and_the_bias_gives(record) -> None:
    """Woven cloth: warp and weft keep their lengths; what the cloth gives to lie on a body it gives by shear."""
    stretch = record["stretch"]
    assert stretch["edges"]["p99"] <= 0.02
    for thread in ("warp", "weft"):
        assert stretch[thread]["p95"] <= 0.01
        assert stretch["bias"]["p95"] > 2.0 * stretch[thread]["p95"]


def test_the_layers_are_the_robe_and_its_sash(record) -> None:
    robe, sash = record["layers"]
    assert (robe["name"], sash["name"]) == ("robe", "sash")
    assert robe["takes_mm"] == pytest.approx(2.0 * math.pi * record["cloth"]["fabric"]["thickness_mm"], abs=1e-3)
    assert set(robe["girths"]) == {level["name"] for level in record["levels"]}
    assert record["under"] is None


def test_the_seconds_are_parts_of_a_whole(record) -> None:
    seconds = record["seconds"]
    assert seconds["solver"] > 0.0
    assert seconds["pictures"] > 0.0
    assert seconds["solver"] + seconds["pictures"] <= seconds["total"]


def test_the_model_is_the_doll_and_the_cloth_in_metres(fitted, record) -> None:
    scene = trimesh.load(fitted[1] / "drape.glb")
    assert set(scene.geometry) == {"body", "garment"}
    body, garment = scene.geometry["body"], scene.geometry["garment"]
    assert np.ptp(body.vertices[:, 1]) == pytest.approx(0.42, abs=1e-4)  # glTF 2.0: metres, +Y up
    assert garment.area == pytest.approx(panel_area(fitted[1]), rel=0.05)
    assert record["hem"]["above_floor_mm"] == pytest.approx(garment.vertices[:, 1].min() * 1000.0, abs=15.0)


def panel_area(out: Path) -> float:
    """All worn pieces' area by the shoelace formula, square metres."""
    pattern = read_record(json.loads((out / "pattern.json").read_text()))
    total = 0.0
    for panel in pattern.panels:
        points = np.concatenate([edge.points[:-1] for edge in (panel.worn or panel.edges)])
        x, y = points.T
        total += panel.cut * 0.5 * float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
    return total * 1e-6


def test_the_report_stands_alone_and_says_the_verdict(fitted, record) -> None:
    page = (fitted[1] / "report.html").read_text()
    assert record["verdict"].lower() in page.lower()
    assert page.count("data:image/png;base64,") >= 4
    assert "http://" not in page.replace("http://www.w3.org", "")
    assert "https://" not in page


def test_pictures_are_taken_from_a_kept_fit(fitted, tmp_path: Path) -> None:
    said = call("pictures", fitted[1], "--out", tmp_path / "shop", "--size", "200", "--colour", "#a04050")
    assert said.returncode == 0, said.stderr
    names = {"listing_front.png", "listing_three_quarter.png", "listing_back.png", "listing_detail.png"}
    assert {path.name for path in (tmp_path / "shop").iterdir()} == names
    assert all(size_of(tmp_path / "shop" / name) == (200, 200) for name in names)
    assert "sewing" not in said.stdout
    said = call("pictures", fitted[1], "--out", tmp_path / "print", "--size", "200", "--print", "sample")
    assert said.returncode == 0, said.stderr
    plain, printed = ((tmp_path / name / "listing_detail.png").read_bytes() for name in ("shop", "print"))
    assert plain != printed


def test_a_folder_without_a_fit_or_with_a_damaged_one_is_one_line(tmp_path: Path) -> None:
    assert "holds no fit" in refused(call("pictures", tmp_path, "--out", tmp_path / "out"))
    (tmp_path / "fit.toile").write_bytes(b"damaged")
    assert "make the fit again" in refused(call("pictures", tmp_path, "--out", tmp_path / "out"))
    assert not (tmp_path / "out").exists()


def test_what_is_kept_is_what_was_written(fitted, record) -> None:
    _, pattern, draped, fit = keep.unpack((fitted[1] / "fit.toile").read_bytes())
    assert len(draped.cloth.vertices) == record["cloth"]["vertices"]
    assert fit.verdict == record["verdict"]
    assert len(pattern.panels) == len(read_record(json.loads((fitted[1] / "pattern.json").read_text())).panels)


@pytest.mark.drape
def test_compare_lays_the_variants_side_by_side_and_drops_differ_as_drafted(tmp_path: Path) -> None:
    said = call("compare", "--vary", "sleeve_drop=70mm,110mm", "--size", "200", "--out", tmp_path)
    assert said.returncode == 0, said.stderr
    width, height = size_of(tmp_path / "compare.png")
    assert width == 400
    assert height > 200
    rows = list(csv.DictReader((tmp_path / "compare.csv").open()))
    variants = json.loads((tmp_path / "compare.json").read_text())["variants"]
    assert [row["sleeve_drop"] for row in rows] == [one["value"] for one in variants] == ["70mm", "110mm"]
    drops = [float(row["sleeve_drop_mm"]) for row in rows]
    assert drops == [one["fit"]["sleeve"]["drop_mm"] for one in variants]
    assert drops[1] - drops[0] == pytest.approx(40.0, abs=3.0)
    for side in ("left", "right"):  # straight through the air it is less, and the deeper sleeve still hangs deeper
        hangs = [float(row[f"sleeve_hangs_{side}_mm"]) for row in rows]
        assert hangs[0] < hangs[1] < drops[1]


@pytest.mark.drape
def test_a_draped_robe_is_as_wide_as_drafted(tmp_path: Path) -> None:
    """On an elliptic trunk whose girths are closed forms: a wrapped robe goes round as two backs and two fronts."""
    vertices, faces, sizes = analytic_doll()
    trimesh.Trimesh(vertices, faces, process=False).export(tmp_path / "doll.stl")
    said = call("fit", tmp_path / "doll.stl", "--height", "420mm", "--size", "100", "--out", tmp_path / "out")
    assert said.returncode == 0, said.stderr
    record = json.loads((tmp_path / "out" / "fit.json").read_text())
    pattern = read_record(json.loads((tmp_path / "out" / "pattern.json").read_text()))
    drafted = {rule.name: rule.mm for rule in pattern.rules}
    wrapped = 2 * drafted["back_width"] + 2 * drafted["front_width"]
    levels = {level["name"]: level for level in record["levels"]}
    for name in ("bust", "waist", "hip"):
        assert levels[name]["body_girth_mm"] == pytest.approx(sizes[f"{name}_girth"], rel=0.005)
    for name in ("bust", "waist", "hip"):
        assert levels[name]["garment_girth_mm"] == pytest.approx(wrapped, rel=0.02)
