"""Strain of cloth edges against known deformations."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tubes import Weaver, circle, pattern_of, wrap

from drafting.cloth.mesh import ClothMesh
from drafting.errors import ClothError
from drafting.fit.stretch import edge_strains, read_stretch


def sheet(matrix: np.ndarray, columns: int = 12, rows: int = 9) -> ClothMesh:
    """A flat panel of 5 mm squares, deformed by a (3, 2) matrix."""
    weaver = Weaver()
    x, y = 5.0 * np.arange(columns + 1), 5.0 * np.arange(rows + 1)
    weaver.add("sheet", "trunk", x, y, lambda p: p, lambda p: p @ matrix.T)
    return weaver.cloth()


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(-2, 2), min_size=6, max_size=6))
def test_every_edge_of_an_affine_patch_has_the_strain_of_its_direction(numbers):
    matrix = np.array(numbers).reshape(3, 2)
    change, run, _ = edge_strains(sheet(matrix))
    expected = np.linalg.norm(run[:, :2] @ matrix.T, axis=1) / np.linalg.norm(run[:, :2], axis=1) - 1
    assert np.allclose(change, expected, atol=1e-12)


def test_no_edge_is_left_out_or_counted_twice():
    change, _, _ = edge_strains(sheet(np.eye(3)[:, :2], 12, 9))
    assert len(change) == 12 * 10 + 13 * 9 + 12 * 9  # along, across, one diagonal in each square


def test_warp_weft_and_bias_are_told_apart():
    """The grain runs along y: 1 % in the warp, 3 % in the weft; a 45 degree diagonal gets the root mean square."""
    cloth = sheet(np.array([[1.03, 0], [0, 1.01], [0, 0]]))
    stretch = read_stretch(cloth, pattern_of(cloth))
    assert stretch.warp.max == pytest.approx(0.01)
    assert stretch.weft.max == pytest.approx(0.03)
    assert stretch.bias.max == pytest.approx(np.sqrt((1.03**2 + 1.01**2) / 2) - 1)
    assert stretch.every.max == pytest.approx(0.03)
    assert stretch.warp.count + stretch.weft.count + stretch.bias.count == stretch.every.count


def test_shear_changes_the_bias_and_hardly_the_threads():
    angle = np.radians(5)
    cloth = sheet(np.array([[1, np.sin(angle)], [0, np.cos(angle)], [0, 0]]))
    stretch = read_stretch(cloth, pattern_of(cloth))
    assert stretch.warp.max == pytest.approx(0, abs=1e-12)
    assert stretch.weft.max == pytest.approx(0, abs=1e-12)
    assert stretch.bias.longest == pytest.approx(np.sqrt(1 + np.sin(angle)) - 1)


def test_the_diagonal_of_a_square_is_no_edge_but_that_of_two_triangles_is():
    """Sheared squares keep all their edges; where the first square is two triangles, its diagonal is an edge too."""
    angle = np.radians(5)
    cloth = sheet(np.array([[1, np.sin(angle)], [0, np.cos(angle)], [0, 0]]))
    half = len(cloth.faces) // 2
    squares = np.column_stack([np.arange(half), np.arange(half, 2 * half)])
    whole, but_one = (replace(cloth, squares=some) for some in (squares, squares[1:]))
    stretch = read_stretch(whole, pattern_of(cloth))
    assert stretch.edges.max == pytest.approx(0, abs=1e-12)
    assert stretch.every.count - stretch.edges.count == half
    stretch = read_stretch(but_one, pattern_of(cloth))
    assert stretch.edges.longest == pytest.approx(np.sqrt(1 + np.sin(angle)) - 1)
    assert stretch.every.count - stretch.edges.count == half - 1


def test_compression_is_strain_as_well():
    cloth = sheet(np.array([[0.95, 0], [0, 1], [0, 0]]))
    every = read_stretch(cloth, pattern_of(cloth)).every
    assert every.shortest == pytest.approx(-0.05)
    assert every.longest == 0
    assert every.max == pytest.approx(0.05)


def test_one_pulled_vertex_shows_in_the_largest_not_in_the_hundredth():
    cloth = sheet(np.eye(3)[:, :2], 40, 40)
    vertices = cloth.vertices.copy()
    vertices[20 * 41 + 20, 2] += 5
    pulled = ClothMesh(vertices, cloth.faces, cloth.flat, cloth.piece, cloth.pieces, cloth.roles, {})
    every = read_stretch(pulled, pattern_of(cloth)).every
    assert every.max == pytest.approx(np.sqrt(2) - 1)
    assert every.p99 == 0


def test_a_seam_counts_in_both_of_its_panels():
    """A robe laid on a tube: the side seams' vertices are shared, their edges belong to back and front."""
    cloth = wrap(circle(40), 20 * np.pi, 10, 0, 200, columns=20).cloth()
    change, run, _ = edge_strains(cloth)
    grid = [20 * 41 + 21 * 40 + 20 * 40] * 4
    assert len(change) == sum(grid)
    assert np.abs(change[run[:, 0] == 0]).max() < 1e-12


def test_a_mirrored_piece_has_the_strain_of_its_twin():
    cloth = wrap(circle(40), 20 * np.pi, 10, 0, 200, columns=20).cloth()
    change, run, _ = edge_strains(cloth)
    left, right = (np.sort(change[run[:, 2] == cloth.pieces.index(f"front.{side}")]) for side in ("left", "right"))
    assert np.allclose(left, right, atol=1e-9)


def test_an_edge_drafted_without_a_length_is_refused():
    cloth = sheet(np.eye(3)[:, :2])
    flat = cloth.flat.copy()
    flat[0, 0] = flat[0, 1]
    with pytest.raises(ClothError, match="without a length"):
        edge_strains(ClothMesh(cloth.vertices, cloth.faces, flat, cloth.piece, cloth.pieces, cloth.roles, {}))
