"""Pictures: printed cloth at true size, colours where they belong, letters that can be read apart."""

from __future__ import annotations

import bpy
import numpy as np
import pytest

from addon import album, lettering
from addon.album import Cloth, View, on_the_bolt, shown
from addon.shades import scale_of
from addon.studio.stage import Doll
from drafting.cloth.mesh import ClothMesh

WIDE, HIGH = 120.0, 90.0  # mm, a flat test sheet


def sheet(name: str = "front.left") -> ClothMesh:
    """A flat piece that hangs before the doll, facing forward; the right one hangs mirrored."""
    x = np.linspace(-WIDE / 2, WIDE / 2, 9)
    z = np.linspace(0.0, HIGH, 7)
    flat = np.array([(a, b) for b in z for a in x])
    corner = np.array([row * 9 + column for row in range(6) for column in range(8)])
    faces = np.concatenate(
        [np.stack([corner, corner + 1, corner + 10], 1), np.stack([corner, corner + 10, corner + 9], 1)]
    )
    space = np.column_stack([flat[:, 0], np.full(len(flat), -30.0), flat[:, 1]])
    if name.endswith(".right"):
        space[:, 0] *= -1.0
        faces = faces[:, ::-1]
    piece = np.zeros(len(faces), dtype=np.int64)
    return ClothMesh(space, faces, flat[faces], piece, (name,), ("trunk",), {})


def doll(mesh: ClothMesh, cloth: Cloth) -> Doll:
    behind = np.array([[-60.0, 30.0, 0.0], [60.0, 30.0, 0.0], [0.0, 30.0, 90.0]])
    return Doll(behind, np.array([[0, 1, 2]]), mesh, cloth.dress(mesh))


def shot(mesh: ClothMesh, cloth: Cloth, pixels: int = 600, span: float = 100.0) -> np.ndarray:
    """The sheet's middle, seen square on."""
    with shown(doll(mesh, cloth)) as set_up:
        return set_up.shoot(View(0.0, np.array([0.0, 0.0, HIGH / 2]), span), pixels, pixels)


def motif() -> np.ndarray:
    """A print that repeats: dark left half with a red corner, light right half."""
    made = np.full((40, 40, 4), 255, dtype=np.uint8)
    made[:, :20, :3] = 20
    made[:10, :10, :3] = (220, 20, 20)
    return made


@pytest.mark.parametrize("name", ["front.left", "front.right"])
def test_a_millimetre_of_print_is_a_millimetre_of_cloth(name: str) -> None:
    """Everywhere: lengths in the UV map times the print's size are the drafted lengths."""
    mesh = sheet(name)
    printed = np.zeros((30, 60, 4), dtype=np.uint8)
    uv = Cloth(printed=printed, printed_width_mm=24.0).dress(mesh).uv
    assert uv is not None
    laid = uv * [24.0, 12.0]
    for a, b in ((0, 1), (1, 2), (2, 0)):
        drafted = np.linalg.norm(mesh.flat[:, a] - mesh.flat[:, b], axis=1)
        np.testing.assert_allclose(np.linalg.norm(laid[:, a] - laid[:, b], axis=1), drafted, rtol=1e-9)


@pytest.mark.parametrize("width", [8.0, 10.0])
@pytest.mark.parametrize("name", ["front.left", "front.right"])
def test_a_motif_is_as_large_on_the_picture_as_on_the_cloth(name: str, width: float) -> None:
    """The distance between dark edges, counted in pixels of a parallel view, is the print's width within 1 %."""
    row = shot(sheet(name), Cloth(printed=motif(), printed_width_mm=width))[300, :, :3].mean(axis=1)
    dark = row < 0.5 * (row.min() + row.max())
    edges = np.flatnonzero(dark[1:] & ~dark[:-1])
    periods = np.diff(edges) * 100.0 / 600.0
    assert len(periods) >= 8
    assert periods.mean() == pytest.approx(width, rel=0.01)


@pytest.mark.parametrize("name", ["front.left", "front.right"])
def test_a_print_is_never_mirrored(name: str) -> None:
    """Right of a red corner its dark stripe goes on, left of it it is light: so on the bolt, so on both fronts."""
    seen = shot(sheet(name), Cloth(printed=motif(), printed_width_mm=40.0), span=60.0)[..., :3].astype(int)
    red = (seen[..., 0] > 100) & (seen[..., 1] < 80)
    dark = seen.max(axis=2) < 90
    row = int(np.argmax(red.sum(axis=1)))
    starts, ends = (np.flatnonzero(np.diff(red[row].astype(int)) == step) for step in (1, -1))
    (inside,) = [(first, last) for first in starts for last in ends if 80 < last - first < 120]  # 10 mm at 10 px
    assert dark[row, inside[1] + 5]
    assert not dark[row, inside[0] - 5]


def test_the_second_piece_is_cut_mirrored() -> None:
    left, right = on_the_bolt(sheet("front.left")), on_the_bolt(sheet("front.right"))
    assert left[..., 0].min() == right[..., 0].min() == -WIDE / 2
    np.testing.assert_allclose(right[..., 0], -sheet("front.right").flat[..., 0])
    np.testing.assert_allclose(left, sheet().flat)


def test_the_cloths_colour_is_the_one_chosen() -> None:
    for colour in ((0.7, 0.2, 0.2), (0.2, 0.5, 0.3)):
        middle = shot(sheet(), Cloth(colour=colour), pixels=120)[60, 60, :3] / 255.0
        hue = middle / middle.max()
        np.testing.assert_allclose(hue, np.array(colour) / max(colour), atol=0.12)


def test_pictures_leave_nothing_in_the_file() -> None:
    before = {
        rna.identifier: len(getattr(bpy.data, rna.identifier))
        for rna in bpy.data.bl_rna.properties
        if rna.type == "COLLECTION"
    }
    album.png(shot(sheet(), Cloth(printed=motif(), printed_width_mm=10.0), pixels=64))
    assert {name: len(getattr(bpy.data, name)) for name in before} == before


def test_letters_fit_their_paper_and_differ() -> None:
    ink, paper = (0.0, 0.0, 0.0), (1.0, 1.0, 1.0)
    short, long = (
        lettering.lettered([text], 300, 60, ink, paper)[..., 0] for text in ("hip", "a very much longer line")
    )
    for seen in (short, long):
        assert seen.min() < 60
        border = np.concatenate([seen[0], seen[-1], seen[:, 0], seen[:, -1]])
        assert border.min() > 240
    assert np.ptp(np.flatnonzero((long < 128).any(axis=0))) > np.ptp(np.flatnonzero((short < 128).any(axis=0)))


@pytest.mark.parametrize("size", [64, 100, 300])
def test_the_scale_of_the_gap_is_drawn_at_any_size(size: int) -> None:
    blank = np.full((size, size, 4), 255, dtype=np.uint8)
    drawn = album._with_scale(blank, scale_of("room", 400.0, 0.5))
    assert drawn.shape == blank.shape
    row = drawn[size - size // 15, :, :3].astype(int)
    (left, *_, right) = np.flatnonzero((row != 255).any(axis=1))
    assert row[left + 4 : right - 3, 2].argmax() < row[left + 4 : right - 3, 0].argmax()  # from blue to yellow
