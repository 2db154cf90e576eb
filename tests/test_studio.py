"""The studio: true colours, light that turns with the camera, an engine that works without a graphics context."""

from __future__ import annotations

import os
import subprocess
import sys

import bpy
import numpy as np
import pytest
import trimesh
from numpy.testing import assert_allclose

from addon.album import INK, _with_scale
from addon.shades import scale_of
from addon.studio import colour, engine, prints
from addon.studio.stage import WALL, Doll, Dress, View, framing, normals, seam_lines, stage
from drafting.cloth.mesh import ClothMesh


def ball(radius: float = 100.0) -> trimesh.Trimesh:
    made = trimesh.creation.icosphere(subdivisions=3, radius=radius)
    made.apply_translation([0.0, 0.0, radius])
    return made


def shell(radius: float) -> ClothMesh:
    """A ball of cloth round the ball, with one seam along some edges."""
    mesh = ball(radius)
    flat = mesh.vertices[mesh.faces][..., :2]
    line = np.array(mesh.edges_unique[0])
    return ClothMesh(
        np.array(mesh.vertices), np.array(mesh.faces), flat, np.zeros(len(mesh.faces), int), ("ball",), ("trunk",),
        {("ball", "seam"): line},
    )  # fmt: skip


def doll(**dress) -> Doll:
    mesh = ball()
    return Doll(np.array(mesh.vertices), np.array(mesh.faces), shell(104.0), Dress(**dress))


def lightness(srgb: np.ndarray) -> np.ndarray:
    """CIE L* of sRGB (IEC 61966-2-1, CIE 15): luminance, then the cube root with its straight foot."""
    luminance = colour.linear(srgb) @ [0.2126, 0.7152, 0.0722]
    foot = 903.2963 * luminance
    return np.where(luminance > 0.008856, 116.0 * np.cbrt(luminance) - 16.0, foot)


def test_srgb_is_the_standards_curve():
    assert_allclose(colour.linear([0.0, 0.04045, 0.5, 1.0]), [0.0, 0.0031308, 0.2140411, 1.0], atol=1e-7)


def test_more_gap_is_lighter_by_even_steps():
    """The map's claim (Nunez, Anderton, Renslow 2018): lightness rises linearly."""
    steps = np.diff(lightness(colour.cividis(np.linspace(0.0, 1.0, 21))))
    assert (steps > 0.0).all()
    assert steps.std() < 0.15 * steps.mean()
    assert_allclose(colour.cividis([-1.0, 2.0]), colour.cividis([0.0, 1.0]))


def test_laying_over_keeps_what_is_opaque_and_shows_what_is_below():
    top = np.zeros((1, 3, 4), np.uint8)
    top[0, :, 0], top[0, :, 3] = 200, (0, 51, 255)
    seen = colour.over(top, colour.plain(3, 1, (0.0, 0.0, 1.0)))
    assert seen[0].tolist() == [[0, 0, 255, 255], [40, 0, 204, 255], [200, 0, 0, 255]]


def test_a_frame_holds_the_doll_from_every_side():
    centre, span = framing([doll()])
    for turn in np.radians([0.0, 37.0, 90.0]):
        across = doll().points @ [np.cos(turn), np.sin(turn), 0.0]
        assert np.abs(across).max() <= span / 2
    assert np.abs(doll().points[:, 2] - centre[2]).max() <= span / 2


def test_seam_lines_are_round_rods_on_the_cloth():
    cloth = shell(104.0)
    points, faces = seam_lines(cloth, 0.3, radius=0.5, sides=6)
    ends = cloth.vertices[cloth.edges[("ball", "seam")]]
    ends = ends + 0.3 * normals(cloth.vertices, cloth.faces)[cloth.edges[("ball", "seam")]]
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    away = points - ends[0]
    radial = away - np.outer(away @ along, along)
    assert_allclose(np.linalg.norm(radial, axis=1), 0.5, rtol=1e-9)
    assert faces.shape == (6, 4)
    assert_allclose(normals(cloth.vertices, cloth.faces), (cloth.vertices - [0, 0, 104]) / 104.0, atol=0.02)


@pytest.fixture(scope="module")
def traced() -> dict[float, np.ndarray]:
    """The ball by rays, from the front, the left and the back."""
    with stage([doll(seams=False)], which=engine.CYCLES, samples=16) as set_up:
        centre, span = framing([doll()])
        return {turn: set_up.shoot(View(turn, centre, 1.6 * span, 8.0), 96, 96) for turn in (0.0, 90.0, 180.0)}


def test_the_lamps_turn_with_the_camera(traced):
    """A ball looks the same from all sides."""
    for turn in (90.0, 180.0):
        assert np.abs(traced[turn].astype(int) - traced[0.0]).mean() < 3.0


def test_the_doll_stands_on_its_shadow_and_the_wall_stays_clear(traced):
    alpha = traced[0.0][..., 3]
    assert alpha[48, 48] == 255
    assert alpha[:8].max() < 0.05 * 255, "the far floor takes next to no shadow"
    below = alpha[70:90, 20:80]
    assert ((below > 20) & (below < 255)).any(), "a soft shadow lies on the floor"


def test_the_scale_bar_has_the_maps_own_colours():
    bare = colour.plain(300, 300, WALL)
    seen = _with_scale(bare, scale_of("room", 400.0, 0.5))[300 - 300 // 15 + 1, 50:250, :3] / 255.0
    marks = np.abs(seen - INK).max(axis=1) < 0.01
    assert marks.sum() == 5
    assert_allclose(seen[~marks], colour.cividis(np.linspace(0.0, 1.0, 200))[~marks], atol=0.003)


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere a graphics context is always to be had")
def test_without_a_graphics_context_rays_are_traced():
    words = "import bpy; from addon.studio import engine; print(engine.quick())"
    bare = {**os.environ, "__EGL_VENDOR_LIBRARY_DIRS": "/nonexistent"}
    said = subprocess.run([sys.executable, "-c", words], env=bare, capture_output=True, text=True, check=True)
    assert said.stdout.split()[-1] == engine.CYCLES
    assert bpy.context.scene is not None


def test_the_sample_print_repeats_and_its_motifs_stand_ten_millimetres_apart():
    tile = prints.rings_and_leaves(200)[..., 0].astype(float)
    across = np.abs(np.diff(tile, axis=1)).max()
    for seam in (tile[:, 0] - tile[:, -1], tile[0] - tile[-1]):
        assert np.abs(seam).max() <= across, "no step where two tiles meet"
    half = np.roll(tile, (100, 100), axis=(0, 1))
    assert_allclose(half, tile, atol=1.0)
    dots = tile > 0.9 * tile.max()
    assert dots[100, 100], "a dot in the middle of the tile"
    assert dots[0, 0], "and one on its corner"
    assert not dots[100, 0]
