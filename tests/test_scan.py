"""Scans as they come: formats, units, axes, and files that are no scans."""

from __future__ import annotations

import sys

import numpy as np
import pytest
import trimesh
from analytic_doll import HEIGHT, analytic_doll
from scipy.spatial.transform import Rotation

from drafting.body.body import Skin
from drafting.body.doll import measure, read_doll
from drafting.body.mend import is_closed, unfolded
from drafting.body.scan import read_scan
from drafting.body.size import scale_for
from drafting.body.skin import clean_skin
from drafting.body.upright import AS_FOUND, Turned, find_stance
from drafting.errors import LengthError, MeasureError, OptionError, ToileError

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


def test_an_obj_opens_no_file_but_itself(tmp_path):
    """Materials and textures that it names, outside its folder or in it, are never opened."""
    inside = tmp_path / "scans"
    inside.mkdir()
    path, outside = inside / "doll.obj", tmp_path / "secret.mtl"
    outside.write_text("newmtl skin\nmap_Kd /etc/hostname\n")
    (inside / "skin.mtl").write_text("newmtl skin\nmap_Kd ../secret.mtl\n")
    text = mesh().export(file_type="obj")
    path.write_text(f"mtllib ../secret.mtl\nmtllib {outside}\nmtllib skin.mtl\nusemtl skin\n{text}")
    opened: list[str] = []
    listening = [True]

    def hear(event: str, arguments: tuple) -> None:
        if listening and event == "open":
            opened.append(str(arguments[0]))

    sys.addaudithook(hear)
    found = read_scan(path)
    listening.clear()
    assert len(found.faces) == len(DOLL[1])
    assert str(path) in opened
    assert not [name for name in opened if name.endswith(".mtl") or "hostname" in name]


def test_binary_stl_is_read_as_trimesh_reads_it(tmp_path):
    path = tmp_path / "doll.stl"
    mesh().export(path)
    theirs = trimesh.load(path, process=False)
    ours = read_scan(path)
    rows = [np.unique(turned(each), axis=0) for each in (ours.vertices[ours.faces], theirs.triangles)]
    assert np.array_equal(*rows)


def turned(triangles: np.ndarray) -> np.ndarray:
    """(m, 9) each triangle from the corner that comes first by x, then y, then z."""
    x, y, z = np.moveaxis(triangles, 2, 0)
    first = np.lexsort((z, y, x), axis=1)[:, 0]
    return np.take_along_axis(triangles, ((first[:, None] + np.arange(3)) % 3)[:, :, None], axis=1).reshape(-1, 9)


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


def test_millimetres_from_height_unit_or_doubtful_guess():
    assert scale_for(42.0, height_mm=420.0).mm == pytest.approx(10.0)
    assert scale_for(16.5, unit="in").mm == pytest.approx(25.4)
    for raw, mm in ((420.0, 1.0), (42.0, 10.0), (16.5, 25.4), (0.42, 1000.0)):
        scale = scale_for(raw)
        assert scale.mm == mm
        assert [doubt.about for doubt in scale.doubts] == ["size"], "a file without a unit leaves its size a guess"
    told = scale_for(600 / 25.4).doubts[0].sentence
    assert "236.2 mm" in told
    assert "600.0 mm" in told, "both readings are named where two can be"
    own = scale_for(0.42, promised="m")
    assert own.mm == 1000.0
    assert not own.doubts, "the file format's own unit is no guess"
    with pytest.raises(LengthError, match="true height"):
        scale_for(5000.0)
    with pytest.raises(LengthError):
        scale_for(420.0, height_mm=0.0)
    with pytest.raises(LengthError):
        scale_for(420.0, unit="m")
    with pytest.raises(OptionError):
        scale_for(420.0, unit="ell")


@pytest.mark.parametrize(
    ("raw", "height_mm", "meant"),
    [(420.0, 1066.8, "42 cm"), (42.0, 1066.8, "42 cm"), (420.0, 42.0, "42 cm"), (600.0, 600 / 2.54, "23.62 in"),
     (420.0, 420.0, ""), (0.42, 420.0, ""), (371.0, 420.0, "")],
)  # fmt: skip
def test_a_height_in_another_unit_than_was_meant(raw, height_mm, meant):
    """Improbable in itself, or just the scan's own in another unit; any other scan is as large as it is said."""
    doubts = scale_for(raw, height_mm=height_mm).doubts
    assert [f"Did you mean {meant}?" in doubt.sentence for doubt in doubts] == [True] * bool(meant)


