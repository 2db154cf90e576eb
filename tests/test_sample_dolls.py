"""The sample dolls are sound bodies, made by the numbers that stand in scripts/dolls; the analytic doll is exact."""

from __future__ import annotations

import functools
from math import cos, radians, sin
from pathlib import Path

import numpy as np
import pytest
import trimesh
from analytic_doll import analytic_doll
from scipy.spatial import ConvexHull

from scripts.dolls.anatomy import body
from scripts.dolls.forms import FORMS, QUARTER_CURVY, Form
from scripts.dolls.frame import y_up, z_up

FOLDER = Path(__file__).resolve().parent.parent / "sample_meshes"
SCAN = FOLDER / "quarter_scan.stl"
UP = np.array([0.0, 0.0, 1.0])
each_doll = pytest.mark.parametrize("form", FORMS, ids=lambda form: form.name)
LEVEL_GIRTHS = ("bust", "waist", "hip", "neck", "thigh", "ankle")


@functools.cache
def doll(form: Form) -> trimesh.Trimesh:
    """The file's mesh in the doll's frame, mm."""
    read = trimesh.load(FOLDER / f"{form.name}.glb", force="mesh", process=False)
    return trimesh.Trimesh(z_up(np.asarray(read.vertices)) * 1000, read.faces, process=False)


@functools.cache
def scan_parts() -> tuple[trimesh.Trimesh, ...]:
    """The scan's pieces, the greatest first."""
    read = trimesh.load(SCAN)
    whole = trimesh.Trimesh(z_up(np.asarray(read.vertices)), read.faces, process=False)
    return tuple(sorted(whole.split(only_watertight=False), key=lambda part: -part.area))


def loops(mesh: trimesh.Trimesh, origin: np.ndarray, normal: np.ndarray) -> list[np.ndarray]:
    """Closed lines in which a plane cuts the mesh, each (k, 3)."""
    return list(mesh.section(plane_origin=origin, plane_normal=normal).discrete)


def walked(loop: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(loop, axis=0), axis=1).sum())


def tape(loop: np.ndarray) -> float:
    """Length of a taut tape round a level loop: the perimeter of its hull, which scipy calls `area` in the plane."""
    return float(ConvexHull(loop[:, :2]).area)


def trunk_tape(form: Form, share: float) -> float:
    """Tape round the trunk at a level, as a share of the height; arms are other loops."""
    found = loops(doll(form), share * form.height_mm * UP, UP)
    return max(tape(loop) for loop in found if np.abs(loop[:, 0]).min() < 0.1 * form.height_mm) / form.height_mm


# --- three dolls ---------------------------------------------------------------------------------------------------


@each_doll
def test_doll_is_one_closed_skin_seen_from_outside(form: Form) -> None:
    mesh = doll(form)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume > 0
    assert mesh.body_count == 1
    assert mesh.euler_number == 2  # no handles: neither fingers nor thighs have grown together
    assert np.degrees(mesh.face_angles.min()) > 10
    assert 8_000 <= len(mesh.vertices) <= 14_100


@each_doll
def test_doll_stands_on_the_floor_as_high_as_asked_facing_minus_y(form: Form) -> None:
    points = doll(form).vertices
    assert points[:, 2].min() == pytest.approx(0, abs=0.01)
    assert np.ptp(points[:, 2]) == pytest.approx(form.height_mm, abs=0.1)
    feet = points[points[:, 2] < 0.02 * form.height_mm]
    assert -feet[:, 1].min() > 2 * feet[:, 1].max() > 0
    assert (points[:, 0].min() + points[:, 0].max()) == pytest.approx(0, abs=0.2)


@each_doll
def test_file_is_what_the_numbers_make(form: Form) -> None:
    points = doll(form).vertices
    assert np.abs(body(form)(points / form.height_mm)).max() * form.height_mm < 0.005


@each_doll
def test_hands_have_five_fingers(form: Form) -> None:
    slope, size = radians(form.arm_below_level), form.hand / 0.100
    along = form.upper_arm + form.forearm + 0.0585 * size  # past the webs, before the tip of the thumb
    for side in (1, -1):
        way = np.array([side * cos(slope), 0, -sin(slope)])
        shoulder = np.array([side * form.shoulder_half, 0.008, form.shoulder])
        found = loops(doll(form), (shoulder + along * way) * form.height_mm, way)
        hand = [loop for loop in found if side * loop[:, 0].mean() > form.shoulder_half * form.height_mm * 1.5]
        assert len(hand) == 5


@each_doll
def test_thighs_part_below_the_crotch(form: Form) -> None:
    def legs(share: float) -> int:
        found = loops(doll(form), share * form.height_mm * UP, UP)
        return sum(np.abs(loop[:, 0]).max() < 0.15 * form.height_mm for loop in found)

    assert [legs(0.46), legs(0.49)] == [2, 1]


@each_doll
def test_girths_are_a_woman_s_made_curvier_or_slimmer(form: Form) -> None:
    """Mean woman: chest .52, waist .42, hip .58 of height (Heinz et al. 2003, J. Stat. Educ. 11(2))."""
    bust, waist, hip = (trunk_tape(form, level) for level in (form.bust, form.waist, 0.500))
    if "curvy" in form.name:
        assert 0.52 < bust < 0.56
        assert 0.36 < waist < 0.40
        assert 0.56 < hip < 0.61
    else:
        assert 0.40 < bust < 0.45
        assert 0.30 < waist < 0.34
        assert 0.43 < hip < 0.48


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.*")), ids=lambda path: path.name)
def test_samples_stay_below_4_mb(path: Path) -> None:
    assert path.stat().st_size < 4e6


