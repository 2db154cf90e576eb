"""The rules of a robe drafted by quarters of the body's girth.

All of them are common practice, no source, unless one is named.
"""

from __future__ import annotations

from collections.abc import Callable

from ..errors import MeasureError
from ..units import FINEST_MARK, round_up
from ..words import plain
from .draftbook import Draftbook, Ruling, show
from .robe_ease import ADULT_HEIGHT_MM, takes_mm, wanted_ease

STITCH = 1.0  # mm
ANKLE = 0.05  # of the height: the hem clears the ankle bone
ARMHOLE, UNDERARM, DROP = 0.125, 0.06, 0.22  # of the height
ARM_EASE, HAND_EASE = 0.03, 0.04  # of the height, on half a girth
PAST_WRIST = 0.02  # of the height: the sleeve ends a little past the wrist bone
BAND = 0.025  # of the height: narrower than the 1.5 sun on 158 cm of a person's, for a doll's thin neck


def quarters(book: Draftbook) -> None:
    """Note every size of the robe, from the trunk to the neckband."""
    _trunk(book)
    _front(book)
    _sleeve(book)
    band_width(book)


def _trunk(book: Draftbook) -> None:
    width = book.choose("width", lambda: _quarter_girth(book))
    for name, panel in (("shoulder", "the top edge"), ("back_width", "each back"), ("front_width", "each front")):
        book.note(name, width, f"{panel} is as wide as the panel: {show(width)}")
    garment_length(book)
    neck = book.choose("neck", lambda: _half_neck(book))
    book.choose("scoop", lambda: (neck / 2, f"a quarter of the neck width {show(2 * neck)} = {show(neck / 2)}"))


def garment_length(book: Draftbook) -> float:
    """Note how long the robe is: to the ankle, the floor, or the full height of the doll."""
    return book.choose("length", lambda: _length(book, str(book.options["length_to"])))


def waist_drop(book: Draftbook) -> float:
    """Note how far the waist lies below the shoulder line.

    Raises
    ------
    MeasureError
        If it lies above.
    """
    drop = book.measure("shoulder_height") - book.measure("waist_height")
    if drop <= 0:
        raise MeasureError(
            "The waist height must be less than the shoulder height: measure both from the soles.",
            about=["waist_height", "shoulder_height"],
        )
    return book.note("waist_drop", drop, f"shoulder height less waist height = {show(drop)}")


def band_width(book: Draftbook) -> float:
    """Note the finished width of the neckband."""
    return book.choose("band_width", lambda: _band(book))


def hand_room(book: Draftbook) -> Ruling:
    """Half of the girth that lets the hand through."""
    room = book.measure("hand_girth") / 2 + HAND_EASE * book.measure("height")
    return room, f"half of hand girth {show(book.measure('hand_girth'))} plus 4 % of the height = {show(room)}"


def _band(book: Draftbook) -> Ruling:
    mm = round_up(BAND * book.measure("height"), 1.0)
    return mm, f"2.5 % of the height, up to a whole millimetre = {show(mm)}"


def _quarter_girth(book: Draftbook) -> Ruling:
    bust, hip, ease = book.measure("bust_girth"), book.measure("hip_girth"), book.options["ease"]
    name, girth = ("hip", hip) if hip >= bust else ("bust", bust)
    mm, words = book.easy_up((girth + float(ease or 0.0)) / 4, 1 / 4)
    eased = f" and ease {show(float(ease))}" if ease else ""
    ruling = mm, f"quarter of {name} girth {show(girth)}{eased} = {words}"
    return ruling if ease is not None else roomy(book, ruling, 4, ("bust", "waist", "hip"))


def roomy(book: Draftbook, ruling: Ruling, times: int, levels: tuple[str, ...]) -> Ruling:
    """The same, or the next mark that leaves the least ease wanted at each of these levels.

    Parameters
    ----------
    times : int
        How often the size goes round.
    """
    least = {level: least_girth(book, level) for level in levels if book.look(f"{level}_girth")}
    level = max(least, key=lambda level: least[level], default="")
    if not level or times * ruling[0] >= least[level]:
        return ruling
    mm = round_up(least[level] / times, max(book.length("easy_mark"), FINEST_MARK))
    ease = least[level] - book.measure(f"{level}_girth")
    return mm, f"{ruling[1]}, on to {show(mm)} for the least ease of {show(ease)} at the {plain(level)}"


def least_girth(book: Draftbook, level: str) -> float:
    """The body's girth at a level with the least ease that suits there and what is worn beneath, mm."""
    girth = book.look(f"{level}_girth") or 0.0
    scale = book.measure("height") / ADULT_HEIGHT_MM
    least, _ = wanted_ease(level, girth, scale, book.length("cloth_thickness"))
    return girth + least + takes_mm(book.length("cloth_beneath"))


def _length(book: Draftbook, goal: str) -> Ruling:
    height = book.measure("height")
    if goal == "full":
        return height, f"full height = {show(height)}"
    shoulder = book.measure("shoulder_height")
    if goal == "floor":
        return shoulder, f"shoulder line to the soles = {show(shoulder)}"
    mm, words = book.easy_down(shoulder - ANKLE * height)
    return mm, f"shoulder height {show(shoulder)} less 5 % of the height, clear of the ankle = {words}"


