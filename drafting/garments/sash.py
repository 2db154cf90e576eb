"""The sash: a plain strip. What is draped is the part round the waist; the tails are left to the maker's knot."""

from __future__ import annotations

import math

import numpy as np

from ..pattern.panel import FloatArray, Panel, trace
from ..pattern.seam import Seam
from ..units import round_up
from .draftbook import Draftbook, Ruling, show

LAYERS = 3  # of cloth under the sash: two fronts and a fold; common practice, no source
# Of the waist girth: room for the cloth that is gathered in, by how it is tied; common practice, no source.
GATHERS = {"firm": 0.02, "loose": 0.08, "tight": -0.02}
FOLD_ROOM = 1.0  # mm that the sash's fold stands off the garment's side
HELD_ASIDE = 0.5  # of the garment's half width: so far the sleeves are held from it while the sash is tied
WIDTH, TAILS = 0.06, 0.6  # of the height; common practice, no source

SASH_SEAM = Seam(("sash", "end_left"), ("sash", "end_right"), (("one", "one"),))


def sash_sizes(book: Draftbook) -> None:
    """Note the sash's width, the length that goes round the waist, and the whole length."""
    book.choose("sash_width", lambda: _width(book))
    worn = book.choose("sash_worn", lambda: _worn(book))
    book.choose("sash_length", lambda: _length(book, worn))


def sash_panel(width: float, worn: float, length: float, order: int) -> Panel:
    """The strip: x = 0 at the centre front, x > 0 towards the wearer's left, y = 0 along its middle."""
    return Panel(
        "sash",
        _strip(length, width, ("long_lower", "tip_left", "long_upper", "tip_right")),
        1,
        "sash",
        np.array([[-length / 4, 0.0], [length / 4, 0.0]]),
        order,
        _strip(worn, width, ("lower", "end_left", "upper", "end_right")),
    )


def lay_sash(flat: FloatArray, half_width: float, waist_drop: float) -> FloatArray:
    """Where the sash lies: round the folded robe, its middle at the centre front, its ends towards the centre back.

    The fold stands off the robe by the widest step between the points, so that no part of the strip cuts the robe's
    side on its way from the front to the back.

    Parameters
    ----------
    flat : (n, 2) float
    half_width : float
        Where the robe's side is, mm from the centre.
    """
    x, y = flat[:, 0], flat[:, 1]
    fold = half_width + FOLD_ROOM + np.diff(np.sort(x)).max(initial=0.0)
    behind = np.abs(x) > fold
    across = np.where(behind, np.sign(x) * (2 * fold - np.abs(x)), x)
    return np.column_stack([across, y - waist_drop, np.where(behind, -2.0, 3.0)])


def held_aside(depth: FloatArray, armhole: float, sash_top: float, half_width: float) -> FloatArray:
    """How far outwards a sleeve is held, the more the lower, so that the sash can pass between it and the trunk, mm.

    Parameters
    ----------
    depth : (n,) float
        Below the sleeve's fold, mm; so are `armhole` and `sash_top`.
    half_width : float
        Where the garment's side is, mm from the centre.
    """
    return np.asarray(HELD_ASIDE * half_width * np.minimum(depth / max(sash_top, armhole), 1.0))


def _strip(length: float, width: float, names: tuple[str, str, str, str]) -> tuple:
    x, y = length / 2, width / 2
    return trace(*zip(names, ([-x, -y], [x, -y], [x, y], [-x, y]), strict=True))


def _width(book: Draftbook) -> Ruling:
    mm, words = book.easy_up(WIDTH * book.measure("height"), WIDTH)
    return mm, f"6 % of the height = {words}"


def _worn(book: Draftbook) -> Ruling:
    waist, cloth = book.measure("waist_girth"), book.length("cloth_thickness")
    tie = str(book.options["sash_tie"])
    mm = waist * (1 + GATHERS[tie]) + 2 * math.pi * LAYERS * cloth
    room = "and" if GATHERS[tie] > 0 else "less"
    return mm, (
        f"waist girth {show(waist)}, 2 pi times {LAYERS} layers of {show(cloth)} cloth, "
        f"{room} {abs(GATHERS[tie]):.0%} for gathers, tied {tie} = {show(mm)}"
    ).replace("%", " %")


def _length(book: Draftbook, worn: float) -> Ruling:
    height = book.measure("height")
    mm = round_up(worn + TAILS * height, book.length("easy_mark"))
    return mm, f"round the waist {show(worn)} and two tails of 30 % of the height {show(height)} = {show(mm)}"
