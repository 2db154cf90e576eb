"""The cutter's notebook: which measures were used, what was chosen, and the rule behind every number."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from ..errors import MeasureError
from ..pattern.pattern import Rule
from ..units import TAPE_MM, format_length, round_down, round_up
from ..words import plain
from .options import Value

Ruling = tuple[float, str]
SHOWN = 0.01  # mm: two decimals, where a rule says that a tape cannot tell


class Draftbook:
    """Notes taken while drafting.

    Parameters
    ----------
    measures : mapping of str to float
        All body measures there are, mm.
    options : mapping of str to Value
        One value for each option of the garment; None where a rule decides.
    """

    def __init__(self, measures: Mapping[str, float], options: Mapping[str, Value]) -> None:
        self.options = options
        self.used: dict[str, float] = {}
        self._measures = measures
        self._rules: dict[str, Rule] = {}

    @property
    def rules(self) -> tuple[Rule, ...]:
        """All rules so far, in the order in which they were noted."""
        return tuple(self._rules.values())

    @property
    def sizes(self) -> dict[str, float]:
        """Every drafted number by name, mm."""
        return {rule.name: rule.mm for rule in self._rules.values()}

    def measure(self, name: str) -> float:
        """A body measure in mm, which is remembered as used.

        Raises
        ------
        MeasureError
            If it is missing, not a number, zero or negative.
        """
        if name not in self._measures:
            raise MeasureError(
                f"The {plain(name)} is missing. Measure the doll there, or set the size that it decides.", about=[name]
            )
        try:
            mm = float(self._measures[name])
        except (TypeError, ValueError):
            mm = math.nan
        if not (math.isfinite(mm) and mm > 0):
            raise MeasureError(
                f"The {plain(name)} is {self._measures[name]}; it must be a length above 0 mm.", about=[name]
            )
        self.used[name] = mm
        return mm

    def look(self, name: str) -> float | None:
        """A body measure in mm that may decide nothing, and is not remembered; None where there is none of use."""
        mm = self._measures.get(name)
        return float(mm) if isinstance(mm, int | float) and math.isfinite(mm) and mm > 0 else None

    def length(self, name: str) -> float:
        """An option that is always a length, mm."""
        value = self.options[name]
        assert isinstance(value, float | int), name
        return float(value)

    def note(self, name: str, mm: float, reason: str) -> float:
        """Write down a number with its rule; a later note of the same name replaces it."""
        self._rules[name] = Rule(name, mm, reason)
        return mm

    def choose(self, name: str, rule: Callable[[], Ruling]) -> float:
        """The option of that name if the maker chose one, else what the rule gives; noted either way."""
        if self.options[name] is not None:
            return self.note(name, self.length(name), f"chosen: {show(self.length(name))}")
        return self.note(name, *rule())

    def easy_up(self, mm: float, share: float = 1.0) -> Ruling:
        """Up to the next easy mark, and the words that say so; `share` is how much of a taped length this is."""
        step = self.length("easy_mark")
        return _marked(mm, round_up(mm, step, share * TAPE_MM), step)

    def easy_down(self, mm: float, share: float = 1.0) -> Ruling:
        """Down to the last easy mark above 0, and the words that say so; `share` as above."""
        step = self.length("easy_mark")
        return _marked(mm, round_down(mm, step, share * TAPE_MM) or mm, -step)


def show(mm: float) -> str:
    """A length as it stands in a rule: "71.5 mm"."""
    return format_length(mm)


def _marked(mm: float, marked: float, step: float) -> Ruling:
    """A size on its mark, and the words; the step is below 0 where the mark is below the size."""
    exact = f"{mm:.2f} mm"  # where one decimal would hide what was decided
    if abs(mm - marked) > SHOWN / 2 and (mm > marked) == (step > 0):
        return marked, f"{exact}, {show(marked)} to a tape's accuracy"
    if show(marked) == show(mm):
        return marked, show(mm)
    short = exact if show(marked - step) == show(mm) else show(mm)
    return marked, f"{short}, {'up' if step > 0 else 'down'} to {show(marked)}"
