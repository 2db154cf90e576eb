"""Scans as programs export them: marks and indents in text, names with spaces, packed points, meshes placed often."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import trimesh

from drafting.body import guard
from drafting.body.scan import read_scan
from drafting.errors import ScanError

BALL = trimesh.creation.icosphere(3)


def test_an_obj_with_a_byte_order_mark_and_indents_is_the_same(tmp_path: Path) -> None:
    text = BALL.export(file_type="obj")
    (tmp_path / "plain.obj").write_text(text)
    (tmp_path / "marked.obj").write_bytes(b"\xef\xbb\xbf" + text[text.index("v ") :].encode())
    (tmp_path / "indented.obj").write_text("\n".join(f" \t{line}" for line in text.splitlines()))
    plain = read_scan(tmp_path / "plain.obj")
    assert len(plain.faces) == len(BALL.faces)
    for name in ("marked", "indented"):
        other = read_scan(tmp_path / f"{name}.obj")
        assert np.array_equal(other.vertices, plain.vertices)
        assert np.array_equal(other.faces, plain.faces)


def _gltf(folder: Path, **changed: object) -> Path:
    files = trimesh.Scene(BALL).export(file_type="gltf")
    tree = json.loads(files.pop("model.gltf"))
    for buffer in tree["buffers"]:
        spaced = "a b " + buffer["uri"]
        (folder / spaced).write_bytes(files[buffer["uri"]])
        buffer["uri"] = spaced.replace(" ", "%20")
    path = folder / "doll.gltf"
    path.write_text(json.dumps({**tree, **changed}))
    return path


def test_a_gltf_finds_names_with_percent_signs(tmp_path: Path) -> None:
    found = read_scan(_gltf(tmp_path))
    assert len(found.faces) == len(BALL.faces)
    assert np.allclose(np.ptp(found.vertices, axis=0), BALL.extents, atol=1e-6)


@pytest.mark.parametrize(("extension", "name"), guard.PACKED.items())
def test_packed_points_are_told_by_name(extension: str, name: str, tmp_path: Path) -> None:
    with pytest.raises(ScanError, match=f"packed with {name} compression; export it without"):
        read_scan(_gltf(tmp_path, extensionsRequired=[extension]))


def test_meshes_placed_too_often_are_refused_before_they_are(tmp_path: Path) -> None:
    tree = json.loads(_gltf(tmp_path).read_text())
    mesh = next(i for i, node in enumerate(tree["nodes"]) if "mesh" in node)
    nodes = [*tree["nodes"], *[{"mesh": tree["nodes"][mesh]["mesh"]}] * 20_000]
    with pytest.raises(ScanError, match="places its meshes so often"):
        read_scan(_gltf(tmp_path, nodes=nodes))


def test_points_that_are_only_promised_are_refused(tmp_path: Path) -> None:
    sparse = {"count": guard.MOST_HELD, "componentType": 5126, "type": "VEC3", "sparse": {"count": 1}}
    with pytest.raises(ScanError, match=r"promises more points|asks for"):
        read_scan(_gltf(tmp_path, accessors=[sparse] * 9))


def test_a_face_of_thousands_of_corners_is_refused(tmp_path: Path) -> None:
    text = BALL.export(file_type="obj") + "\nf " + " ".join(str(i % 600 + 1) for i in range(2000)) + "\n"
    (tmp_path / "wide.obj").write_text(text)
    with pytest.raises(ScanError, match="2000 corners"):
        read_scan(tmp_path / "wide.obj")


def test_a_scan_of_two_sides_is_read_with_one(tmp_path: Path) -> None:
    both = trimesh.Trimesh(BALL.vertices, np.vstack([BALL.faces, BALL.faces[:, ::-1]]), process=False)
    both.export(tmp_path / "both.stl")
    found = read_scan(tmp_path / "both.stl")
    assert len(found.faces) == len(BALL.faces)
    assert len(found.vertices) == len(BALL.vertices)


@pytest.mark.parametrize("off", [1e-6, 1e-4, 1e-3])
def test_triangles_that_are_joined_but_for_rounding_are_joined(off: float, tmp_path: Path) -> None:
    dice = np.random.default_rng(5)
    loose = BALL.vertices[BALL.faces].reshape(-1, 3)
    loose = loose + dice.uniform(-off, off, loose.shape)
    path = tmp_path / "loose.stl"
    trimesh.Trimesh(loose, np.arange(len(loose)).reshape(-1, 3), process=False).export(path)
    found = read_scan(path)
    whole = trimesh.Trimesh(found.vertices, found.faces, process=False)
    assert len(found.vertices) == len(BALL.vertices)
    assert whole.is_watertight
    assert abs(whole.volume / BALL.volume - 1) < 0.01
