"""Path data and transforms against an independent library that reads SVG."""

from __future__ import annotations

import numpy as np
import pytest
import svgelements
from drawings import svg
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point

from drafting.errors import DraftError
from drafting.paper.own_curve import flat, path_runs
from drafting.paper.own_drawing import read_lines

FIGURE = st.floats(-60, 60).map(lambda value: f"{value:.3f}")
SIZE = st.floats(5, 50).map(lambda value: f"{value:.3f}")
FLAG = st.sampled_from("01")


def _command(letter: str, *numbers: st.SearchStrategy) -> st.SearchStrategy:
    letters = st.sampled_from([letter, letter.lower()])
    return st.tuples(letters, st.tuples(*numbers)).map(lambda pair: f"{pair[0]}{' '.join(pair[1])}")


COMMANDS = st.one_of(
    _command("L", FIGURE, FIGURE),
    _command("H", FIGURE),
    _command("V", FIGURE),
    _command("C", *[FIGURE] * 6),
    _command("Q", *[FIGURE] * 4),
    # The other library lets a smooth curve follow one of the other kind; SVG does not.
    st.tuples(_command("C", *[FIGURE] * 6), _command("S", *[FIGURE] * 4)).map(" ".join),
    st.tuples(_command("Q", *[FIGURE] * 4), _command("T", *[FIGURE] * 2), _command("T", *[FIGURE] * 2)).map(" ".join),
    _command("A", SIZE, SIZE, FIGURE, FLAG, FLAG, FIGURE, FIGURE),
)
PATHS = st.tuples(_command("M", FIGURE, FIGURE), st.lists(COMMANDS, min_size=1, max_size=6)).map(
    lambda parts: " ".join([parts[0], *parts[1]])
)
TRANSFORMS = st.lists(
    st.one_of(
        st.tuples(FIGURE, FIGURE).map(lambda n: f"translate({n[0]}, {n[1]})"),
        st.tuples(st.floats(0.3, 2), st.floats(0.3, 2)).map(lambda n: f"scale({n[0]:.3f} {-n[1]:.3f})"),
        st.tuples(FIGURE, FIGURE, FIGURE).map(lambda n: f"rotate({n[0]} {n[1]} {n[2]})"),
        st.floats(-40, 40).map(lambda angle: f"skewX({angle:.2f})"),
        st.floats(-40, 40).map(lambda angle: f"skewY({angle:.2f})"),
        st.lists(st.floats(-2, 2), min_size=6, max_size=6).map(lambda n: f"matrix({' '.join(f'{v:.3f}' for v in n)})"),
    ),
    max_size=3,
).map(" ".join)


def compare(ours: np.ndarray, theirs: svgelements.Path, matrix: svgelements.Matrix | None = None) -> None:
    """Both lines within the chord tolerance of each other, at points of the other library's curves."""
    line = LineString(ours)
    for segment in theirs:
        if isinstance(segment, svgelements.Move):
            continue
        points = [segment.point(t) for t in np.linspace(0, 1, 17)]
        samples = np.array([[p.x, p.y] for p in (matrix.point_in_matrix_space(p) if matrix else p for p in points)])
        far = max(line.distance(Point(sample)) for sample in samples)
        assert far < 0.03 + 1e-6 * np.abs(samples).max()


@settings(max_examples=60, deadline=None)
@given(PATHS)
def test_path_data(data):
    runs = path_runs(data)
    if not runs:  # nothing of any length
        return
    compare(np.concatenate([flat(segment) for run in runs for segment in run.segments]), svgelements.Path(data))


@settings(max_examples=40, deadline=None)
@given(PATHS, TRANSFORMS, TRANSFORMS)
def test_transforms(tmp_path_factory, data, outer, inner):
    path = tmp_path_factory.mktemp("drawing") / "drawing.svg"
    path.write_text(svg(f'<g transform="{outer}"><path transform="{inner}" d="{data}"/></g>'))
    runs = [line.run for line in read_lines(path).lines]
    if not runs:
        return
    matrix = svgelements.Matrix(inner) * svgelements.Matrix(outer)
    compare(np.concatenate([flat(segment) for run in runs for segment in run.segments]), svgelements.Path(data), matrix)


def test_a_smooth_curve_after_another_kind_starts_straight():
    # https://www.w3.org/TR/SVG2/paths.html#PathDataQuadraticBezierCommands : the handle is then the current point.
    quadratic = path_runs("M0 0 C1 1 2 2 3 0 T 9 6")[0].segments[-1]
    assert quadratic == pytest.approx(np.array([[3, 0], [3, 0], [5, 2], [9, 6]]))
    cubic = path_runs("M0 0 Q1 1 3 0 S 5 5 9 6")[0].segments[-1]
    assert cubic == pytest.approx(np.array([[3, 0], [3, 0], [5, 5], [9, 6]]))


def test_numbers_and_flags_may_run_into_each_other():
    close, wide = path_runs("M10-5.5L.5.25a5 6 0 0110.5-3"), path_runs("M 10 -5.5 L 0.5 0.25 a 5 6 0 0 1 10.5 -3")
    assert len(close) == len(wide) == 1
    for a, b in zip(close[0].segments, wide[0].segments, strict=True):
        assert np.array_equal(a, b)


@pytest.mark.parametrize(
    "data", ["L 1 2", "M 1", "M 1 2 L 3", "M 1 2 Q 3 4 5", "M1 2 a 3 3 0 2 1 5 5", "M 1 2 X", "Z 3", "M 1e999 0 H 2"]
)
def test_what_is_no_path_data(data):
    with pytest.raises(DraftError, match="a path cannot be read at"):
        path_runs(data)
