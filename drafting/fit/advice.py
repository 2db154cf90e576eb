"""What to change, in a maker's words and in millimetres."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..cloth.fabric import Fabric
from ..cloth.fabric_file import BENDING_LEAST
from ..garments.robe_ease import takes_mm
from ..units import format_length
from ..words import plain
from .hang import Hem, Sleeve
from .lap import Lap
from .level import ARM_LEVELS, FITS, LOOSE, TIGHT, TRUNK_LEVELS, Level
from .redraft import Redraft
from .stiffness import HANGS

# Where a sleeve ends: as drafted 2 % of the doll's height past the wrist; from the wrist itself to twice as far is
# good (common practice, no source).
PAST_WRIST, PAST_WRIST_MOST = 0.02, 0.04
# A hem clears the floor by this share of the height at least, and by this one if it is moved (common practice).
HEM_LEAST, HEM_CLEAR = 0.01, 0.05
LAP_LEAST = 0.25  # of the drafted overlap is wanted back where fronts gape (common practice, no source)

MOST_EASE = 4096  # mm: far more than any body wants


@dataclass(frozen=True)
class Advice:
    """One thing to change.

    Attributes
    ----------
    option : str
        The garment's option, "fabric" for another cloth, "" where none is to be changed.
    change_mm : float
        To be added to what that option is now (`Redraft.value`); negative is less.
    """

    option: str
    change_mm: float
    sentence: str


@dataclass(frozen=True)
class Findings:
    """What the advice is drawn from.

    Attributes
    ----------
    redraft : Redraft
        The draft, to be made again with what is advised: nothing is advised that changes nothing.
    reasons : sequence of str
        Why it does not close, if it does not.
    """

    height_mm: float
    scale: float
    fabric: Fabric
    redraft: Redraft
    levels: Sequence[Level]
    laps: Sequence[Lap]
    hem: Hem | None
    sleeves: Sequence[Sleeve]
    reasons: Sequence[str] = ()


def advise(found: Findings) -> tuple[Advice, ...]:
    """All advice, the weightiest first; never empty."""
    advice = [*_fronts(found), *_trunk(found), *_arms(found), *_sleeve(found), *_hem(found), *_stiffness(found)]
    return tuple(advice) or (_as_it_is(found),)


def _offer(found: Findings, option: str, change: float, do: str, size: str, thing: str, why: str) -> list[Advice]:
    """One change with what it makes of a size; none where it cannot be drafted or changes nothing.

    What is drawn by hand is changed by hand.
    """
    if not found.redraft.free:
        return [Advice("", 0.0, f"{do}: {why}.")]
    after = found.redraft.changed(option, change)
    if after is None:
        return []
    was, will = (format_length(sizes[size]) for sizes in (found.redraft.sizes, after))
    return [Advice(option, change, f"{do}: {thing} becomes {will} instead of {was}. {why[0].upper()}{why[1:]}.")]


def _fronts(found: Findings) -> list[Advice]:
    gaping = [lap for lap in found.laps if lap.gapes]
    if not gaping:
        return []
    worst = min(gaping, key=lambda lap: lap.overlap_mm)
    more = math.ceil((LAP_LEAST * worst.drafted_mm - worst.overlap_mm) / 2)
    if found.redraft.free:  # a front laps no farther than it is wide
        sizes = found.redraft.sizes
        more = min(more, math.floor(sizes["front_width"] - sizes["overlap"]))
    why = f"at the {plain(worst.level)} the fronts gape by {-worst.overlap_mm:.0f} mm"
    do = f"Make the overlap of each front {more} mm wider"
    return _offer(found, "overlap", more, do, "overlap", "it", why) if more > 0 else []


def _trunk(found: Findings) -> list[Advice]:
    trunk = [level for level in found.levels if level.name in TRUNK_LEVELS and level.ease_mm is not None]
    if any(level.verdict == TIGHT for level in trunk):
        return _wider(found, max(trunk, key=_missing))
    loose = [level for level in trunk if level.verdict == LOOSE]
    if not loose:
        return []
    # What is taken off one level is taken off all: no more than the tightest can spare.
    spare = min(-_missing(level) for level in trunk)
    worst = max(loose, key=_surplus)
    less = min(math.ceil(_surplus(worst) / 4), math.floor(spare / 4))
    why = (
        f"at the {plain(worst.name)} there is {worst.ease_mm:.0f} mm of ease, at most {worst.wanted_mm[1]:.0f} mm is "
        "wanted"
    )
    do = f"Make each back and front {less} mm narrower"
    return (_offer(found, "width", -less, do, "width", "each", why) if less > 0 else []) or [_gathered(worst)]


def _wider(found: Findings, level: Level) -> list[Advice]:
    """The least whole millimetres that bring the panels to the mark which leaves the least ease wanted."""
    missing, draft = _missing(level), found.redraft
    why = (
        f"at the {plain(level.name)} there is {level.ease_mm:.1f} mm of ease, at least {level.wanted_mm[0]:.1f} mm is "
        f"wanted ({takes_mm(found.fabric.thickness_mm):.1f} mm goes into one layer of this cloth)"
    )
    quarter = math.ceil(missing / 4)
    if not draft.free or draft.chosen("width"):
        return _offer(found, "width", quarter, f"Make each back and front {quarter} mm wider", "width", "each", why)
    wanted = max(round_trunk(draft.sizes) + missing, level.body_girth_mm + level.beneath_mm + level.wanted_mm[0])
    more = _least(draft, wanted)
    do = f"Add {more} mm of ease" if draft.chosen("ease") else f"Choose {more} mm of ease"
    return _offer(found, "ease", more, do, "width", "each panel", why)


def _least(draft: Redraft, wanted: float) -> int:
    """How many millimetres of ease bring the trunk to a girth: by halving, since a wider draft never gets narrower."""

    def enough(more: int) -> bool:
        after = draft.changed("ease", more)
        return after is not None and round_trunk(after) >= wanted

    low, high = 0, 1
    while not enough(high) and high < MOST_EASE:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high


def round_trunk(sizes: Mapping[str, float]) -> float:
    """Two backs and two fronts, mm."""
    return 2.0 * (sizes["back_width"] + sizes["front_width"])


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
    spare = math.floor(min(-_missing(level) for level in arms) / 2)
    change = math.ceil(_missing(worst) / 2) if tight else -min(math.ceil(_surplus(worst) / 2), spare)
    if change == 0:
        return []
    limit = f"at least {worst.wanted_mm[0]:.0f}" if tight else f"at most {worst.wanted_mm[1]:.0f}"
    why = f"it has {worst.ease_mm:.0f} mm of ease round the {plain(worst.name)}, {limit} mm is wanted"
    do = f"Make the sleeve {abs(change)} mm {'deeper' if tight else 'shallower'}"
    return _offer(found, "sleeve_drop", change, do, "sleeve_drop", "its depth", why)


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
    return _offer(found, "wrist_allowance", change, do, "sleeve_width", "it", f"it ends {where}")


def _hem(found: Findings) -> list[Advice]:
    """One that was chosen to reach the floor may lie on it."""
    said = found.redraft.pattern.options.get("length_to", "ankle")
    low = found.hem is not None and found.hem.lowest_mm < HEM_LEAST * found.height_mm
    if not low or found.hem is None or (said != "ankle" and not found.redraft.chosen("length")):
        return []
    less = math.ceil(HEM_CLEAR * found.height_mm - found.hem.lowest_mm)
    why = f"the hem hangs only {max(found.hem.lowest_mm, 0.0):.1f} mm above the floor"
    return _offer(found, "length", -less, f"Shorten it by {less} mm", "length", "its length", why)


def _stiffness(found: Findings) -> list[Advice]:
    """Softer cloth, or a sleeve so deep that this cloth hangs: whichever there is."""
    depth, bending = found.redraft.sizes.get("sleeve_drop"), found.fabric.bending_mm
    if depth is None or depth >= HANGS * bending:
        return []
    softer, deeper = math.floor(depth / HANGS), math.ceil(HANGS * bending)
    cloth = f"take cloth with a bending length of {softer} mm or less" if softer >= BENDING_LEAST else ""
    sleeve = f"a sleeve {deeper} mm deep" if found.redraft.changed("sleeve_drop", deeper - depth) else ""
    if not (cloth or sleeve):
        return []
    remedy = f"{cloth}, or {sleeve}" if cloth and sleeve else cloth or f"choose {sleeve}"
    return [
        Advice(
            "fabric" if cloth else "sleeve_drop",
            softer - bending if cloth else deeper - depth,
            f"This cloth is stiff at this scale: its bending length of {bending:.0f} mm is to this doll what "
            f"{bending / found.scale:.0f} mm is to a grown woman. A sleeve {depth:.0f} mm deep will stand away rather "
            f"than hang; {remedy}.",
        )
    ]


def _as_it_is(found: Findings) -> Advice:
    if found.reasons:
        return Advice("", 0.0, "It does not close: drape it finely, and choose more ease if it stays so.")
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