def test_a_measure_taped_in_another_unit_than_was_meant(plain):
    true = plain.measures["waist_girth"].mm
    for factor, unit in ((0.1, "cm"), (10.0, "mm"), (1 / 25.4, "in")):
        found = measure(Skin(*DOLL[:2]), taped={"waist_girth": true * factor}).doubts
        told = next(doubt.sentence for doubt in found if doubt.about == "waist_girth")
        assert told.endswith(f"{unit}?")
        assert f"{true / {'cm': 10.0, 'mm': 1.0, 'in': 25.4}[unit]:.4g} {unit}" in told


def test_a_taped_girth_sets_the_size(tmp_path, plain):
    path = tmp_path / "doll.stl"
    mesh(0.37).export(path)
    bust = plain.measures["bust_girth"].mm
    found = read_doll(path, known={"bust_girth": bust})
    assert found.height_mm == pytest.approx(HEIGHT, rel=1e-5)
    both = read_doll(path, known={"bust_girth": bust, "waist_girth": 1.1 * plain.measures["waist_girth"].mm})
    said = next(doubt.sentence for doubt in both.doubts if "disagree" in doubt.sentence)
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


def test_turning_is_a_group_of_eight_ways_to_stand():
    """Four quarters are none, over and over is none, each way back; matrices compose as the ways do."""
    ways = {AS_FOUND}
    for _ in range(4):
        ways |= {new for way in ways for new in (way.by(1), way.by(-1), way.over())}
    assert len(ways) == 8
    over = np.diag([-1.0, 1.0, -1.0])
    for way in ways:
        assert way.by(4) == way == way.over().over() == way.by(1).by(-1) == way.by(2).by(2)
        assert np.linalg.det(way.matrix) == pytest.approx(1.0)
        assert np.array_equal(way.by(1).matrix, Turned(1).matrix @ way.matrix)
        assert np.array_equal(way.over().matrix, over @ way.matrix)
    left_hand = np.array([1.0, 0.0, 0.0])
    assert np.array_equal(Turned(1).matrix @ [0.0, -1.0, 0.0], left_hand), "she looks where her left hand was"


@pytest.mark.parametrize("way", [Turned(1), Turned(3), Turned(2), Turned(0, True), Turned(1, True)])
def test_a_doll_turned_by_hand_is_turned_from_where_she_was_found(way):
    found, turned = find_stance(*DOLL[:2]), find_stance(*DOLL[:2], turned=way)
    assert np.array_equal(turned.turn, way.matrix @ found.turn)
    assert turned.place(DOLL[0])[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    assert ("turned by you" in turned.note, "turned by you" in found.note) == (True, False)
    again = find_stance(*DOLL[:2], up=turned.axes[0], front=turned.axes[1])
    assert np.allclose(again.turn, turned.turn, atol=1e-9), "the command line can say the same"


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


def test_a_fin_that_encloses_nothing_is_taken_off():
    """A coarser mesh may fold onto itself: four faces at an edge, two of them back to back on the same corners."""
    vertices, faces = analytic_doll()[:2]
    a, b = faces[100, :2]
    tip = len(vertices)
    fin = np.array([[a, b, tip], [b, a, tip]])
    folded, points = np.vstack([faces, fin]), np.vstack([vertices, vertices[a] + [0.0, 0.0, 1.0]])
    assert not is_closed(folded, len(points))
    assert np.array_equal(unfolded(folded), faces)
    found = clean_skin(points, folded)
    assert found.notes == ()
    assert np.array_equal(found.faces, clean_skin(vertices, faces).faces)


def test_a_mesh_is_closed_where_each_edge_runs_both_ways():
    _, faces = analytic_doll()[:2]
    count = int(faces.max()) + 1
    assert is_closed(faces, count)
    assert is_closed(faces[:, ::-1], count)
    assert not is_closed(faces[1:], count), "a hole"
    assert not is_closed(np.vstack([faces[1:], faces[1:2]]), count), "a hole and a doubled face"
    assert not is_closed(np.vstack([faces[1:], faces[:1, ::-1]]), count), "a face turned over"
