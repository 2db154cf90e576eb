"""The gate of plausibility: a body whose proportions no body has is doubted, as a whole or in one measure."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from ..errors import MeasureError
from ..words import plain
from .body import SIDES, Doubt, FloatArray, Measure
from .figure import Figure
from .misread import meant
from .neck import Marks, armpit_level
from .shape import proportions

WIDER = 0.12
"""A ratio may lie so far outside the span of the bodies that were measured; dolls are more shapes than they."""
MILD, MILD_HEAD = 0.4, 0.25
"""A proportion that lies no farther outside is a mild doubt: dolls are made with large heads, thin necks and limbs,
narrow waists and full hips (common practice, no source). A pose is never one."""
LEAN = {"trunk leans": 0.03, "legs lean": 0.035}
"""Shares of the height by which these may lie outside their spans; common practice, no source."""
APART = {"knees apart": 0.045, "ankles apart": 0.045, "shoulders apart": 0.04, "neck aside": 0.03}
"""So far left and right may differ, or the neck stand aside, as shares of the height; common practice, no source."""
MANY = 3
"""So many measures out of their spans make the whole body improbable."""
SIDED, SIDED_MM = 0.1, 2.0
"""Both sides of a measure are farther apart by this share, and so many mm: one of them is not as it should be."""
HOLLOW, NECK_HOLLOW = 0.06, 0.09
"""A trunk or a neck is nowhere so hollow under the tape, as a share of its girth, unless something lies against it.
Sample and published bodies: 0.034 and 0.046."""
OFF_SKIN, OUTSIDE, ELSEWHERE = 0.03, 0.05, 0.12
"""A point of the maker's lies no farther off the skin, out of her bounds and from where it was found, as shares of the
height."""
FAR = 1.5
"""A taped measure is no more than so many times the scan's, or that part of it."""
NEAR = 0.15
"""A figure in another unit is what was meant if it comes so near the scan's."""
POSE = "tape her standing straight, legs together and arms a little away, or leave what is not her body out of the scan"


@functools.cache
def spans() -> Mapping[str, tuple[float, float]]:
    """Least and greatest of each proportion, from spans.toml, where its source stands."""
    rows = tomllib.loads(Path(__file__).with_name("spans.toml").read_text(encoding="utf-8"))
    return {name: (float(low), float(high)) for name, (low, high) in rows.items()}


def improbable(figure: Figure, marks: Marks, measures: Mapping[str, Measure]) -> tuple[Doubt, ...]:
    """What of a measured body is like no body."""
    found = proportions(measures, marks, figure.vertices)
    out = {name: value for name, value in found.items() if _outside(name, value, WIDER)}
    whole = [*_posed(out), *_headless(marks, measures), *_parts(figure, measures, out)]
    return (*whole, *_single(out, measures), *_sides(measures), *_hollows(figure, marks))


def _outside(name: str, value: float, wider: float) -> bool:
    if name in APART:
        return value > APART[name]
    if name not in spans():
        return False
    low, high = spans()[name]
    if name in LEAN:
        return not low - LEAN[name] <= value <= high + LEAN[name]
    if name == "head" and wider == WIDER:
        wider = 0.0  # of all heads it is nearly the same
    return not (1 - wider) * low <= value <= (1 + wider) * high


def _mild(name: str, value: float) -> bool:
    """Whether a proportion that is doubted is one that a doll may have."""
    return not _outside(name, value, MILD_HEAD if name == "head" else MILD)


def _posed(out: Mapping[str, float]) -> list[Doubt]:
    said = {
        "deep": "she is far deeper from front to back than a standing body",
        "trunk leans": "her trunk leans forward or back",
        "legs lean": "her waist is not over her feet",
        "knees apart": "one knee is before or above the other",
        "ankles apart": "one foot is before or above the other",
        "shoulders apart": "one shoulder is higher than the other",
        "neck aside": "her neck is not over the middle",
        "head": "her head is far too high or low for its girth: a hat, ears, hair or raised arms count as her height",
    }
    return [
        Doubt("body", f"{words.capitalize()}; {POSE}.", name == "head" and _mild(name, out[name]))
        for name, words in said.items()
        if name in out
    ]


def _headless(marks: Marks, measures: Mapping[str, Measure]) -> list[Doubt]:
    """Whether crown and soles are hers, which the height is taken between."""
    lost = [] if "head_girth" in measures else ["head"]
    lost += [] if any(f"toe_{side}" in marks for side in SIDES) else ["feet"]
    if not lost:
        return []
    what = " and ".join(lost)
    said = f"No {what} can be told on this scan, so her height is not from crown to soles; size her by a taped girth"
    return [Doubt("size", f"{said}, or scan her whole.")]


