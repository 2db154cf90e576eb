"""Expected ease: what a draft leaves of room at each level, known before anything is draped."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass

import numpy as np

from ..body.body import SIDES, Body
from ..garments.garment import Garment
from ..garments.robe_ease import ADULT_HEIGHT_MM, takes_mm
from ..pattern.inner import inside
from ..pattern.panel import Panel
from ..pattern.pattern import Pattern
from ..pattern.shape import draped_outline
from ..units import format_length
from ..words import plain
from .arm import girth_station
from .level import ARM_LEVELS, LEVELS, verdict_of


@dataclass(frozen=True)
class Expected:
    """Body and draft at one level, mm.

    Attributes
    ----------
    garment_girth_mm : float or None
        Across the panels there, lap not counted; None where the garment does not reach.
    cloth_mm : float
        What the garment's own layer and those beneath it take: 2 pi t each.
    wanted_mm : (low, high)
        The ease that suits, once the cloth has taken its room.
    """

    name: str
    body_girth_mm: float
    garment_girth_mm: float | None
    cloth_mm: float
    wanted_mm: tuple[float, float]

    @property
    def ease_mm(self) -> float | None:
        """Drafted girth less body and cloth."""
        return None if self.garment_girth_mm is None else self.garment_girth_mm - self.body_girth_mm - self.cloth_mm

    @property
    def verdict(self) -> str:
        """ "fits", "tight", "loose" or "not reached"."""
        return verdict_of(self.ease_mm, self.wanted_mm)


def expected_ease(
    body: Body, pattern: Pattern, garment: Garment, thickness_mm: float, beneath_mm: float = 0.0
) -> tuple[Expected, ...]:
    """The expected ease at bust, waist and hip, and round the arms where there are sleeves.

    Parameters
    ----------
    thickness_mm, beneath_mm : float
        One layer of the garment's cloth, and of all that is worn under it.
    """
    scale, own, below = body.height_mm / ADULT_HEIGHT_MM, takes_mm(thickness_mm), takes_mm(beneath_mm)
    found = []
    for name in LEVELS:
        measure = body.measures.get(f"{name}_girth")
        girth = _sleeve_girth(body, pattern, name) if name in ARM_LEVELS else _trunk_girth(body, pattern, name)
        if measure is not None and (girth is not None or name not in ARM_LEVELS):
            low, high = garment.wanted(name, measure.mm, scale, thickness_mm)
            found.append(Expected(name, measure.mm, girth, own + below, (low - own, high - own)))
    return tuple(found)


def expected_record(levels: tuple[Expected, ...]) -> list[dict[str, object]]:
    """For pattern.json: one mapping a level, lengths to a hundredth of a millimetre."""
    return [
        {key: _rounded(value) for key, value in asdict(level).items()}
        | {"ease_mm": _rounded(level.ease_mm), "verdict": level.verdict}
        for level in levels
    ]


def expected_table(levels: tuple[Expected, ...], unit: str = "mm") -> list[str]:
    """A line a level, under a heading."""

    def shown(mm: float | None) -> str:
        return "-" if mm is None else format_length(mm, unit)

    heads = ("body", "garment", "cloth takes", "ease", "wanted")
    rows = [
        (
            shown(level.body_girth_mm),
            shown(level.garment_girth_mm),
            shown(level.cloth_mm),
            shown(level.ease_mm),
            " to ".join(shown(mm) for mm in level.wanted_mm),
        )
        for level in levels
    ]
    return [
        "Expected ease:  " + "".join(f"{head:>13}" for head in heads[:4]) + f"  {heads[4]}",
        *(
            f"  {plain(level.name):<14}" + "".join(f"{cell:>13}" for cell in row[:4]) + f"  {row[4]}   {level.verdict}"
            for level, row in zip(levels, rows, strict=True)
        ),
    ]


def _trunk_girth(body: Body, pattern: Pattern, name: str) -> float | None:
    """Across all trunk panels at the height where the body was measured, from centre line to centre line."""
    measure, shoulder = body.measures.get(f"{name}_girth"), body.measures.get("shoulder_height")
    if measure is None or measure.level_mm is None or shoulder is None:
        return None
    level = measure.level_mm - shoulder.mm
    bands = [panel for panel in pattern.panels if panel.role == "band"]
    wide = max((float(np.ptp(draped_outline(band)[:, 1])) for band in bands), default=0.0)
    total = 0.0
    for panel in (panel for panel in pattern.panels if panel.role == "trunk"):
        paired = len(panel.sides) > 1
        across = [line[:, 0] for line in inside(draped_outline(panel), 1, level)]
        own = sum(np.ptp(np.maximum(x, 0.0) if paired else x) for x in across)
        own += sum(min(max(short, 0.0), wide) for short in _to_band(pattern, panel, level))
        total += panel.cut * float(own)
    return total or None


def _to_band(pattern: Pattern, panel: Panel, level: float) -> Iterator[float]:
    """How far from the centre line a band goes on from a panel at a level, mm."""
    bands = {band.name for band in pattern.panels if band.role == "band"}
    ends = [(a, b) for seam in pattern.seams for a, b in ((seam.a, seam.b), (seam.b, seam.a))]
    for name in {a[1] for a, b in ends if a[0] == panel.name and b[0] in bands}:
        edge = panel.edge(name)
        x, y = edge.points[np.argsort(edge.points[:, 1])].T
        if y[0] < level < y[-1]:
            yield float(np.interp(level, y, x))


def _sleeve_girth(body: Body, pattern: Pattern, name: str) -> float | None:
    """Across the unfolded sleeve at the place on the arm where it was measured; the nearest end where it is short."""
    sleeve = next((panel for panel in pattern.panels if panel.role == "sleeve"), None)
    stations = [at for side in SIDES if (at := girth_station(body, name, side)) is not None]
    width = body.measures.get("shoulder_width")
    if sleeve is None or not stations or width is None:
        return None
    outline = draped_outline(sleeve)
    x = float(np.mean(stations)) - (_armhole(pattern, sleeve) - width.mm / 2)
    if x > outline[:, 0].max():
        return None
    x = max(x, outline[:, 0].min() + 1.0)
    return sum(float(np.ptp(line[:, 1])) for line in inside(outline, 0, x)) or None


def _armhole(pattern: Pattern, sleeve: Panel) -> float:
    """How far from the centre line a sleeve begins, mm."""
    ends = [(a, b) for seam in pattern.seams for a, b in ((seam.a, seam.b), (seam.b, seam.a))]
    edges = [pattern.panel(b[0]).edge(b[1]) for a, b in ends if a[0] == sleeve.name != b[0]]
    return max((float(edge.points[:, 0].max()) for edge in edges), default=0.0)


def _rounded(value: object) -> object:
    if isinstance(value, tuple | list):
        return [_rounded(part) for part in value]
    return round(value, 2) if isinstance(value, float) else value
