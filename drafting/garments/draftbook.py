"""The cutter's notebook: which measures were used, what was chosen, and the rule behind every number."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from ..errors import MeasureError
from ..pattern.pattern import Rule
from ..units import format_length, round_down, round_up
from .options import Value

Ruling = tuple[float, str]


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
                f"The measure {name} is missing. Measure the doll there, or set the option that it decides."
            )
        try:
            mm = float(self._measures[name])
        except (TypeError, ValueError):
            mm = math.nan
        if not (math.isfinite(mm) and mm > 0):
            raise MeasureError(f"The measure {name} is {self._measures[name]}; it must be a length above 0 mm.")
        self.used[name] = mm
        return mm

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

    def easy_up(self, mm: float) -> Ruling:
        """Up to the next easy mark, and the words that say so."""
        return _marked(mm, round_up(mm, self.length("easy_mark")), "up")

    def easy_down(self, mm: float) -> Ruling:
        """Down to the last easy mark above 0, and the words that say so."""
        return _marked(mm, round_down(mm, self.length("easy_mark")) or mm, "down")


def show(mm: float) -> str:
    """A length as it stands in a rule: "71.5 mm"."""
    return format_length(mm)


def _marked(mm: float, marked: float, way: str) -> Ruling:
    return marked, show(mm) if show(marked) == show(mm) else f"{show(mm)}, {way} to {show(marked)}"
