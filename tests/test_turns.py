"""Turns of a window: work and drawing never share one, and neither waits for ever."""

import pytest

from addon.turns import MOST_WAITS, SLOW, TELLING, Turn, Turns


class Window:
    """A window whose turns take as long as they are told to."""

    def __init__(self, work: float, drawing: float, own: float = 0.0, passes: int = 1) -> None:
        self.work, self.drawing, self.own, self.passes = work, drawing, own, passes
        self.left = 0
        self.now = 0.0
        self.turns = Turns(lambda: self.now)
        self.log: list[tuple[Turn, float]] = []

    def go(self, seconds: float) -> None:
        """Let turns pass: Blender draws what it is asked to in so many passes, and for itself a share in every turn."""
        while self.now < seconds:
            began, turn = self.now, self.turns.next()
            self.now += self.work if turn is Turn.WORK else 0.0
            self.turns.end()
            self.left = self.passes if turn is Turn.SHOW else self.left
            self.now += max(self.drawing if self.left else 0.0, self.own, 0.001)
            self.left = max(0, self.left - 1)
            self.log.append((turn, self.now - began))

    def spent(self, turn: Turn) -> float:
        """Seconds of all turns of a kind."""
        return sum(took for kind, took in self.log if kind is turn)


@pytest.mark.parametrize(("work", "drawing"), [(0.25, 0.3), (0.02, 0.5), (0.3, 0.004)])
def test_no_turn_is_longer_than_a_piece_of_work_or_a_drawing(work: float, drawing: float) -> None:
    window = Window(work, drawing)
    window.go(20.0)
    assert max(took for _, took in window.log) <= max(work, drawing) + 0.0015
    assert window.log[0][0] is Turn.SHOW


@pytest.mark.parametrize("passes", [1, 8])
@pytest.mark.parametrize("drawing", [0.004, 0.3, 0.9])
def test_drawing_takes_no_more_than_half_of_the_time(drawing: float, passes: int) -> None:
    """All passes of a view count, and the turns that wait for them."""
    window = Window(0.05, drawing, passes=passes)
    window.go(60.0)
    whole = passes * drawing + 0.01
    assert window.spent(Turn.SHOW) + window.spent(Turn.WAIT) <= 0.5 * window.now + whole
    assert sum(kind is Turn.SHOW for kind, _ in window.log) >= 0.8 * window.now / max(
        TELLING + 0.06 + whole, 2.2 * whole
    )


def test_after_a_turn_that_drew_slowly_comes_one_without_work() -> None:
    window = Window(0.05, 0.3)
    window.go(10.0)
    for (_, took), (then, _) in zip(window.log, window.log[1:], strict=False):
        assert then is not Turn.WORK or took <= SLOW + 0.05


def test_work_goes_on_where_every_turn_draws_slowly() -> None:
    window = Window(0.05, 0.3, own=0.4)
    window.go(60.0)
    assert sum(kind is Turn.WORK for kind, _ in window.log) >= 0.8 * window.now / (0.45 * (MOST_WAITS + 2))
