"""Cloth that dips under the skin: whether it matters, where it is, and what to do."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..body.body import Body
from ..words import plain
from .gap import Gap

# Above these a drape is not clean enough to be trusted to the millimetre (the limits of the drape's own promise).
BELOW_SKIN_MM, BELOW_SKIN_SHARE = 0.3, 0.005
ENDS = ("crown", "sole", "hand_tip_left", "hand_tip_right", "toe_left", "toe_right")  # of which no cloth is near
CALLED = {"neck_narrow": "neck"}  # points of a name that is no place


def sinks(gap: Gap) -> bool:
    """Whether cloth dips so far or so widely that it matters."""
    return gap.below_deepest_mm > BELOW_SKIN_MM or gap.below_share > BELOW_SKIN_SHARE


def sink_words(body: Body, gaps: Sequence[Gap], quick: bool) -> tuple[str, ...]:
    """A sentence where cloth dips under the skin and it matters: where, and what to do; else nothing."""
    sunk = [gap for gap in gaps if sinks(gap)]
    if not sunk:
        return ()
    worst = max(sunk, key=lambda gap: gap.below_deepest_mm)
    where = place_of(body, worst.below_at)
    do = "drape it in full" if quick else "drape it again, finer, or give it more ease there"
    return (f"The cloth dips {worst.below_deepest_mm:.1f} mm under the skin{where}: {do}.",)


def place_of(body: Body, point: tuple[float, float, float] | None) -> str:
    """Where on the body a point lies, " at the left shoulder"; "" where that is not known."""
    named = {name: spot for name, spot in body.landmarks.items() if name not in ENDS}
    if point is None or not named:
        return ""
    nearest = min(named, key=lambda name: float(np.linalg.norm(named[name] - np.array(point))))
    return f" at the {CALLED.get(nearest) or plain(nearest)}"
