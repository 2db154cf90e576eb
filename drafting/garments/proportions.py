"""The rules of a robe drafted by the published proportions of a woman's kimono, in cloth shaku (kujira-jaku).

Sources: the standard sizes https://kimono-akinai.com/wasai-kiso3/ , the formulas
https://www.kotaro-kimono.com/students-only/ , and the split of the reach between shoulder and sleeve
http://kimonodaijiten.jp/tools . Their constants are for people; a doll's are smaller in the ratio of her height to
the 158 cm of the standard finished length (http://www.kimonosource.com/about-kimonos/), which equals the stature.
"""

from __future__ import annotations

from ..units import KUJIRA_SHAKU_MM
from .draftbook import Draftbook, Ruling, show
from .quarters import fitted, garment_length, sewn_shut, shortened, waist_drop

STATURE = 1580.0  # mm, of the woman whom the constants are for
PERSON = 1200.0  # mm: from here up it is a person and nothing is scaled; common practice, no source


def proportions(book: Draftbook) -> None:
    """Note every size of the robe, from the trunk to the neckband."""
    height = book.measure("height")
    scale = 1.0 if height >= PERSON else height / STATURE
    waist_drop(book)
    _trunk(book, scale)
    _front(book, scale)
    _sleeve(book, scale)
    book.choose("band_width", lambda: _sun(1.5, scale))


def _sun(sun: float, scale: float) -> Ruling:
    """A published size in sun, a tenth of a shaku."""
    mm = sun * KUJIRA_SHAKU_MM / 10 * scale
    return mm, f"{sun:g} sun{_scaled(scale)} = {show(mm)}"


def _scaled(scale: float) -> str:
    return "" if scale == 1 else f" at {scale:.3f} of a person's size"


def _trunk(book: Draftbook, scale: float) -> None:
    garment_length(book)
    reach = 0.4 * book.measure("height") + _sun(0.5, scale)[0]
    split = _sun(0.25, scale)[0]
    words = f"centre back to wrist: 0.4 of the height and 5 bu = {show(reach)}"
    book.note("reach", reach, words)
    book.note("shoulder", reach / 2 - split, f"half of the reach less 2.5 bu = {show(reach / 2 - split)}")
    width = book.choose("width", lambda: _back_width(book, scale))
    book.note("back_width", width, f"each back at the hem: {show(width)}")
    book.choose("neck", lambda: _half_neck(book, scale))
    book.choose("scoop", lambda: _sun(0.7, scale))


def _back_width(book: Draftbook, scale: float) -> Ruling:
    hip, ease = book.measure("hip_girth"), float(book.options["ease"] or 0.0)
    mm = (hip + ease) / 4 + 60 * scale
    return mm, f"quarter of hip girth {show(hip + ease)} and {show(60 * scale)} = {show(mm)}"


def _half_neck(book: Draftbook, scale: float) -> Ruling:
    girth = book.measure("neck_girth")
    mm = girth / 4 + 5 * scale
    return mm, f"quarter of neck girth {show(girth)} and {show(5 * scale)} = {show(mm)}"


def _front(book: Draftbook, scale: float) -> None:
    hip = book.measure("hip_girth") / scale
    less = _sun(1.5 if hip <= 1000 else 1.0, scale)
    front = book.sizes["back_width"] - less[0]
    book.note("front_width", front, f"each front at the hem: the back less {less[1]}, so {show(front)}")
    sun = 4.0 if hip < 1000 else 4.1 if hip < 1050 else 4.2
    overlap = book.choose("overlap", lambda: _sun(sun, scale))
    top = max(overlap - _sun(0.3, scale)[0], overlap / 2)
    book.note("overlap_top", top, f"the overlap less 3 bu where the neckline ends = {show(top)}")
    half = book.sizes["length"] / 2
    depth = book.choose(
        "slope_depth", lambda: (half, f"the neckline ends half of the length above the hem: {show(half)}")
    )
    mm, words = _sun(6.0, scale)
    fitted(book, "slope_crossing", book.note("slope_crossing", mm, words), depth / 2, "half of the front neck depth")


def _sleeve(book: Draftbook, scale: float) -> None:
    half = book.sizes["reach"] / 2 + _sun(0.25, scale)[0]
    allowance = book.options["wrist_allowance"] or 0.0
    book.note("sleeve_width", half + float(allowance), f"half of the reach and 2.5 bu = {show(half)}{_more(allowance)}")
    drop = book.choose("sleeve_drop", lambda: _sun(13.0, scale))
    armhole = shortened(book, book.choose("armhole", lambda: _sun(5.5, scale)), drop)
    sewn_shut(book, "underarm_opening", lambda: _sun(4.0, scale))
    open_part = drop - armhole
    slit = sewn_shut(book, "sleeve_slit", lambda: (open_part, f"all below the armhole stays open: {show(open_part)}"))
    fitted(book, "sleeve_slit", slit, open_part, "what the sleeve's depth leaves below the armhole")
    wrist = fitted(
        book, "wrist_opening", book.choose("wrist_opening", lambda: _sun(6.0, scale)), drop, "the sleeve's depth"
    )
    corner = book.choose("sleeve_corner", lambda: _sun(0.5, scale))
    if book.options["sleeve_corner"] is None:
        fitted(book, "sleeve_corner", corner, drop - wrist, "what the sleeve's depth leaves below the wrist opening")


def _more(allowance: object) -> str:
    return f" and extra sleeve length {show(float(allowance))}" if isinstance(allowance, float) and allowance else ""
