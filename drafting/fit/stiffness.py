"""How stiff a cloth is at the garment's size: its bending length against the length that hangs.

A hanging sheet's shape depends on its length over its bending length alone, as long as it hardly stretches (Cerda,
Mahadevan, Pasini, "The elements of draping", PNAS 101, 2004; Marzin and others, arXiv 2602.15574). Cloth is not scaled
down with the doll, so the same lawn is stiffer the smaller the doll is.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..cloth.fabric import FABRICS, Fabric

# Cloth hangs down from an edge once four bending lengths hang free: a heavy elastica of (L / c)^3 = 64 falls by 0.92 of
# its length at a chord of 77 degrees (solved with scipy in the tests).
HANGS = 4.0

# How cloth behaves by the share of the garment's size that it needs to hang down: common practice, no source.
BEHAVIOUR = ((0.08, "Flows"), (0.15, "Hangs well"), (0.25, "Stands off a little"), (9.0, "Stands off like card"))


@dataclass(frozen=True)
class Stiffness:
    """A cloth's bending length at the garment's size.

    Attributes
    ----------
    size : str
        Which size it is measured against, in words.
    size_mm : float
    grown_mm : float
        The bending length that cloth would have which is as stiff to a grown woman.
    """

    fabric: str
    bending_mm: float
    size: str
    size_mm: float
    grown_mm: float

    @property
    def over_size(self) -> float:
        """Bending length over the garment's size."""
        return self.bending_mm / self.size_mm

    @property
    def hangs_mm(self) -> float:
        """How much must hang free to fall."""
        return HANGS * self.bending_mm

    @property
    def behaviour(self) -> str:
        """What it does at this size, in two or three words."""
        return next((words for most, words in BEHAVIOUR if HANGS * self.over_size < most), BEHAVIOUR[-1][1])

    @property
    def words(self) -> str:
        """What that means at this scale."""
        return (
            f"The bending length of this {self.fabric}, {self.bending_mm:.0f} mm, is {100 * self.over_size:.1f} % of "
            f"the {self.size}, {self.size_mm:.0f} mm. To this doll it is what cloth of {self.grown_mm:.0f} mm is to a "
            f"grown woman, {_likened(self.grown_mm)}. What hangs free for {self.hangs_mm:.0f} mm or more "
            "falls; what is shorter stands off."
        )


def read_stiffness(fabric: Fabric, length_mm: float, scale: float) -> Stiffness:
    """The cloth against the garment's length.

    Parameters
    ----------
    length_mm : float
        From shoulder to hem.
    scale : float
        The doll's height over an adult's.
    """
    bending = fabric.bending_mm
    return Stiffness(fabric.name, bending, "garment's length from shoulder to hem", length_mm, bending / scale)


def _likened(grown_mm: float) -> str:
    """The fabric of the table that bends most like it, or how far beyond the stiffest it is."""
    stiffest = max(FABRICS.values(), key=lambda fabric: fabric.bending_mm)
    if grown_mm > 1.2 * stiffest.bending_mm:
        return f"{grown_mm / stiffest.bending_mm:.1f} times the {stiffest.bending_mm:.0f} mm of {stiffest.name}"
    nearest = min(FABRICS.values(), key=lambda fabric: abs(fabric.bending_mm - grown_mm))
    return f"about as {nearest.name} is ({nearest.bending_mm:.0f} mm)"
