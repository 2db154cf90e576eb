"""What to change, in a maker's words and in millimetres."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..cloth.fabric import Fabric
from ..words import plain
from .hang import Hem, Sleeve
from .lap import Lap
from .level import ARM_LEVELS, FITS, LOOSE, TIGHT, TRUNK_LEVELS, Level
from .stiffness import HANGS

# Where a sleeve ends: as drafted 2 % of the doll's height past the wrist; from the wrist itself to twice as far is
# good (common practice, no source).
PAST_WRIST, PAST_WRIST_MOST = 0.02, 0.04
# A hem clears the floor by this share of the height at least, and by this one if it is moved (common practice).
HEM_LEAST, HEM_CLEAR = 0.01, 0.05
LAP_LEAST = 0.25  # of the drafted overlap is wanted back where fronts gape (common practice, no source)


@dataclass(frozen=True)
class Advice:
    """One thing to change.

    Attributes
    ----------
    option : str
        The garment's option, "fabric" for another cloth, "" where nothing needs changing.
    change_mm : float
        To be added to that option; negative is less.
    """

    option: str
    change_mm: float
    sentence: str


@dataclass(frozen=True)
class Findings:
    """What the advice is drawn from.

    Attributes
    ----------
    options : mapping of str to object
        As the maker chose them; None where a rule decided.
    sizes : mapping of str to float
        All sizes of the draft, mm.
    """

    height_mm: float
    scale: float
    fabric: Fabric
    options: Mapping[str, object]
    sizes: Mapping[str, float]
    levels: Sequence[Level]
    laps: Sequence[Lap]
    hem: Hem | None
    sleeves: Sequence[Sleeve]


def advise(found: Findings) -> tuple[Advice, ...]:
    """All advice, the weightiest first; never empty."""
    advice = [*_fronts(found), *_trunk(found), *_arms(found), *_sleeve(found), *_hem(found), *_stiffness(found)]
    return tuple(advice) or (_as_it_is(found),)


def _fronts(found: Findings) -> list[Advice]:
    gaping = [lap for lap in found.laps if lap.gapes]
    if not gaping:
        return []
    worst = min(gaping, key=lambda lap: lap.overlap_mm)
    more = math.ceil((LAP_LEAST * worst.drafted_mm - worst.overlap_mm) / 2)
    return [
        Advice(
            "overlap",
            more,
            f"Make the overlap of each front {more} mm wider: "
            f"at the {plain(worst.level)} the fronts gape by {-worst.overlap_mm:.0f} mm.",
        )
    ]


def _trunk(found: Findings) -> list[Advice]:
    trunk = [level for level in found.levels if level.name in TRUNK_LEVELS]
    tight = [level for level in trunk if level.verdict == TIGHT]
    if tight:
        worst = max(tight, key=_missing)
        return [_wider(found, worst, math.ceil(_missing(worst)))]
    loose = [level for level in trunk if level.verdict == LOOSE]
    if not loose:
        return []
    # What is taken off one level is taken off all: no more than the tightest can spare.
    spare = math.floor(min((level.ease_mm or 0.0) - level.wanted_mm[0] for level in trunk if level.ease_mm is not None))
    worst = max(loose, key=_surplus)
    less = min(math.ceil(_surplus(worst)), spare) // 4
    return [_narrower(worst, less) if less >= 1 else _gathered(worst)]


def _wider(found: Findings, level: Level, more: int) -> Advice:
    why = (
        f"at the {plain(level.name)} there is {level.ease_mm:.1f} mm of ease, "
        f"at least {level.wanted_mm[0]:.1f} mm is wanted"
    )
    why += f" ({_layer(found.fabric):.1f} mm goes into one layer of this cloth)."
    if found.options.get("width") is not None:
        quarter = math.ceil(more / 4)
        return Advice("width", quarter, f"Make each back and front {quarter} mm wider: {why}")
    return Advice("ease", more, f"Add {more} mm of ease all round: {why}")


def _narrower(level: Level, less: int) -> Advice:
    return Advice(
        "width",
        -less,
        f"Make each back and front {less} mm narrower: at the {plain(level.name)} there is {level.ease_mm:.0f} mm "
        f"of ease, at most {level.wanted_mm[1]:.0f} mm is wanted.",
    )


def _gathered(level: Level) -> Advice:
    return Advice(
        "",
        0.0,
        f"Leave the width: {_surplus(level):.0f} mm too much ease at the {plain(level.name)} is needed elsewhere; "
        "gather it under the sash.",
    )


def _arms(found: Findings) -> list[Advice]:
    """A hanging sleeve is twice its drop round: half of what is missing or too much goes into the drop."""
    arms = [level for level in found.levels if level.name in ARM_LEVELS and level.ease_mm is not None]
    worst = max(arms, key=lambda level: max(_missing(level), _surplus(level)), default=None)
    if worst is None or worst.verdict == FITS:
        return []
    tight = worst.verdict == TIGHT
    change = math.ceil(_missing(worst) / 2) if tight else -math.ceil(_surplus(worst) / 2)
    limit = f"at least {worst.wanted_mm[0]:.0f}" if tight else f"at most {worst.wanted_mm[1]:.0f}"
    return [
        Advice(
            "sleeve_drop",
            change,
            f"Make the sleeve {abs(change)} mm {'deeper' if tight else 'shallower'}: it has "
            f"{worst.ease_mm:.0f} mm of ease round the {plain(worst.name)}, {limit} mm is wanted.",
        )
    ]


def _sleeve(found: Findings) -> list[Advice]:
    past = [sleeve.past_wrist_mm for sleeve in found.sleeves if sleeve.past_wrist_mm is not None]
    if not past:
        return []
    ends = sum(past) / len(past)
    if 0 <= ends <= PAST_WRIST_MOST * found.height_mm:
        return []
    change = round(PAST_WRIST * found.height_mm - ends)
    do = f"Shorten the sleeve by {-change} mm" if change < 0 else f"Lengthen the sleeve by {change} mm"
    where = f"{ends:.0f} mm past the wrist" if ends > 0 else f"{-ends:.0f} mm before the wrist"
    return [Advice("wrist_allowance", change, f"{do}: it ends {where}.")]


def _hem(found: Findings) -> list[Advice]:
    if found.hem is None or found.hem.lowest_mm >= HEM_LEAST * found.height_mm:
        return []
    less = math.ceil(HEM_CLEAR * found.height_mm - found.hem.lowest_mm)
    return [
        Advice(
            "length",
            -less,
            f"Shorten it by {less} mm: the hem hangs only {max(found.hem.lowest_mm, 0.0):.1f} mm above the floor.",
        )
    ]


def _stiffness(found: Findings) -> list[Advice]:
    depth, bending = found.sizes.get("sleeve_drop"), found.fabric.bending_mm
    if depth is None or depth >= HANGS * bending:
        return []
    softer = math.floor(depth / HANGS)
    return [
        Advice(
            "fabric",
            softer - bending,
            f"This cloth is stiff at this scale: its bending length of {bending:.0f} mm is to this doll what "
            f"{bending / found.scale:.0f} mm is to a grown woman. A sleeve {depth:.0f} mm deep will stand away rather "
            f"than hang; take cloth with a bending length of {softer} mm or less, or a sleeve "
            f"{math.ceil(HANGS * bending)} mm deep.",
        )
    ]


def _as_it_is(found: Findings) -> Advice:
    eased = [level for level in found.levels if level.ease_mm is not None and level.name in TRUNK_LEVELS]
    if not eased:
        return Advice("", 0.0, "Nothing needs changing.")
    least = min(eased, key=lambda level: level.ease_mm or 0.0)
    return Advice(
        "",
        0.0,
        f"Sew it as drafted: the least ease is {least.ease_mm:.0f} mm at the {plain(least.name)}, "
        f"{least.wanted_mm[0]:.0f} to {least.wanted_mm[1]:.0f} mm is wanted there.",
    )


def _missing(level: Level) -> float:
    return level.wanted_mm[0] - (level.ease_mm or 0.0)


def _surplus(level: Level) -> float:
    return (level.ease_mm or 0.0) - level.wanted_mm[1]


def _layer(fabric: Fabric) -> float:
    """What one layer of cloth takes of a girth: 2 pi t, the thickness term of equations 9.2 and 9.3 of
    "Anthropometry, Apparel Sizing and Design", ch. 9, by Steiner's formula."""
    return 2 * math.pi * fabric.thickness_mm
