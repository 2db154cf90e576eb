"""Scans as they come: formats, units, axes, and files that are no scans."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh
from analytic_doll import HEIGHT, analytic_doll
from scipy.spatial.transform import Rotation

from drafting.body.body import Skin
from drafting.body.doll import measure, read_doll
from drafting.body.scan import read_scan
from drafting.body.size import scale_for
from drafting.body.upright import find_stance
from drafting.errors import LengthError, MeasureError, OptionError, ScanError, ToileError

DOLL = analytic_doll()


def mesh(scale: float = 1.0, turn: np.ndarray | None = None) -> trimesh.Trimesh:
    vertices = DOLL[0] * scale if turn is None else DOLL[0] * scale @ turn.T
    return trimesh.Trimesh(vertices, DOLL[1], process=False)


Y_UP = np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]])


@pytest.fixture(scope="module")
def plain():
    return measure(Skin(*DOLL[:2]))


@pytest.mark.parametrize("kind", ["stl", "ply", "obj", "off", "glb", "gltf", "ascii.stl", "ascii.ply"])
def test_formats_hold_the_same_body(tmp_path, kind):
    path = tmp_path / f"doll.{kind}"
    scan = mesh(1 / 1000, Y_UP) if kind in ("glb", "gltf") else mesh()
    if kind == "gltf":
        for name, data in scan.export(file_type="gltf").items():
            (tmp_path / ("doll.gltf" if name == "model.gltf" else name)).write_bytes(data)
    elif kind.startswith("ascii"):
        exporter = {"ascii.stl": {"file_type": "stl_ascii"}, "ascii.ply": {"file_type": "ply", "encoding": "ascii"}}
        made = scan.export(**exporter[kind])
        path.write_bytes(made if isinstance(made, bytes) else made.encode())
    else:
        scan.export(path)
    found = read_scan(path)
    assert len(found.faces) == len(DOLL[1])
    assert np.ptp(found.vertices, axis=0).max() == pytest.approx(np.ptp(scan.vertices, axis=0).max(), rel=1e-5)
    assert trimesh.Trimesh(found.vertices, found.faces, process=False).is_watertight


def test_node_transforms_are_applied_and_meshes_joined(tmp_path):
    scene = trimesh.Scene()
    half = DOLL[1][DOLL[0][DOLL[1]][:, :, 2].mean(axis=1) > 250]
    rest = DOLL[1][DOLL[0][DOLL[1]][:, :, 2].mean(axis=1) <= 250]
    move = np.eye(4)
    move[:3, 3] = [10.0, 20.0, -30.0]
    for faces in (half, rest):
        part = trimesh.Trimesh(DOLL[0] - move[:3, 3], faces, process=False)
        scene.add_geometry(part, transform=move)
    path = tmp_path / "two.glb"
    scene.export(path)
    found = read_scan(path)
    assert np.allclose(np.sort(found.vertices[:, 2])[[0, -1]], [0, HEIGHT], atol=1e-3)
    assert len(found.faces) == len(DOLL[1])
    assert trimesh.Trimesh(found.vertices, found.faces, process=False).is_watertight


def test_order_of_faces_and_points_does_not_matter(tmp_path):
    chance = np.random.default_rng(5)
    points = chance.permutation(len(DOLL[0]))
    back = np.argsort(points)
    shuffled = trimesh.Trimesh(DOLL[0][points], back[chance.permutation(DOLL[1])], process=False)
    mesh().export(tmp_path / "a.ply")
    shuffled.export(tmp_path / "b.ply")
    one, two = (read_doll(tmp_path / f"{name}.ply", unit="mm") for name in "ab")
    for name, found in one.measures.items():
        assert two.measures[name].mm == pytest.approx(found.mm, abs=1e-6), name


def test_millimetres_from_height_unit_or_guess():
    assert scale_for(42.0, height_mm=420.0)[0] == pytest.approx(10.0)
    assert scale_for(16.5, unit="in")[0] == pytest.approx(25.4)
    for raw, mm, sure in ((420.0, 1.0, "fairly sure"), (42.0, 10.0, "fairly"), (16.5, 25.4, ""), (0.42, 1000.0, "")):
        scale, said = scale_for(raw)
        assert scale == mm
        assert sure in said
    assert "not sure" in scale_for(27.0)[1], "27 units may be centimetres or inches"
    assert scale_for(0.42, promised="m")[1].endswith("--height sets it.")
    with pytest.raises(LengthError, match="--height"):
        scale_for(5000.0)
    with pytest.raises(LengthError):
        scale_for(420.0, height_mm=0.0)
    with pytest.raises(LengthError):
        scale_for(420.0, unit="m")
    with pytest.raises(OptionError):
        scale_for(420.0, unit="ell")


def test_a_taped_girth_sets_the_size(tmp_path, plain):
    path = tmp_path / "doll.stl"
    mesh(0.37).export(path)
    bust = plain.measures["bust_girth"].mm
    found = read_doll(path, known={"bust_girth": bust})
    assert found.height_mm == pytest.approx(HEIGHT, rel=1e-5)
    both = read_doll(path, known={"bust_girth": bust, "waist_girth": 1.1 * plain.measures["waist_girth"].mm})
    said = next(note for note in both.skin.notes if "disagree" in note)
    assert f"{1 / 0.37:.4g}" in said
    assert f"{1.1 / 0.37:.4g}" in said
    with pytest.raises(MeasureError, match="expected one of"):
        read_doll(path, known={"bosom": 200.0})


def test_a_stand_is_cut_off(tmp_path, plain):
    plate = trimesh.creation.box([150, 120, 8])
    plate.apply_translation([0, 0, -3.5])
    scan = trimesh.util.concatenate([mesh(), plate])
    path = tmp_path / "stand.stl"
    scan.export(path)
    found = read_doll(path, unit="mm", up="+Z", front="-Y", cut_below_mm=9.0)
    assert found.height_mm == pytest.approx(HEIGHT - 1.5, abs=0.01)
    for name in ("bust_girth", "hip_girth", "thigh_girth", "arm_length"):
        assert found.measures[name].mm == pytest.approx(plain.measures[name].mm, rel=0.002), name
    assert read_doll(path, height_mm=HEIGHT, up="z", front="-y", cut_below_mm=9.0).height_mm == pytest.approx(HEIGHT)


TURNS = [Rotation.random(random_state=seed).as_matrix() for seed in range(12)]
QUARTERS = [Rotation.from_euler("xyz", angles, degrees=True).as_matrix() for angles in
            ((90, 0, 0), (-90, 0, 0), (0, 90, 0), (0, 0, 90), (180, 0, 0), (90, 0, 180), (0, -90, 90))]  # fmt: skip


@pytest.mark.parametrize("turn", [*TURNS, *QUARTERS])
def test_up_and_front_are_found_however_the_scan_lies(turn):
    shift = np.array([30.0, -700.0, 12.0])
    stance = find_stance(DOLL[0] @ turn.T + shift, DOLL[1])
    assert np.degrees(np.arccos(np.clip(np.trace(stance.turn @ turn) / 2 - 0.5, -1, 1))) < 0.3
    standing = stance.place(DOLL[0] @ turn.T + shift)
    assert standing[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    assert np.abs((standing - DOLL[0])[:, [0, 2]]).max() < 0.005 * HEIGHT
    assert np.ptp(standing[:, 1] - DOLL[0][:, 1]) < 0.01 * HEIGHT, "only moved in depth"


def test_axes_of_the_file_are_kept_exactly_where_they_agree():
    for turn in QUARTERS:
        assert np.allclose(np.abs(find_stance(DOLL[0] @ turn.T, DOLL[1]).turn).max(axis=1), 1.0, atol=1e-15)


def test_up_and_front_can_be_overruled():
    back = find_stance(*DOLL[:2], up="+Z", front="+Y")
    assert np.allclose(back.turn, [[-1, 0, 0], [0, -1, 0], [0, 0, 1]])
    assert np.allclose(find_stance(*DOLL[:2], up="z").turn, np.eye(3), atol=1e-9)
    assert np.allclose(find_stance(*DOLL[:2], front="-y").turn, np.eye(3), atol=1e-9)
    with pytest.raises(OptionError):
        find_stance(*DOLL[:2], up="+Z", front="-Z")
    with pytest.raises(OptionError):
        find_stance(*DOLL[:2], up="north")


def broken_files(folder: Path) -> dict[str, Path]:
    """Files that are no scans, by what is wrong with them."""
    good = mesh().export(file_type="stl")
    ply = mesh().export(file_type="ply")
    glb = bytes(mesh().export(file_type="glb"))
    cube = trimesh.creation.box([1, 1, 1])
    sheet = trimesh.creation.icosphere(3, 10.0)
    sheet.vertices[:, 1] = 0
    point = trimesh.Trimesh(np.tile([[1.0, 2.0, 3.0]], (300, 1)), np.arange(300).reshape(100, 3), process=False)
    nan, infinite = mesh(), mesh()
    nan.vertices[7, 1] = np.nan
    infinite.vertices[7, 1] = np.inf
    tree, start = json.loads(glb[20 : 20 + struct.unpack_from("<I", glb, 12)[0]]), glb[:12]
    del start

    def gltf(**changed: object) -> bytes:
        return json.dumps({**tree, **changed}).encode()

    many = [{**each, "count": 2**40} for each in tree["accessors"]]
    deep = [{"children": [index + 1]} for index in range(5000)] + [{"mesh": 0}]
    ring = [{"children": [1]}, {"children": [0], "mesh": 0}]
    files = {
        "empty.stl": b"",
        "text.stl": b"This is a letter about a doll, and no scan of it.\n" * 20,
        "short.stl": good[: len(good) // 2],
        "header_only.stl": good[:84],
        "half_text.stl": b"solid doll\n facet normal 0 0 1\n outer loop\n vertex 0 0 0\n vertex 1 0",
        "noise.stl": np.random.default_rng(1).bytes(5000),
        "huge_count.stl": good[:80] + b"\xff\xff\xff\x7f" + good[84:2000],
        "two.stl": trimesh.Trimesh(cube.vertices[:4], [[0, 1, 2], [1, 2, 3]], process=False).export(file_type="stl"),
        "cube.stl": cube.export(file_type="stl"),
        "sheet.stl": sheet.export(file_type="stl"),
        "point.stl": point.export(file_type="stl"),
        "nan.stl": nan.export(file_type="stl"),
        "infinite.stl": infinite.export(file_type="stl"),
        "short.ply": ply[: len(ply) // 2],
        "huge_count.ply": b"ply\nformat binary_little_endian 1.0\nelement vertex 2000000000\nproperty float x\n"
        b"property float y\nproperty float z\nend_header\n" + bytes(200),
        "word_count.ply": ply.replace(b"element vertex ", b"element vertex x", 1),
        "points.ply": trimesh.PointCloud(DOLL[0]).export(file_type="ply"),
        "noise.ply": np.random.default_rng(2).bytes(5000),
        "comma.obj": b"v 1,5 2,0 3,0\nv 2,5 2,0 3,0\nv 1,5 3,0 3,0\nf 1 2 3\n" * 60,
        "no_faces.obj": b"v 1 2 3\n" * 500,
        "lost_points.obj": b"v 1 2 3\nv 2 3 4\nv 3 4 9\n" + b"f 1 2 999\n" * 200,
        "noise.obj": np.random.default_rng(3).bytes(5000),
        "huge_count.off": b"OFF\n2000000000 2000000000 0\n0 0 0\n",
        "noise.off": np.random.default_rng(4).bytes(5000),
        "short.glb": glb[: len(glb) // 2],
        "noise.glb": np.random.default_rng(6).bytes(5000),
        "not_json.glb": glb[:20] + b"{" * 200 + glb[220:],
        "away.gltf": gltf(buffers=[{"uri": "../../etc/passwd", "byteLength": 100}]),
        "net.gltf": gltf(buffers=[{"uri": "https://example.org/a.bin", "byteLength": 100}]),
        "absolute.gltf": gltf(buffers=[{"uri": "/etc/passwd", "byteLength": 100}]),
        "lost.gltf": gltf(buffers=[{"uri": "lost.bin", "byteLength": 100}]),
        "huge_count.gltf": gltf(accessors=many),
        "deep.gltf": gltf(nodes=deep),
        "ring.gltf": gltf(nodes=ring),
        "list.gltf": b"[1, 2, 3]",
        "nested.gltf": b"[" * 100000,
        "kind.xyz": b"1 2 3\n" * 200,
        "kind": b"1 2 3\n" * 200,
    }
    for name, data in files.items():
        (folder / name).write_bytes(data)
    (folder / "folder.stl").mkdir()
    return {name: folder / name for name in (*files, "folder.stl", "missing.stl")}


NAMES = [
    "empty.stl", "text.stl", "short.stl", "header_only.stl", "half_text.stl", "noise.stl", "huge_count.stl", "two.stl",
    "cube.stl", "sheet.stl", "point.stl", "nan.stl", "infinite.stl", "short.ply", "huge_count.ply", "word_count.ply",
    "points.ply", "noise.ply", "comma.obj", "no_faces.obj", "lost_points.obj", "noise.obj", "huge_count.off",
    "noise.off", "short.glb", "noise.glb", "not_json.glb", "away.gltf", "net.gltf", "absolute.gltf", "lost.gltf",
    "huge_count.gltf", "deep.gltf", "ring.gltf", "list.gltf", "nested.gltf", "kind.xyz", "kind", "folder.stl",
    "missing.stl",
]  # fmt: skip


@pytest.fixture(scope="module")
def broken(tmp_path_factory):
    return broken_files(tmp_path_factory.mktemp("broken"))


def test_every_broken_file_is_tried(broken):
    assert sorted(NAMES) == sorted(broken)


@pytest.mark.parametrize("name", NAMES)
def test_a_broken_file_is_one_clear_line(broken, name):
    with pytest.raises(ScanError) as told:
        read_scan(broken[name])
    message = str(told.value)
    assert message.startswith(name)
    assert "\n" not in message
    assert len(message) < 400


@pytest.mark.parametrize("height", [0.0, -5.0, float("nan"), float("inf"), 1e9])
def test_a_height_that_no_doll_has(tmp_path, height):
    mesh().export(tmp_path / "doll.stl")
    with pytest.raises(LengthError, match="height"):
        read_doll(tmp_path / "doll.stl", height_mm=height)


@pytest.mark.parametrize("shape", [trimesh.creation.icosphere(4, 100.0), trimesh.creation.torus(100, 30)])
def test_a_thing_that_is_no_doll(tmp_path, shape):
    """Either a clear error or a body that says what it lacks; never a traceback of another kind."""
    shape.export(tmp_path / "thing.stl")
    try:
        found = read_doll(tmp_path / "thing.stl", unit="mm")
    except ToileError:
        return
    assert len(found.missing) > 15
