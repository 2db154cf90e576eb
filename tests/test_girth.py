"""Sections, girths and laps against closed forms, trimesh and scipy."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull
from scipy.special import ellipe, ellipeinc
from tubes import PlainRobe, Weaver, circle, sleeve, straight_arm, tube_body, wrap

from drafting.body.body import Measure
from drafting.fit.arm import place, stations
from drafting.fit.girth import UP, front_edges, trunk_girth, trunk_slice
from drafting.fit.lap import read_lap
from drafting.fit.level import read_levels
from drafting.fit.section import cut, tape_round
from drafting.fit.sleeve import sleeve_girth

LUMP = trimesh.creation.icosphere(subdivisions=3)
LUMP.vertices *= np.array([30.0, 20.0, 60.0])
LUMP.vertices *= 1 + 0.2 * np.sin(LUMP.vertices[:, 2:] / 7)


@settings(max_examples=30, deadline=None)
@given(st.tuples(*[st.floats(-1, 1)] * 3), st.floats(-25, 25))
def test_a_section_is_as_long_as_trimesh_finds_it(direction, offset):
    normal = np.add(direction, (0, 0, 1.5))
    normal /= np.linalg.norm(normal)
    section = cut(LUMP.vertices, LUMP.faces, normal * offset, normal)
    other = trimesh.intersections.mesh_plane(LUMP, normal, normal * offset)
    assert section.lengths.sum() == pytest.approx(np.linalg.norm(np.diff(other, axis=1), axis=2).sum(), rel=1e-9)


def test_section_ends_know_their_place_in_the_triangle():
    section = cut(LUMP.vertices, LUMP.faces, np.array([1.0, 2.0, 3.0]), np.array([0.1, 0.2, 1.0]))
    assert np.allclose(section.weights.sum(axis=2), 1)
    assert (section.weights > -1e-12).all()
    assert np.allclose(section.blend(LUMP.vertices[LUMP.faces]), section.points, atol=1e-12)


def test_a_closed_section_is_one_ring_counter_clockwise_from_above():
    section = cut(LUMP.vertices, LUMP.faces, np.zeros(3), UP)
    (ring,) = section.chains()
    assert len(ring) == len(section.face)
    x, y = section.points[ring, 0, :2].T
    assert np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) > 0
    assert np.allclose(section.points[ring, 1], section.points[np.roll(ring, -1), 0], atol=1e-12)


def test_a_plane_through_vertices_and_edges_counts_nothing_twice():
    box = trimesh.creation.box((2, 3, 4)).subdivide()
    on_the_edges = cut(box.vertices, box.faces, np.zeros(3), UP)
    assert on_the_edges.lengths.sum() == pytest.approx(10, abs=1e-12)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=4, max_size=40, unique=True))
def test_the_tape_is_the_hull_of_scipy(points):
    points = np.round(np.array(points), 3)
    if np.linalg.matrix_rank(points - points[0], tol=1e-6) < 2:
        return
    assert tape_round(points) == pytest.approx(ConvexHull(points).area, rel=1e-9)  # in 2D "area" is the perimeter


def chord(girth: float, pieces: int) -> float:
    """Perimeter of the regular polygon that stands in a circle of that girth."""
    return girth * np.sinc(1 / pieces)


@pytest.mark.parametrize("lap", [0.0, 12.5, 40.0])
def test_a_wrapped_tube_has_the_girth_from_centre_front_to_centre_front(lap):
    radius, quarter = 40.0, 20 * np.pi
    cloth = wrap(circle(radius), quarter, lap, 50, 300, columns=120).cloth()
    girth = trunk_girth(cloth, 173.3)
    assert girth.cloth_mm == pytest.approx(4 * quarter, rel=1e-4)
    assert girth.tape_mm == pytest.approx(4 * quarter, rel=1e-4)
    if lap == 0:  # its facets are chords, shorter than drafted, and count for what was drafted
        assert girth.cloth_mm == pytest.approx(4 * quarter, rel=1e-12)
        assert girth.tape_mm == pytest.approx(chord(4 * quarter, 480), rel=1e-12)


def test_ease_of_an_even_air_gap_is_steiners():
    """Garment less body is 2 pi d for an even gap d (Steiner). That the ease splits into the air gap's share and the
    cloth's thickness, Etm: equations 9.2, 9.3, 9.5 in Zakaria & Gupta, "Anthropometry, Apparel Sizing and Design",
    2nd ed., ch. 9, where (b) is the air gap between two perimeters."""
    radius = 40.0
    for gap in (0.5, 1.0, 3.0, 10.0):
        cloth = wrap(circle(radius + gap), (radius + gap) * np.pi / 2, 15, 50, 300, columns=150).cloth()
        ease = trunk_girth(cloth, 200).cloth_mm - 2 * np.pi * radius
        assert ease == pytest.approx(2 * np.pi * gap, abs=0.02)


def ellipse(a: float, b: float):
    """Arc length from the front (0, -b) to x, y, and the whole girth, by scipy's elliptic integrals."""
    m = 1 - b**2 / a**2  # x = a sin t, y = -b cos t: ds = a sqrt(1 - m sin^2 t) dt
    t = np.linspace(-np.pi, 3 * np.pi, 20001)
    s = a * ellipeinc(t, m)
    return lambda u: np.column_stack([a * np.sin(np.interp(u, s, t)), -b * np.cos(np.interp(u, s, t))]), 4 * a * ellipe(
        m
    )


