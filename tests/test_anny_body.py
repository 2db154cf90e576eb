"""A body that nobody here made, against sections and hulls by other libraries.

The columns are those of the published base mesh: trimesh cuts it, scipy takes the hull.
"""

from __future__ import annotations

import functools

import numpy as np
import pytest
import trimesh
from bodies import anny_body, anny_upright
from scipy.spatial import ConvexHull

from drafting.body.body import Body, Part, Skin
from drafting.body.doll import measure, read_doll


@functools.cache
def body(female: bool) -> Body:
    return measure(Skin(*anny_upright(female)))


def column(female: bool, level: float) -> float:
    """Hull of the one loop about the middle, at a share of the height, by trimesh and scipy."""
    vertices, faces = anny_upright(female)
    height = np.ptp(vertices[:, 2])
    section = trimesh.Trimesh(vertices, faces, process=False).section(
        plane_origin=[0, 0, level * height], plane_normal=[0, 0, 1]
    )
    loop = min(section.discrete, key=lambda each: abs(each[:, 0].min() + each[:, 0].max()))
    return float(ConvexHull(loop[:, :2]).area)  # scipy's name for the perimeter in two dimensions


@pytest.mark.parametrize("female", [False, True])
@pytest.mark.parametrize("name", ["waist_girth", "hip_girth", "bust_girth", "chest_girth", "upper_hip_girth"])
def test_girths_are_hulls_of_the_trunk(female, name):
    found = body(female).measures[name]
    assert found.level_mm is not None
    assert found.mm == pytest.approx(column(female, found.level_mm / body(female).height_mm), rel=1e-4)


@pytest.mark.parametrize(
    ("female", "name", "extreme", "low", "high"),
    [
        (False, "waist_girth", min, 0.58, 0.72),
        (False, "hip_girth", max, 0.466, 0.60),
        (True, "waist_girth", min, 0.58, 0.70),
        (True, "hip_girth", max, 0.466, 0.60),
        (True, "bust_girth", max, 0.69, 0.755),
    ],
)
def test_levels_are_the_extremes_of_the_column(female, name, extreme, low, high):
    """Within 0.3 %, and above 0.76 of the height, where the arms join, no girth is taken as the bust."""
    wanted = extreme(column(female, level) for level in np.linspace(low, high, 60))
    assert body(female).measures[name].mm == pytest.approx(wanted, rel=0.003)


@pytest.mark.parametrize("female", [False, True])
def test_nothing_is_missing_and_both_sides_agree(female):
    assert body(female).missing == ()
    for found in body(female).measures.values():
        if found.left is not None and found.right is not None:
            assert found.left == pytest.approx(found.right, rel=0.01, abs=0.3), found.name


@pytest.mark.parametrize("female", [False, True])
def test_parts_of_the_skin(female):
    """Arms are mirror images, whole to the finger tips, and reach no farther in than the armpits."""
    vertices, parts = body(female).skin.vertices, body(female).parts
    left, right = vertices[parts == Part.ARM_LEFT], vertices[parts == Part.ARM_RIGHT]
    assert len(left) == pytest.approx(len(right), rel=0.01)
    assert left[:, 0].max() == vertices[:, 0].max()
    assert right[:, 0].min() == vertices[:, 0].min()
    inner = 0.75 * body(female).landmarks["armpit_left"][0]
    assert left[:, 0].min() > inner
    assert right[:, 0].max() < -inner
    # Everything as far out as the forearms is arm: the trunk is at most 0.14 of the height wide to each side.
    far = np.abs(vertices[:, 0]) > 0.165 * body(female).height_mm
    assert np.isin(parts[far], [Part.ARM_LEFT, Part.ARM_RIGHT]).all()


def test_arm_lines_run_inside_the_arm():
    female = False
    vertices, faces = anny_upright(female)
    mesh = trimesh.Trimesh(vertices, faces, process=False)
    for arm in body(female).arms.values():
        along = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(arm.axis, axis=0), axis=1))])
        to_wrist = arm.axis[along <= arm.wrist]
        assert mesh.contains(to_wrist).all()
        assert 0.4 < arm.elbow / arm.wrist < 0.7


def test_the_file_in_its_own_axes_and_unit(tmp_path):
    vertices, faces = anny_body()
    path = tmp_path / "base.obj"
    trimesh.Trimesh(vertices, faces, process=False).export(path)
    found = read_doll(path, height_mm=float(np.ptp(anny_upright()[0][:, 2])))
    assert found.height_mm == pytest.approx(np.ptp(anny_upright()[0][:, 2]))
    for name, measure_ in body(False).measures.items():
        assert found.measures[name].mm == pytest.approx(measure_.mm, abs=0.001), name
    assert found.skin.axes == ("+Y", "+Z")
