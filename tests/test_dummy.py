"""The lighter copy of the skin that cloth is pushed against."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from addon import bridge, dummy
from drafting.body.body import Skin
from drafting.fit.gap import signed_gap

RADIUS = 60.0


def ball(subdivisions: int) -> Skin:
    mesh = trimesh.creation.icosphere(subdivisions=subdivisions, radius=RADIUS)
    return Skin(np.asarray(mesh.vertices, dtype=float), np.asarray(mesh.faces))


def dummy_of(skin: Skin) -> dummy.Dummy:
    with bridge.workroom("test") as room:
        return dummy.dummy_of(room, skin)


def turned(points: np.ndarray) -> np.ndarray:
    """A turn about an oblique axis, and a shift."""
    pose = trimesh.transformations.rotation_matrix(1.1, [1.0, 2.0, 0.5])
    pose[:3, 3] = [10.0, -20.0, 5.0]
    return trimesh.transformations.transform_points(points, pose)


@pytest.fixture(scope="module")
def heavy() -> tuple[Skin, dummy.Dummy]:
    skin = ball(5)
    assert len(skin.faces) == 20480
    return skin, dummy_of(skin)


def test_a_heavy_skin_is_made_light_and_stays_true(heavy) -> None:
    """A sphere cut into triangles of that number lies below it by edge^2 / (8 R) at most; allow twice that."""
    skin, light = heavy
    assert 0.9 * dummy.MOST_TRIANGLES < len(light.faces) <= dummy.MOST_TRIANGLES
    points = light.follow(skin.vertices)
    edge_squared = 4.0 * np.pi * RADIUS**2 / len(light.faces) * 4.0 / 3.0**0.5
    limit = 2.0 * edge_squared / (8.0 * RADIUS)
    assert np.abs(signed_gap(skin.vertices, points, light.faces)).max() < limit
    assert trimesh.Trimesh(points, light.faces, process=False).is_watertight


def test_a_light_skin_stays_as_it_is() -> None:
    skin = ball(3)
    light = dummy_of(skin)
    assert np.array_equal(light.faces, skin.faces)
    assert np.array_equal(light.follow(skin.vertices), skin.vertices)


def test_it_moves_as_the_skin_does(heavy) -> None:
    skin, light = heavy
    moved = light.follow(turned(skin.vertices))
    assert np.allclose(moved, turned(light.follow(skin.vertices)), atol=1e-9)


def test_what_the_skin_loses_in_depth_the_dummy_loses(heavy) -> None:
    """Flattened to a tenth, the dummy is as deep as a tenth of the ball, but for what it stands over the skin."""
    skin, light = heavy
    flat = light.follow(skin.vertices * [1.0, 0.1, 1.0])
    assert np.ptp(flat[:, 1]) == pytest.approx(0.2 * RADIUS, abs=2.0 * np.abs(light.above).max() + 0.01)
