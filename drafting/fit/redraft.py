"""What a changed option would make of a draft: the same measures and options but one, drafted again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..errors import ToileError
from ..garments.garment import Garment
from ..pattern.pattern import Pattern

SAME_MM = 1e-6  # a size that differs by less has not changed


@dataclass(frozen=True)
class Redraft:
    """A draft that can be made again.

    Attributes
    ----------
    measures : mapping of str to float
        The body's, mm.
    """

    garment: Garment
    measures: Mapping[str, float]
    pattern: Pattern

    @property
    def free(self) -> bool:
        """Whether there is anything to choose: a drawing of the maker's own is changed by hand."""
        return bool(self.garment.options)

    @property
    def sizes(self) -> dict[str, float]:
        """Every drafted number by name, mm."""
        return {rule.name: rule.mm for rule in self.pattern.rules}

    def chosen(self, option: str) -> bool:
        """Whether the maker chose it, and no rule decided."""
        return self.pattern.options.get(option) is not None

    def value(self, option: str) -> float:
        """What a length is now: as chosen, else as drafted, else nothing, mm."""
        said = self.pattern.options.get(option)
        return float(said) if isinstance(said, int | float) else self.sizes.get(option, 0.0)

    def changed(self, option: str, change_mm: float) -> dict[str, float] | None:
        """All sizes with so much added to an option, mm; None where that cannot be drafted, or changes nothing."""
        names = {known.name for known in self.garment.options}
        if option not in names:
            return None
        options = {name: value for name, value in self.pattern.options.items() if name in names}
        try:
            again = self.garment.draft(self.measures, options | {option: self.value(option) + change_mm})
        except ToileError:
            return None
        sizes, now = {rule.name: rule.mm for rule in again.rules}, self.sizes
        return sizes if any(abs(mm - now.get(name, 0.0)) > SAME_MM for name, mm in sizes.items()) else None