def _half_neck(book: Draftbook) -> Ruling:
    width = book.measure("neck_width")
    return width / 2, f"half of the neck width {show(width)} = {show(width / 2)}"


def _front(book: Draftbook) -> None:
    width = book.sizes["width"]
    overlap = book.choose("overlap", lambda: (width / 2, f"half of the panel width {show(width)} = {show(width / 2)}"))
    book.note("overlap_top", overlap, f"the overlap is as wide above as below: {show(overlap)}")
    drop, sash = waist_drop(book), book.sizes["sash_width"]
    depth = book.choose("slope_depth", lambda: _above_the_sash(book, drop, sash))
    across = book.sizes["neck"] + overlap
    crossing = depth * book.sizes["neck"] / across if across > 0 else 0.0
    book.note("slope_crossing", crossing, f"the straight neckline meets the centre line {show(crossing)} down")


def _above_the_sash(book: Draftbook, drop: float, sash: float) -> Ruling:
    mm, words = book.easy_down(max(drop - sash / 2, drop / 2))
    return mm, f"shoulder line to waist {show(drop)} less half of the sash {show(sash)} = {words}"


def _sleeve(book: Draftbook) -> None:
    drop = book.choose("sleeve_drop", lambda: _drop(book))
    arm = book.measure("arm_length")
    allowance = book.choose("wrist_allowance", lambda: _wrist_allowance(book))
    book.note(
        "sleeve_width",
        arm + allowance,
        f"arm length {show(arm)} with extra sleeve length {show(allowance)} = {show(arm + allowance)}",
    )
    armhole = shortened(book, book.choose("armhole", lambda: _armhole(book)), drop)
    opening = sewn_shut(book, "underarm_opening", lambda: _share(book, UNDERARM, book.measure("height")))
    slit = sewn_shut(book, "sleeve_slit", lambda: (opening, f"as long as the underarm opening: {show(opening)}"))
    fitted(book, "sleeve_slit", slit, drop - armhole, "what the sleeve's depth leaves below the armhole")
    wrist = book.choose("wrist_opening", lambda: _marked(book, hand_room(book)))
    fitted(book, "wrist_opening", wrist, drop, "the sleeve's depth")
    book.choose("sleeve_corner", lambda: (0.0, "square: 0 mm"))


def _drop(book: Draftbook) -> Ruling:
    return roomy(book, _share(book, DROP, book.measure("height")), 2, ("upper_arm", "wrist"))


def shortened(book: Draftbook, armhole: float, drop: float) -> float:
    """Note the armhole, no deeper than the sleeve."""
    return fitted(book, "armhole", armhole, drop, "the sleeve's depth")


def fitted(book: Draftbook, name: str, mm: float, most: float, limit: str) -> float:
    """Note a size again where something else limits it; less than a stitch short of the limit goes all the way."""
    if mm > most:
        return book.note(name, most, f"{show(mm)} shortened to {limit}: {show(most)}")
    if most - STITCH < mm < most:
        return book.note(name, most, f"{show(mm)}, all the way to {limit}: {show(most)}")
    return mm


def sewn_shut(book: Draftbook, name: str, rule: Callable[[], Ruling]) -> float:
    """Note how long an opening is; one shorter than a stitch is none."""
    mm = book.choose(name, rule)
    return book.note(name, 0.0, f"{show(mm)} is less than a stitch: sewn shut, 0 mm") if 0 < mm < STITCH else mm


def _share(book: Draftbook, share: float, height: float) -> Ruling:
    mm, words = book.easy_up(share * height, share)
    return mm, f"{share * 100:g} % of the height {show(height)} = {words}"


def _marked(book: Draftbook, ruling: Ruling) -> Ruling:
    mm, _ = book.easy_up(ruling[0], 1 / 2)  # half a girth
    if mm == ruling[0]:
        return ruling
    return mm, f"{ruling[1]}, " + (f"up to {show(mm)}" if mm > ruling[0] else f"{show(mm)} to a tape's accuracy")


def _wrist_allowance(book: Draftbook) -> Ruling:
    covered = book.sizes["shoulder"] - book.measure("shoulder_width") / 2
    past = PAST_WRIST * book.measure("height")
    return past - covered, (
        f"past the wrist by 2 % of the height = {show(past)}, less {show(covered)} of arm "
        f"that the trunk panel covers beyond the shoulder joint = {show(past - covered)}"
    )


def _armhole(book: Draftbook) -> Ruling:
    height = book.measure("height")
    arm = book.measure("upper_arm_girth") / 2 + ARM_EASE * height
    hand, hand_words = hand_room(book)
    mm, words = max(
        (ARMHOLE * height, f"12.5 % of the height {show(height)} = {show(ARMHOLE * height)}"),
        (arm, f"half of upper arm girth {show(book.measure('upper_arm_girth'))} plus 3 % of the height = {show(arm)}"),
        (hand, hand_words),
    )
    return _marked(book, (mm, words))
