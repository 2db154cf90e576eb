"""The gap between cloth and skin: against trimesh point by point, and against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from tubes import circle, tube_body, wrap

from drafting.fit.gap import ACCURACY, nearest, read_gap, signed_gap, weighted_quantile


def lump(seed: int, subdivisions: int = 3) -> trimesh.Trimesh:
    """A closed, dented, nowhere symmetric body."""
    mesh = trimesh.creation.icosphere(subdivisions=subdivisions)
    wave = np.random.default_rng(seed).normal(size=(3, 3)) * 3
    mesh.vertices *= (1 + 0.15 * np.sin(mesh.vertices @ wave).sum(axis=1))[:, None] * [30, 20, 60]
    return mesh


SHAPES = {
    "lump": lump(1),
    "box": trimesh.creation.box((40, 20, 90)),
    "needle": trimesh.creation.cone(2, 80, sections=5),
    "ring": trimesh.creation.torus(40, 6),
    "one triangle": trimesh.Trimesh([[0, 0, 0], [30, 0, 0], [0, 40, 5]], [[0, 1, 2]]),
    "five triangles": trimesh.Trimesh(trimesh.creation.box().vertices * 30, trimesh.creation.box().faces[:5]),
}


def scattered(mesh: trimesh.Trimesh, count: int) -> np.ndarray:
    """Points all round, near by, far away, and exactly on corners, sides and triangles."""
    rng = np.random.default_rng(7)
    size = np.ptp(mesh.vertices, axis=0).max()
    corners = mesh.vertices[mesh.faces]
    near = corners.mean(axis=1)[rng.integers(len(corners), size=count)] + rng.normal(size=(count, 3))
    far = mesh.vertices.mean(axis=0) + rng.normal(size=(count, 3)) * size
    return np.concatenate([near, far, near * 1e3, mesh.vertices, corners.mean(axis=1), corners[:, :2].mean(axis=1)])


@pytest.mark.parametrize("name", SHAPES)
def test_nearest_is_trimeshs(name):
    mesh = SHAPES[name]
    points = scattered(mesh, 300)
    distance, closest, face = nearest(points, mesh.vertices, mesh.faces)
    other, _, _ = trimesh.proximity.closest_point(mesh, points)
    scale = np.maximum(1.0, np.abs(points).max(axis=1))
    assert (np.abs(distance - np.linalg.norm(points - other, axis=1)) < 1e-9 * scale).all()
    assert np.allclose(np.linalg.norm(points - closest, axis=1), distance, rtol=0, atol=1e-9 * scale.max())
    bary = trimesh.triangles.points_to_barycentric(mesh.triangles[face], closest)
    assert bary.min() > -1e-9, "the closest point does not lie in the triangle named"


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6))
def test_sign_and_size_are_trimeshs(seed):
    mesh = lump(seed, 2)
    points = np.random.default_rng(seed).uniform(-1.2, 1.2, (200, 3)) * np.abs(mesh.vertices).max(axis=0)
    reference = -trimesh.proximity.signed_distance(mesh, points)  # trimesh counts the inside as positive
    assert np.allclose(signed_gap(points, mesh.vertices, mesh.faces), reference, rtol=0, atol=1e-9)


def test_the_sign_holds_where_the_nearest_feature_is_a_side_or_a_corner():
    """Beside a sharp ridge the normal of one triangle alone can look away from a point outside."""
    mesh = trimesh.creation.cone(2, 80, sections=3)
    tip = mesh.vertices[mesh.vertices[:, 2].argmax()]
    rng = np.random.default_rng(3)
    points = np.concatenate([tip + rng.normal(size=(500, 3)) * 3, rng.normal(size=(500, 3)) * [2, 2, 1] + [0, 0, 40]])
    found = signed_gap(points, mesh.vertices, mesh.faces)
    assert ((found < 0) == mesh.contains(points)).all()


def test_a_skin_of_loose_triangles_is_signed_as_well():
    mesh = lump(5)
    loose, faces = mesh.triangles.reshape(-1, 3), np.arange(3 * len(mesh.faces)).reshape(-1, 3)
    points = scattered(mesh, 200)
    assert np.allclose(signed_gap(points, loose, faces), signed_gap(points, mesh.vertices, mesh.faces), atol=1e-9)


def test_a_flat_triangle_without_area_does_no_harm():
    vertices = np.array([[0, 0, 0], [10, 0, 0], [0, 10, 0], [5, 0, 0], [5, 0, 0]], dtype=float)
    distance, _, _ = nearest(np.array([[3.0, 3, 4], [5, -3, 4]]), vertices, np.array([[0, 1, 2], [3, 4, 3]]))
    assert distance == pytest.approx([4, 5])


def test_no_points_no_gap():
    mesh = SHAPES["box"]
    distance, closest, face = nearest(np.zeros((0, 3)), mesh.vertices, mesh.faces)
    assert len(distance) == len(closest) == len(face) == 0


@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(st.integers(-20, 20), st.integers(1, 9)), min_size=1, max_size=30))
def test_weights_are_repetitions(pairs):
    """A whole-number weight is that many equal values, up to the rounding within one value's own span."""
    values, weights = (np.array(part, dtype=float) for part in zip(*pairs, strict=True))
    low, median, high = weighted_quantile(values, weights, (0.0, 0.5, 1.0))
    assert (low, high) == (values.min(), values.max())
    repeated = np.sort(np.repeat(values, weights.astype(int)))
    below, above = (repeated <= median).mean(), (repeated >= median).mean()
    heaviest = max(np.bincount((values - values.min()).astype(int), weights)) / weights.sum()
    assert below >= 0.5 - heaviest
    assert above >= 0.5 - heaviest