def test_frames_turn_back() -> None:
    points = np.random.default_rng(1).normal(size=(9, 3))
    assert np.array_equal(z_up(y_up(points)), points)
    assert np.array_equal(y_up(np.array([[0.0, -1.0, 2.0]])), [[0.0, 2.0, 1.0]])


def test_the_same_numbers_make_the_same_doll() -> None:
    pytest.importorskip("skimage")
    pytest.importorskip("fast_simplification")
    from scripts.dolls.bodies import doll as build

    (points, faces), again = build(QUARTER_CURVY, 1 / 140, 3_000), build(QUARTER_CURVY, 1 / 140, 3_000)
    assert np.isfinite(points).all()
    assert points == pytest.approx(again[0], abs=1e-9)  # vector units round the last bit as memory happens to lie
    assert np.array_equal(faces, again[1])


# --- the scan ------------------------------------------------------------------------------------------------------


def test_scan_has_fifteen_parts_on_fourteen_balls_and_one_hole() -> None:
    parts = scan_parts()
    assert len(parts) == 15 + 14
    torn = [part for part in parts if not part.is_watertight]
    assert len(torn) == 1
    rim = trimesh.grouping.group_rows(torn[0].edges_sorted, require_count=1)
    edges = torn[0].edges_sorted[rim]
    assert len(trimesh.graph.connected_components(edges, min_len=3)) == 1
    corners = torn[0].vertices[np.unique(edges)]
    assert corners[:, 1].min() > 0  # in the back
    assert 3 < np.ptp(corners[:, 0]) < 12


def test_scan_is_in_millimetres_with_y_up() -> None:
    low, high = trimesh.load(SCAN).bounds
    assert high[1] - low[1] == pytest.approx(QUARTER_CURVY.height_mm, abs=1)


def test_scan_noise_is_a_tenth_of_a_millimetre() -> None:
    points = np.concatenate([part.vertices for part in scan_parts()])
    head = points[points[:, 2] > (QUARTER_CURVY.chin + 0.02) * QUARTER_CURVY.height_mm]  # above the neck's ball
    off = body(QUARTER_CURVY)(head / QUARTER_CURVY.height_mm) * QUARTER_CURVY.height_mm
    assert off.std() == pytest.approx(0.1, rel=0.1)
    assert abs(off.mean()) < 0.02


def test_scan_parts_leave_small_gaps() -> None:
    """Between the levels cut at waist and thigh: vertices of one part, by the cut, from the other part's surface."""
    chest, pelvis, *thighs = scan_parts()[:4]
    for upper, lower in ((chest, pelvis), (pelvis, thighs[0]), (pelvis, thighs[1])):
        edge = lower.vertices[lower.vertices[:, 2] > lower.vertices[:, 2].max() - 1.0]
        _, gap, _ = trimesh.proximity.closest_point(upper, edge)
        assert 0.4 < np.median(gap) < 0.8


# --- the analytic doll ---------------------------------------------------------------------------------------------


@functools.cache
def exact() -> tuple[trimesh.Trimesh, dict[str, float]]:
    points, faces, sizes = analytic_doll()
    return trimesh.Trimesh(points, faces, process=False), sizes


def test_analytic_doll_is_one_closed_skin() -> None:
    mesh, sizes = exact()
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume > 0
    assert mesh.body_count == 1
    assert mesh.euler_number == 2
    assert mesh.bounds[0][2] == 0
    assert mesh.extents[2] == pytest.approx(sizes["height"], abs=1e-9)
    assert mesh.area_faces.min() > 1e-3


@pytest.mark.parametrize("name", LEVEL_GIRTHS)
@pytest.mark.parametrize("share", [0.02, 0.5, 0.98])
def test_analytic_level_girths_are_the_closed_form(name: str, share: float) -> None:
    mesh, sizes = exact()
    low, high = sizes[f"{name}_low"], sizes[f"{name}_high"]
    found = loops(mesh, (low + share * (high - low)) * UP, UP)
    legs = name in ("thigh", "ankle")
    own = [walked(loop) for loop in found if np.abs(loop[:, 0].mean()) < (45 if legs else 5)]  # without the arms
    assert len(own) == (2 if legs else 1)
    assert own == pytest.approx([sizes[f"{name}_girth"]] * len(own), rel=1e-3)


@pytest.mark.parametrize("name", ["upper_arm", "wrist"])
@pytest.mark.parametrize("side", [1, -1])
def test_analytic_arm_girths_are_the_closed_form(name: str, side: int) -> None:
    mesh, sizes = exact()
    slope = radians(sizes["arm_below_level"])
    way = np.array([side * cos(slope), 0, -sin(slope)])
    root = np.array([side * sizes["arm_x"], 0, sizes["arm_z"]])
    for share in (0.02, 0.5, 0.98):
        centre = root + (sizes[f"{name}_from"] * (1 - share) + sizes[f"{name}_to"] * share) * way
        girth = min(loops(mesh, centre, way), key=lambda loop: np.linalg.norm(loop.mean(0) - centre))
        assert walked(girth) == pytest.approx(sizes[f"{name}_girth"], rel=1e-3)


def test_analytic_head_is_a_ball() -> None:
    mesh, sizes = exact()
    radius = sizes["head_girth"] / (2 * np.pi)
    girth = max(walked(loop) for loop in loops(mesh, (sizes["height"] - radius) * UP, UP))
    assert girth == pytest.approx(sizes["head_girth"], rel=2e-3)
