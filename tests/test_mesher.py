"""Filling panels with squares and triangles."""

from __future__ import annotations

import itertools

import bpy  # noqa: F401  brings mathutils
import numpy as np
import pytest
from shapely.geometry import Polygon

from addon.mesher import resample, smallest_angles, triangulate

SLEEVE = np.array([[0.0, -60.0], [75.2, -60.0], [75.2, 60.0], [0.0, 60.0], [0.0, 55.0], [0.0, -55.0], [0.0, -60.0]])
FRONT = np.array([[0.0, 0.0], [70.0, 0.0], [70.0, 200.0], [40.0, 200.0], [0.0, 130.0], [0.0, 0.0]])
BAND = np.array([[0.0, 0.0], [230.0, 0.0], [230.0, 9.2], [0.0, 9.2], [0.0, 0.0]])


def _outline(corners, edge_mm):
    sides = [(np.array(side), float(np.linalg.norm(side[1] - side[0]))) for side in itertools.pairwise(corners)]
    return np.concatenate([resample(side, max(1, round(length / edge_mm)))[:-1] for side, length in sides])


def _ears(faces, border):
    """Triangles with two sides on the outline."""
    sides = [(faces[:, k] + 1) % border == faces[:, (k + 1) % 3] for k in range(3)]
    inner = (faces < border).all(axis=1)
    return np.flatnonzero(inner & (np.sum(sides, axis=0) >= 2))


@pytest.mark.parametrize("edge_mm", [4.0, 6.0, 9.0, 10.5])
@pytest.mark.parametrize("corners", [SLEEVE, FRONT], ids=["sleeve", "front"])
def test_no_corner_is_cut_off_by_an_ear(corners, edge_mm):
    """Sewn on both its sides an ear lies on its partner, and the two slip through each other."""
    outline = _outline(corners, edge_mm)
    assert len(_ears(triangulate(outline, edge_mm, sewn_corners=True).faces, len(outline))) == 0


@pytest.mark.parametrize("edge_mm", [4.0, 6.0, 9.0, 10.5])
@pytest.mark.parametrize("corners", [SLEEVE, FRONT, BAND], ids=["sleeve", "front", "band"])
def test_a_panel_is_filled_once_with_good_triangles(corners, edge_mm):
    outline = _outline(corners, edge_mm)
    sheet = triangulate(outline, edge_mm, sewn_corners=True)
    a, b, c = (sheet.points[sheet.faces[:, k]] for k in range(3))
    areas = 0.5 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    assert areas.min() > 0.0
    assert areas.sum() == pytest.approx(Polygon(outline).area, rel=1e-9)
    assert np.percentile(smallest_angles(sheet.points, sheet.faces), 1) > 25.0
    np.testing.assert_array_equal(sheet.points[: len(outline)], outline)