def test_an_even_gap_is_even_everywhere():
    body = tube_body(40, 400, sides=720)
    cloth = wrap(circle(43), 43 * np.pi / 2, 15, 100, 300, columns=150).cloth()
    gap = read_gap(cloth, body.skin, 0.3)
    assert gap.p05 == pytest.approx(3, abs=0.02)
    assert gap.median == pytest.approx(3, abs=0.02)
    assert gap.p95 == pytest.approx(3, abs=0.02)
    assert gap.max == pytest.approx(3, abs=0.02)
    assert gap.contact_mm == pytest.approx(0.3 + 400 * ACCURACY)
    assert (gap.contact_share, gap.below_deepest_mm, gap.below_share) == (0, 0, 0)


def test_gap_counts_area_not_vertices():
    """An eccentric tube: the gap e cos t + d has median d; its share below zero is a closed form, on any mesh."""
    offset, room = 5.0, 3.0
    shift = lambda s: circle(43)(s) + np.array([0, offset])  # noqa: E731
    body = tube_body(40, 400, sides=720)
    gap = read_gap(wrap(shift, 43 * np.pi / 2, 0, 100, 300, columns=200).cloth(), body.skin, 0.3)
    turn = np.linspace(0, 2 * np.pi, 200001)
    true = np.hypot(43 * np.sin(turn), offset - 43 * np.cos(turn)) - 40
    assert gap.median == pytest.approx(np.median(true), abs=0.03)
    assert gap.p05 == pytest.approx(np.quantile(true, 0.05), abs=0.03)
    assert gap.p95 == pytest.approx(np.quantile(true, 0.95), abs=0.03)
    assert gap.below_deepest_mm == pytest.approx(offset - room, abs=0.02)
    assert gap.below_share == pytest.approx((true < 0).mean(), abs=0.01)
    assert gap.contact_share == pytest.approx((true < gap.contact_mm).mean(), abs=0.01)


def test_a_knee_that_pierces_a_triangle_between_its_corners_is_found():
    """A coarse tube, 12 sides, about a body: the corners lie outside, the middles of its facets within."""
    body = tube_body(40, 400, sides=720)
    cloth = wrap(circle(41), 41 * np.pi / 2, 0, 100, 300, columns=3).cloth()
    assert (signed_gap(cloth.vertices, body.skin.vertices, body.skin.faces) > 0.9).all()
    assert read_gap(cloth, body.skin, 0.3).below_deepest_mm > 0.2