def _parts(figure: Figure, measures: Mapping[str, Measure], out: Mapping[str, float]) -> list[Doubt]:
    """What several measures say together, or what goes together badly."""
    bad = [name for name in out if name in measures]
    pairs = [name for name in out if "/" in name]
    if len(bad) < MANY and not pairs:
        return []
    names = ", ".join(plain(name) for name in bad) or " over ".join(plain(each) for each in pairs[0].split("/"))
    mild = len(bad) < MANY and all(_mild(name, out[name]) for name in pairs)
    return [Doubt("body", f"Her proportions are no body's ({names}); {POSE}.", mild)]


def _single(out: Mapping[str, float], measures: Mapping[str, Measure]) -> list[Doubt]:
    found = []
    for name, value in out.items():
        if name in measures:
            low, high = spans()[name]
            found.append(
                Doubt(
                    name,
                    f"{measures[name].mm:.1f} mm is {100 * value:.0f} % of her height; between {100 * low:.0f} and "
                    f"{100 * high:.0f} % is usual. Check it with your tape.",
                    _mild(name, value),
                )
            )
    return found


def _sides(measures: Mapping[str, Measure]) -> list[Doubt]:
    """Measures whose sides are far apart."""
    found = []
    for each in measures.values():
        if each.left is None or each.right is None:
            continue
        apart = abs(each.left - each.right)
        if apart > SIDED * each.mm and apart > SIDED_MM:
            said = (
                f"It is {each.left:.1f} mm on the left and {each.right:.1f} mm on the right. Check it with your tape."
            )
            found.append(Doubt(each.name, said))
    return found


def _hollows(figure: Figure, marks: Marks) -> list[Doubt]:
    """Whether a tape would go over a hollow between waist and armpits, or between armpits and neck."""
    pit, tall = armpit_level(marks), figure.height
    if pit is None or "waist_front" not in marks or "neck_narrow" not in marks:
        return []
    waist, neck = float(marks["waist_front"][2]), float(marks["neck_narrow"][2])
    places = {"trunk": (waist - 0.06 * tall, pit - 0.01 * tall, HOLLOW), "neck": (pit + 0.03 * tall, neck, NECK_HOLLOW)}
    levels, hollow = figure.trunk.levels, np.nan_to_num(figure.trunk.hollow)
    for name, (low, high, most) in places.items():
        if (hollow[(levels > low) & (levels < high)] > most).sum() > 1:
            said = f"Hair, an arm or something else lies against her {name}, and the tape goes round it"
            return [Doubt("body", f"{said}; {POSE}.")]
    return []


def misplaced(figure: Figure, given: Mapping[str, FloatArray], found: Mapping[str, FloatArray]) -> tuple[Doubt, ...]:
    """Points of the maker's that lie off the skin or far from where they are looked for.

    Raises
    ------
    MeasureError
        One lies outside the body altogether.
    """
    low, high = figure.vertices.min(axis=0), figure.vertices.max(axis=0)
    tall, doubts = figure.height, []
    for name, point in given.items():
        if (point < low - OUTSIDE * tall).any() or (point > high + OUTSIDE * tall).any():
            raise MeasureError(
                f"the point {plain(name)} lies outside the doll, who is {tall:.0f} mm tall; give points of hers, in "
                "millimetres from the floor and from her middle"
            )
        away = float(np.sqrt(((figure.vertices - point) ** 2).sum(axis=1).min()))
        moved = float(np.linalg.norm(point - found[name])) if name in found else 0.0
        if away > OFF_SKIN * tall or moved > ELSEWHERE * tall:
            far = (
                f"{moved:.0f} mm from where it was found" if moved > ELSEWHERE * tall else f"{away:.0f} mm off her skin"
            )
            doubts.append(Doubt("body", f"The point {plain(name)} lies {far}; is it this doll's, and in millimetres?"))
    return tuple(doubts)


def mistaken(taped: Mapping[str, float], measures: Mapping[str, Measure]) -> tuple[Doubt, ...]:
    """Taped measures far from the scan's."""
    doubts = []
    for name, mm in taped.items():
        if name not in measures or 1 / FAR < mm / measures[name].mm < FAR:
            continue
        scanned = measures[name].mm
        unit = meant(mm, (1 - NEAR) * scanned, (1 + NEAR) * scanned)
        hint = f" Did you mean {unit}?" if unit else ""
        doubts.append(Doubt(name, f"You taped {mm:.1f} mm, the scan shows {scanned:.1f} mm.{hint}"))
    return tuple(doubts)