def test_cloth_round_an_elliptic_cylinder_is_scipys_ellipse():
    curve, girth = ellipse(60.0, 38.0)
    found = trunk_girth(wrap(curve, girth / 4, 20, 50, 300, columns=200).cloth(), 150)
    assert found.cloth_mm == pytest.approx(girth, rel=5e-5)
    assert found.tape_mm == pytest.approx(girth, rel=5e-5)


def test_folds_count_along_the_cloth_but_not_for_the_tape():
    """A round of folds r(1 + a cos 12 t): the tape lies on the crests only."""
    t = np.linspace(0, 2 * np.pi, 40001)
    r = 40 * (1 + 0.08 * np.cos(12 * t))
    xy = np.column_stack([r * np.sin(t), -r * np.cos(t)])
    s = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(xy, axis=0), axis=1))])
    curve = lambda u: np.column_stack([np.interp(u % s[-1], s, xy[:, k]) for k in range(2)])  # noqa: E731
    found = trunk_girth(wrap(curve, s[-1] / 4, 0, 50, 300, columns=300).cloth(), 150)
    assert found.cloth_mm == pytest.approx(s[-1], rel=1e-3)
    assert found.tape_mm == pytest.approx(
        24 * 43.2 * np.sin(np.pi / 12), rel=5e-3
    )  # a 12-gon over the crests, bar their width
    assert found.tape_mm < 0.9 * found.cloth_mm


@pytest.mark.parametrize("columns", [40, 120])
def test_folds_up_and_down_are_no_girth(columns):
    """The weft of a tube runs up and down in waves: the level crosses many threads, and its girth is that of a thread
    at each place; the way of the cut itself, in the flat, is longer."""
    quarter, radius = 60.0, 240.0 / (2 * np.pi)
    cloth = wrap(circle(radius), quarter, 0.0, 50, 300, columns=columns).cloth()
    x, y, z = cloth.vertices.T
    turn = np.arctan2(x, -y)
    moved = z + 6.0 * np.sin(5.0 * turn) * np.exp(-(((z - 175.0) / 60.0) ** 2))  # the threads run up and down in waves
    waved = replace(cloth, vertices=np.column_stack([x, y, moved]))
    theta, height = np.linspace(0.0, 2 * np.pi, 20001), 175.0
    low = height - 6.0 * np.sin(5.0 * theta)  # where the threads that the level meets lie flat, by Newton's method
    for _ in range(30):
        bell = np.exp(-(((low - 175.0) / 60.0) ** 2))
        wave = 6.0 * np.sin(5.0 * theta) * bell
        low = low - (low + wave - height) / (1.0 - wave * 2.0 * (low - 175.0) / 3600.0)
    rise = 30.0 * np.cos(5.0 * theta) * np.exp(-(((low - 175.0) / 60.0) ** 2)) / radius
    exact = 2 * np.pi * radius * np.sqrt(1.0 + rise[:-1] ** 2).mean()
    assert trunk_girth(waved, height).cloth_mm == pytest.approx(exact, rel=2e-3)


