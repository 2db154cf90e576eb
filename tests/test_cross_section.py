"""The cut through a level, and values on the cloth, against tubes of known radius."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from drafting.body.body import Arm, Body, Measure, Skin
from drafting.cloth.mesh import ClothMesh
from drafting.fit.cross_section import read_cross_section
from drafting.fit.gap import ACCURACY
from drafting.fit.surface import edge_stretch, read_surface

SKIN_R, CLOTH_R, AROUND, HIGH = 20.0, 26.0, 720, 60.0
MIDDLE = np.array([3.0, -2.0])


def tube(radius: float, rows: int = 4) -> tuple[np.ndarray, np.ndarray]:
    """An open round tube about `MIDDLE` from z = 0 to `HIGH`, counter-clockwise from outside."""
    angle = 2.0 * np.pi * np.arange(AROUND) / AROUND
    ring = np.column_stack([np.cos(angle), np.sin(angle)]) * radius + MIDDLE
    vertices = np.concatenate([np.column_stack([ring, np.full(AROUND, z)]) for z in np.linspace(0.0, HIGH, rows)])
    k = np.arange(AROUND)
    following = (k + 1) % AROUND
    faces = [
        np.concatenate(
            [np.column_stack([k, following, following + AROUND]), np.column_stack([k, following + AROUND, k + AROUND])]
        )
        + row * AROUND
        for row in range(rows - 1)
    ]
    return vertices, np.concatenate(faces)


def body(part: int = 0) -> Body:
    vertices, faces = tube(SKIN_R)
    measure = Measure("waist_girth", 2 * np.pi * SKIN_R, level_mm=31.0)
    return Body(Skin(vertices, faces), np.full(len(vertices), part), {}, {"waist_girth": measure})


def cloth(radius: float = CLOTH_R, stretched: float = 1.0, role: str = "trunk") -> ClothMesh:
    """A tube of one piece whose flat place is its own unrolled surface, before it was stretched along the warp."""
    vertices, faces = tube(radius)
    offset = vertices[:, :2] - MIDDLE
    angle = np.arctan2(offset[:, 1], offset[:, 0]) % (2.0 * np.pi)
    corner = angle[faces]
    corner = np.where(corner.max(axis=1, keepdims=True) - corner > np.pi, corner + 2.0 * np.pi, corner)
    chord = 2.0 * radius * np.sin(np.pi / AROUND) / (2.0 * np.pi / AROUND)
    flat = np.stack([corner * chord, vertices[faces][:, :, 2] / stretched], axis=2)
    return ClothMesh(vertices, faces, flat, np.zeros(len(faces), dtype=int), ("skirt",), (role,), {})


def test_the_room_between_two_round_tubes_is_the_same_all_round() -> None:
    cut = read_cross_section(cloth(), body(), "waist")
    assert [room.way for room in cut.rooms] == ["front", "left", "back", "right"]
    for room in cut.rooms:
        assert room.mm == pytest.approx(CLOTH_R - SKIN_R, rel=1e-4)
        np.testing.assert_allclose([room.skin[2], room.cloth[2]], 31.0)
    np.testing.assert_allclose(cut.middle[:2], MIDDLE, atol=1e-9)
    ways = {room.way: room.cloth - room.skin for room in cut.rooms}
    assert ways["front"][1] < 0 < ways["back"][1]  # the body faces -Y, its left hand at +X
    assert ways["right"][0] < 0 < ways["left"][0]


def test_the_cut_is_as_long_as_the_circles() -> None:
    cut = read_cross_section(cloth(), body(), "waist")
    for pieces, radius in ((cut.skin, SKIN_R), (cut.cloth, CLOTH_R)):
        length = np.linalg.norm(pieces[:, 1] - pieces[:, 0], axis=1).sum()
        assert length == pytest.approx(2.0 * np.pi * radius, rel=1e-4)


def test_cloth_under_the_skin_has_no_room_and_arms_and_sleeves_are_not_cut() -> None:
    assert read_cross_section(cloth(SKIN_R - 1.0), body(), "waist").rooms == ()
    assert read_cross_section(cloth(), body(part=2), "waist") is None
    assert len(read_cross_section(cloth(role="sleeve"), body(), "waist").cloth) == 0
    assert read_cross_section(cloth(), body(), "hip") is None


def test_an_arm_is_cut_square_to_its_own_line() -> None:
    turn = np.array([[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]])  # z to x: an arm stretched out to the left
    skin = Skin(tube(SKIN_R)[0] @ turn.T, tube(SKIN_R)[1])
    middle = np.array([0.0, MIDDLE[1], -MIDDLE[0]])
    arm = Arm(np.array([middle, middle + np.array([HIGH, 0, 0])]), 20.0, 31.0)
    worn = cloth(role="sleeve")
    sleeve = ClothMesh(worn.vertices @ turn.T, worn.faces, worn.flat, worn.piece, ("sleeve.left",), ("sleeve",), {})
    measures = {"wrist_girth": Measure("wrist_girth", 2 * np.pi * SKIN_R)}
    doll = Body(skin, np.full(len(skin.vertices), 2), {}, measures, {"left": arm})
    cut = read_cross_section(sleeve, doll, "wrist")
    assert len(cut.rooms) == 4
    for room in cut.rooms:
        assert room.mm == pytest.approx(CLOTH_R - SKIN_R, rel=1e-4)
        assert room.skin[0] == pytest.approx(31.0)


def test_the_gap_on_the_cloth_is_the_difference_of_the_radii() -> None:
    skin = body().skin
    surface = read_surface(cloth(), skin, 0.2)
    assert surface.gap_mm == pytest.approx(CLOTH_R - SKIN_R, rel=1e-3)
    assert surface.contact_mm == pytest.approx(0.2 + ACCURACY * np.ptp(skin.vertices[:, 2]))


@pytest.mark.parametrize("stretched", [1.0, 1.03, 0.9])
def test_cloth_is_stretched_by_what_it_was_and_never_below_nothing(stretched: float) -> None:
    assert edge_stretch(squared(stretched)) == pytest.approx(max(0.0, stretched - 1.0), abs=2e-5)


def test_a_square_that_only_shears_is_not_stretched() -> None:
    """Pushed over to a rhomb, its sides keep their length and its diagonal does not."""
    sheared = squared(1.0)
    vertices = np.array([[0, 0, 0], [10, 0, 0], [16, 8, 0], [6, 8, 0]], dtype=float)
    square = ClothMesh(
        vertices,
        np.array([[0, 1, 2], [0, 2, 3]]),
        10.0 * np.array([[[0, 0], [1, 0], [1, 1]], [[0, 0], [1, 1], [0, 1]]]),
        np.zeros(2, dtype=int),
        ("skirt",),
        ("trunk",),
        {},
        np.array([[0, 1]]),
    )
    assert edge_stretch(square) == pytest.approx(0.0, abs=1e-12)
    assert edge_stretch(replace(square, squares=sheared.squares[:0])).max() > 0.2


def squared(stretched: float) -> ClothMesh:
    """The tube with its pairs of triangles known as squares."""
    made = cloth(stretched=stretched)
    k = np.arange(AROUND)
    rows = len(made.faces) // (2 * AROUND)
    pairs = [np.column_stack([k, k + AROUND]) + 2 * AROUND * row for row in range(rows)]
    return replace(made, squares=np.concatenate(pairs))
