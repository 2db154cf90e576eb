"""Labels of a drawing lie on no line, on no other label, and on the card."""

import numpy as np
import pytest
import shapely

from addon.legend import labels
from addon.placing import crosses, place_label

CARD = np.array([[0.0, 0.0], [330.0, 230.0]])


def ring(across: float, deep: float) -> np.ndarray:
    """(k, 2, 3) float: an ellipse in the card's middle, in straight pieces."""
    turn = np.linspace(0.0, 2.0 * np.pi, 121)
    points = np.column_stack([165.0 + across * np.cos(turn), 115.0 + deep * np.sin(turn), np.zeros(121)])
    return np.stack([points[:-1], points[1:]], axis=1)


def lap(over: float) -> np.ndarray:
    """(k, 2, 3) float: a front that lies `over` pixels before the ring, as a lap does."""
    x = np.linspace(120.0, 215.0, 20)
    points = np.column_stack([x, np.full(20, 115.0 - 60.0 - over), np.zeros(20)])
    return np.stack([points[:-1], points[1:]], axis=1)


def test_a_piece_crosses_a_box_as_shapely_has_it() -> None:
    random = np.random.default_rng(4)
    box = np.array([[3.0, 4.0], [6.0, 5.0]])
    pieces = random.uniform(0.0, 9.0, (600, 2, 2))
    pieces[::7, 1, 0] = pieces[::7, 0, 0]  # upright
    pieces[::5, 1, 1] = pieces[::5, 0, 1]  # level
    wanted = shapely.intersects(shapely.linestrings(pieces), shapely.box(*box.ravel()))
    assert 0 < wanted.sum() < 600
    assert (crosses(box, pieces) == wanted).all()


@pytest.mark.parametrize("over", [0.0, 2.0, 6.0, 12.0, 20.0])
def test_lengths_lie_on_no_line_however_the_lap_lies(over: float) -> None:
    lines = np.concatenate([ring(70.0, 50.0), ring(80.0, 60.0), lap(over)])
    ends = {
        "front": np.array([[165.0, 65.0, 0.0], [165.0, 55.0, 0.0]]),
        "left": np.array([[235.0, 115.0, 0.0], [245.0, 115.0, 0.0]]),
        "back": np.array([[165.0, 165.0, 0.0], [165.0, 175.0, 0.0]]),
        "right": np.array([[95.0, 115.0, 0.0], [85.0, 115.0, 0.0]]),
    }
    lines = np.concatenate([lines, np.array([*ends.values()])])
    wides = dict.fromkeys(ends, 42.0)
    boxes = [shapely.box(*at, at[0] + 42.0, at[1] + 11.0) for at in labels(ends, wides, 11.0, lines, CARD).values()]
    drawn = shapely.linestrings(lines[..., :2])
    for index, box in enumerate(boxes):
        assert not shapely.intersects(drawn, box).any()
        assert shapely.box(*CARD.ravel()).contains(box)
        assert not any(box.intersects(other) for other in boxes[:index])
        assert min(shapely.distance(shapely.points(line[1, :2]), box) for line in ends.values()) < 25.0


def test_a_label_with_no_free_place_stands_where_it_would_be_best() -> None:
    lines = np.stack([np.stack([[0.0, y], [330.0, y]]) for y in np.arange(0.0, 230.0, 3.0)])
    box = place_label(np.array([40.0, 12.0]), np.array([100.0, 100.0]), np.array([0.0, -1.0]), lines, [], CARD)
    assert box.tolist() == [[80.0, 88.0], [120.0, 100.0]]