@pytest.mark.parametrize("flare_deg", [10.0, 45.0, 90.0])
def test_a_flared_gore_is_as_wide_as_its_arc(flare_deg):
    """A cone of two gores, cut as sectors: its level is an arc of each, R times its angle, not the chord."""
    angle, top, count = np.radians(flare_deg), 60.0, 48
    weaver = Weaver()
    slope = 2.0 * angle / (2.0 * np.pi)  # radius of the cone over its slant
    turn, slant = np.linspace(-angle / 2, angle / 2, count + 1), np.linspace(top, top + 90.0, 31)
    for gore, name in enumerate(("front", "back")):

        def place(p, gore=gore):
            along, at = np.hypot(p[:, 0], p[:, 1]), np.arctan2(p[:, 0], -p[:, 1])
            round_ = (at / angle + gore) * np.pi
            ring = slope * along
            return np.column_stack(
                [ring * np.sin(round_), -ring * np.cos(round_), 200.0 - along * np.sqrt(1.0 - slope**2)]
            )

        grid = np.stack(np.meshgrid(turn, slant), axis=2)
        flat = np.stack([grid[..., 1] * np.sin(grid[..., 0]), -grid[..., 1] * np.cos(grid[..., 0])], axis=2)
        gored(weaver, name, flat, place)
    cloth = weaver.cloth()
    for slant_at in (80.0, 120.0):
        level = 200.0 - slant_at * np.sqrt(1.0 - slope**2)
        assert trunk_girth(cloth, level).cloth_mm == pytest.approx(2.0 * angle * slant_at, rel=2e-3)


def gored(weaver, name, flat, place):
    """A piece whose points are given row by row, (rows, columns, 2)."""
    rows, columns, _ = flat.shape
    points = flat.reshape(-1, 2)
    index = np.zeros(len(points), dtype=int)
    for i, spot in enumerate(place(points)):
        label = tuple(np.round(spot, 6) + 0.0)
        if label not in weaver.index:
            weaver.index[label] = len(weaver.vertices)
            weaver.vertices.append(spot)
        index[i] = weaver.index[label]
    low = (np.arange(rows - 1)[:, None] * columns + np.arange(columns - 1)).ravel()
    quad = np.concatenate(
        [np.stack([low, low + columns + 1, low + 1], 1), np.stack([low, low + columns, low + columns + 1], 1)]
    )
    weaver.faces.append(index[quad])
    weaver.flat.append(points[quad])
    weaver.piece.append(np.full(len(quad), len(weaver.pieces)))
    weaver.pieces.append(name)
    weaver.roles.append("trunk")


def test_no_cloth_no_girth():
    cloth = wrap(circle(40), 20 * np.pi, 10, 50, 300).cloth()
    assert trunk_girth(cloth, 20) is None
    assert read_lap(cloth, "hip", 20) is None


def test_a_band_makes_up_for_the_front_that_has_sloped_away():
    """Above z = 200 the edge leaves the centre line by (z - 200) / 5; the band is 8 mm wide."""
    quarter = 20 * np.pi
    slope = lambda z: (200 - z) / 5  # noqa: E731
    cloth = wrap(circle(40), quarter, slope, 50, 300, columns=120, band=8.0).cloth()
    assert trunk_girth(cloth, 225).cloth_mm == pytest.approx(4 * quarter, rel=2e-4)  # 5 mm short, 8 mm of band
    assert trunk_girth(cloth, 290).cloth_mm == pytest.approx(4 * quarter - 2 * (18 - 8), rel=2e-4)
    assert trunk_girth(cloth, 100).cloth_mm == pytest.approx(4 * quarter, rel=2e-4)


@pytest.mark.parametrize("lap", [5.0, 20.0, 45.0])
@pytest.mark.parametrize("pull", [-6.0, 0.0, 6.0])
def test_the_lap_of_a_wrap_is_what_its_round_leaves(lap, pull):
    """The cloth is 4 quarters and two laps long; laid on a round of `girth`, what is left over lies double."""
    girth = 80 * np.pi
    quarter = (girth + pull) / 4
    found = read_lap(wrap(circle(40), quarter, lap, 50, 300, columns=150).cloth(), "waist", 180)
    assert found.overlap_mm == pytest.approx(2 * lap + pull, abs=0.02)
    assert found.drafted_mm == pytest.approx(2 * lap, abs=1e-6)
    assert found.centres_apart_mm == pytest.approx(-pull, abs=0.02)
    assert not found.gapes


