"""Solids of cubes and thinned skins: distances against scipy, walls and topology against trimesh."""

import numpy as np
import pytest
import trimesh
from numpy.testing import assert_allclose, assert_array_equal
from scipy.ndimage import distance_transform_edt

from drafting.body import thin
from drafting.body.volume import Grid, grown, plain, wall


def crumbs(seed: int) -> np.ndarray:
    """Cubes full at random, thinly or thickly, in an empty box."""
    random = np.random.default_rng(seed)
    return np.pad(random.random((9, 7, 8)) < random.uniform(0.1, 0.9), 3)


@pytest.mark.parametrize("cells", [1.0, 2.3, 10.9, 11.0, 12.5])
def test_grown_by_a_distance(cells):
    """Exactly the cubes within the distance (scipy's Euclidean distance transform)."""
    solid = np.zeros((40, 30, 35), bool)
    solid[tuple(np.random.default_rng(1).integers(0, 30, (3, 12)))] = True
    assert_array_equal(grown(solid, cells), distance_transform_edt(~solid) <= cells)


@pytest.mark.parametrize("seed", range(12))
def test_a_plain_solid_has_a_seamless_wall(seed):
    """Nothing is taken away, every edge of the wall has two faces and every vertex one fan, and it holds the cubes."""
    solid = crumbs(seed)
    full = plain(solid)
    assert full[solid].all()
    assert_array_equal(plain(full), full)
    vertices, faces = wall(full, Grid(np.array([1.0, -2.0, 3.0]), 0.5, full.shape))
    shell = trimesh.Trimesh(vertices, faces, process=False)
    assert shell.is_watertight
    assert shell.is_winding_consistent
    assert_allclose(shell.volume, full.sum() * 0.5**3)
    fans = trimesh.graph.connected_component_labels(shell.face_adjacency)
    assert len(np.unique(np.stack([faces.ravel(), np.repeat(fans, 3)]), axis=1).T) == len(vertices)


def test_a_part_of_a_grid_lies_where_it_lay():
    grid = Grid(np.array([1.0, -2.0, 3.0]), 0.5, (9, 8, 7))
    part = grid.within((slice(2, 5), slice(1, 99), slice(3, 7)))
    assert part.shape == (3, 7, 4)
    points = np.array([[2.4, -1.4, 4.9], [3.0, 0.3, 5.9]])
    assert_array_equal(part.place(points) + np.array([2, 1, 3]), grid.place(points))


@pytest.mark.parametrize(
    "fine",
    [trimesh.creation.icosphere(5, 40.0), trimesh.creation.torus(30, 12, 180, 90)],
    ids=["ball", "ring"],
)
def test_a_thinned_skin_is_the_same_skin(fine, monkeypatch):
    """Closed, with as many handles, where it was, with far fewer points; held where all were held."""
    monkeypatch.setattr(thin, "LONGEST", 0.1)
    vertices = fine.vertices + np.random.default_rng(2).normal(0, 1e-3, fine.vertices.shape)
    longest = 0.1 * np.ptp(vertices[:, 2])
    points, net, held = thin.thinned(vertices, np.array(fine.faces), np.ones(len(vertices), bool))
    skin = trimesh.Trimesh(points, net, process=False)
    assert skin.is_watertight
    assert skin.is_winding_consistent
    assert skin.euler_number == fine.euler_number
    assert len(points) < 0.5 * len(vertices)
    assert held.all()
    assert skin.edges_unique_length.max() < longest
    assert_allclose(skin.volume, fine.volume, rtol=0.02)
    assert trimesh.proximity.closest_point(fine, points[::20])[1].max() < 0.2 * longest
