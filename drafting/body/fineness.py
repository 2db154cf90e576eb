"""How coarse and noisy a skin is, and what that does to its girths."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from .body import Doubt, Measure, Skin
from .graph import lengths_of

NOISY = 0.0007
"""Scan noise above this share of the height (0.3 mm of 420) moves landmarks and head about; sample scan: 0.0002."""
COARSE = 0.02
"""Triangles with longer edges in the mean, as a share of the height, show no limb's roundness; sample dolls: 0.008."""
SLACK = 0.02
"""A girth that coarse triangles may shorten by more than this share is doubtful."""


def noisy(noise_mm: float, height_mm: float) -> tuple[Doubt, ...]:
    """What is doubtful about a skin from which so much noise was smoothed (standard deviation, mm).

    A tape is taut over the highest points, so that a girth moves by 2 pi times what the surface wavers.
    """
    if noise_mm < NOISY * height_mm:
        return ()
    off = 2 * np.pi * noise_mm
    said = (
        f"The scan is rough: its surface wavers by {noise_mm:.2f} mm, so girths may be off by {off:.1f} mm, and more at"
    )
    return (Doubt("body", f"{said} neck and head. Scan her in softer light, or check with your tape."),)


def coarse(skin: Skin, measures: Mapping[str, Measure]) -> tuple[Doubt, ...]:
    """Girths that triangles as large as these cannot show.

    A circle of radius r that is drawn with chords of length e is short by (e / r)^2 / 24 of its length.
    """
    edge = float(lengths_of(skin.vertices, skin.faces[:, :2]).mean())
    if edge < COARSE * float(np.ptp(skin.vertices[:, 2])):
        return ()
    doubts = []
    for name, each in measures.items():
        short = (2 * np.pi * edge / each.mm) ** 2 / 24
        if name.endswith("girth") and short > SLACK:
            off = f"it may be off by {short * each.mm:.1f} mm"
            doubts.append(Doubt(name, f"The scan's triangles are {edge:.1f} mm wide; {off}. Check it with your tape."))
    return (*doubts, *_lengths(edge, measures))


def _lengths(edge: float, measures: Mapping[str, Measure]) -> list[Doubt]:
    """Lengths between points that lie no closer than the triangles' corners."""
    said = f"The scan's triangles are {edge:.1f} mm wide; its ends may be off by as much. Check it with your tape."
    names = (name for name in measures if not name.endswith("girth") and name != "height")
    return [Doubt(name, said) for name in names if edge > SLACK * measures[name].mm]
