"""The whole in one word."""

from __future__ import annotations

from collections.abc import Sequence

from ..cloth.draped import SeamClosure
from ..words import plain
from .lap import Lap
from .level import FITS, LOOSE, TIGHT, Level
from .stretch import Stretch

DOES_NOT_CLOSE = "does not close"

# A seam further open than this is not sewn: half a fine hand stitch of 1 mm (common practice, no source).
OPEN_SEAM_MM = 0.5
# Woven cloth that has to stretch more than 2 to 3 % is too small (from memory, no citable table was found);
# 5 % leaves room for the solver, whose springs give where threads would not.
STRETCHED = 0.05


def verdict(levels: Sequence[Level], laps: Sequence[Lap], seams: SeamClosure, stretch: Stretch) -> str:
    """ "does not close", "tight", "loose" or "fits", in this order of weight."""
    if open_reasons(laps, seams, stretch):
        return DOES_NOT_CLOSE
    found = {level.verdict for level in levels}
    return TIGHT if TIGHT in found else LOOSE if LOOSE in found else FITS


def open_reasons(laps: Sequence[Lap], seams: SeamClosure, stretch: Stretch) -> tuple[str, ...]:
    """Why the garment does not close, one sentence each; empty if it does."""
    reasons = []
    if seams.widest_open_mm > OPEN_SEAM_MM:
        reasons.append(f"A seam stands open by {seams.widest_open_mm:.1f} mm.")
    reasons += [f"The fronts gape by {-lap.overlap_mm:.1f} mm at the {plain(lap.level)}." for lap in laps if lap.gapes]
    if stretch.edges.drawn > STRETCHED:
        reasons.append(
            f"The cloth had to become {100 * stretch.edges.drawn:.1f} % longer to go round; "
            f"woven cloth gives {100 * STRETCHED:.0f} % at most."
        )
    return tuple(reasons)