def test_fronts_that_do_not_meet_gape_by_the_chord_between_them():
    radius, quarter = 40.0, 55.0
    found = read_lap(wrap(circle(radius), quarter, 5.0, 50, 300, columns=150).cloth(), "waist", 180)
    missing = 2 * np.pi * radius - 4 * quarter - 10
    assert found.overlap_mm == pytest.approx(-2 * radius * np.sin(missing / radius / 2), abs=1e-3)
    assert found.gapes


def test_a_neck_that_is_drafted_open_does_not_gape():
    found = read_lap(wrap(circle(40), 20 * np.pi, -9.0, 50, 300, columns=150).cloth(), "bust", 180)
    assert found.overlap_mm < 0
    assert found.drafted_mm == pytest.approx(-18)
    assert not found.gapes


def test_the_band_counts_as_lap():
    found = read_lap(wrap(circle(40), 20 * np.pi, 10, 50, 300, columns=150, band=8).cloth(), "bust", 180)
    assert found.drafted_mm == pytest.approx(36, abs=0.01)
    assert found.overlap_mm == pytest.approx(36, abs=0.02)


def test_an_underarm_opening_is_not_taken_for_a_front():
    """Without the seam at the left side the round falls into two runs; its fronts stay the fronts."""
    cloth = wrap(circle(40), 20 * np.pi, 15, 50, 300, columns=100).cloth()
    open_side = {vertex: len(cloth.vertices) + i for i, vertex in enumerate(np.unique(cloth.faces[cloth.piece == 1]))}
    faces = cloth.faces.copy()
    at_side = np.isclose(cloth.flat[:, :, 0], 20 * np.pi) & (cloth.piece == 1)[:, None]
    faces[at_side] = [open_side[vertex] for vertex in faces[at_side]]
    vertices = np.concatenate([cloth.vertices, cloth.vertices[list(open_side)]])
    cut_open = type(cloth)(vertices, faces, cloth.flat, cloth.piece, cloth.pieces, cloth.roles, {})
    left, right = front_edges(trunk_slice(cut_open, 180))
    assert (left.side, right.side) == ("left", "right")
    assert left.short_of_centre == pytest.approx(-15)
    assert right.short_of_centre == pytest.approx(-15)
    assert read_lap(cut_open, "bust", 180).overlap_mm == pytest.approx(30, abs=0.02)
    assert trunk_girth(cut_open, 180).cloth_mm == pytest.approx(80 * np.pi, rel=1e-4)


@pytest.mark.parametrize("degrees", [0.0, 30.0, 70.0])
def test_stations_and_places_of_an_arm_are_inverse(degrees):
    arm = straight_arm([40, 0, 300], degrees, 150)
    for station in (-10.0, 0.0, 33.3, 120.0, 170.0):
        point, direction = place(arm, station)
        assert stations(arm, point[None])[0] == pytest.approx(station, abs=1e-9)
        assert np.linalg.norm(direction) == pytest.approx(1)


@pytest.mark.parametrize("degrees", [0.0, 45.0])
def test_a_sleeve_is_measured_across_the_arm(degrees):
    """Half round of radius 10 and two straight sides: unfolded twice the drop, whatever the arm's pose."""
    arm = straight_arm([40, 0, 300], degrees, 150)
    body, weaver = tube_body(40, 420, arm), Weaver()
    sleeve(weaver, arm, "left", 10, 130, 60, 10)
    sleeve(weaver, arm, "right", 10, 130, 50, 10)
    cloth = weaver.cloth()
    assert sleeve_girth(cloth, body, "wrist", "left").cloth_mm == pytest.approx(120, abs=0.05)
    assert sleeve_girth(cloth, body, "wrist", "right").cloth_mm == pytest.approx(100, abs=0.05)
    hang = 60 - 5 * np.pi
    tape = 2 * hang + 10 * np.pi + 20
    assert sleeve_girth(cloth, body, "wrist", "left").tape_mm == pytest.approx(tape, abs=0.05)


def test_a_sleeve_that_does_not_reach_has_no_girth_there():
    arm = straight_arm([40, 0, 300], 45, 150)
    body, weaver = tube_body(40, 420, arm), Weaver()
    sleeve(weaver, arm, "left", 50, 110, 60, 10)  # the wrist lies at 120, the upper arm girth at 0.3 * 120 / sin 45
    cloth = weaver.cloth()
    assert sleeve_girth(cloth, body, "wrist", "left") is None
    assert sleeve_girth(cloth, body, "wrist", "right") is None
    assert sleeve_girth(cloth, body, "upper_arm", "left").cloth_mm == pytest.approx(120, abs=0.05)


def test_a_plane_that_runs_out_of_the_sleeve_gives_way_to_the_table():
    """Hung plumb below a lowered arm, a sleeve lies askew to the plane across the arm. Near the armhole that plane
    leaves it before the bottom; square across, it is still twice the drop on the table."""
    arm = straight_arm([40, 0, 300], 45, 150)
    body, weaver = tube_body(40, 420, arm), Weaver()
    sleeve(weaver, arm, "left", 45, 130, 60, 10)
    cloth = weaver.cloth()
    hang = np.maximum((cloth.vertices - arm.axis[0]) @ [-np.sqrt(0.5), 0, -np.sqrt(0.5)], 0)
    plumb = replace(cloth, vertices=cloth.vertices + hang[:, None] * [0.5, 0, 0])
    upper = sleeve_girth(plumb, body, "upper_arm", "left")
    wrist = sleeve_girth(plumb, body, "wrist", "left")
    assert (upper.across, wrist.across) == ("sleeve", "arm")
    assert sleeve_girth(cloth, body, "upper_arm", "left").across == "arm"
    assert upper.cloth_mm == pytest.approx(2 * 60, abs=0.05)


@pytest.mark.parametrize(("drawn", "counts"), [(1.03, 1.03), (0.97, 1.0)])
def test_cloth_that_is_drawn_out_counts_for_more_and_pushed_together_for_no_less(drawn, counts):
    cloth = wrap(circle(40.0), 20 * np.pi, 10, 50, 300, columns=200).cloth()
    other = replace(cloth, vertices=cloth.vertices * [drawn, drawn, 1.0])
    assert trunk_girth(other, 150).cloth_mm == pytest.approx(80 * np.pi * counts, rel=1e-4)


@pytest.mark.parametrize(("level", "reached"), [(150.0, True), (193.0, True), (199.0, False), (203.0, False)])
def test_a_level_that_a_slanting_edge_just_touches_is_not_reached(level, reached):
    """A skirt whose waist slants by 5 mm up and down: between 195 and 205 mm there is cloth on one side only."""
    radius, count = 40.0, 120
    girth = 2 * np.pi * radius
    weaver = Weaver()
    weaver.add(
        "skirt",
        "trunk",
        np.linspace(0, girth, count + 1),
        np.linspace(-100, 0, 41),
        lambda p: np.column_stack([p[:, 0] % girth, p[:, 1]]),
        lambda p: np.column_stack([circle(radius)(p[:, 0]), 200 + p[:, 1] + 5 * np.cos(p[:, 0] / radius)]),
    )
    body = tube_body(30.0, 400.0)
    ring = np.column_stack([circle(30.0)(np.linspace(0, 60 * np.pi, 90)), np.full(90, level)])
    waist = Measure("waist_girth", 60 * np.pi, level, path=ring)
    body = replace(body, measures={"waist_girth": waist})
    (found,) = read_levels(weaver.cloth(), body, PlainRobe(5.0, 80.0), 0.25, 0.3)
    assert found.verdict == ("fits" if reached else "not reached")
    if reached:
        # Its weft threads run round a slanting section of the cylinder, an ellipse.
        longer = float(np.hypot(radius, 5.0))
        assert found.garment_girth_mm == pytest.approx(4 * longer * ellipe(1 - (radius / longer) ** 2), rel=1e-3)
