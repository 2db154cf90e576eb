"""Paper sizes, and the part of a page that home printers reach."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from ..errors import OptionError
from ..pattern.panel import FloatArray
from ..units import MM_PER_INCH, parse_length

# ISO 216, and US Letter (8 1/2 by 11 in, ANSI X3.151): mm, upright.
PAGES = {
    "A4": (210.0, 297.0),
    "Letter": (8.5 * MM_PER_INCH, 11 * MM_PER_INCH),
    "A3": (297.0, 420.0),
    "A0": (841.0, 1189.0),
}
MARGIN_MM = 7.0  # home printers leave about 3 to 6 mm white: common practice, no source
FOOTER_MM = 5.0  # for the page number, below what is drawn
OVERLAP_MM = 10.0  # shared by neighbouring pages, for the glue
SMALLEST_MM, LARGEST_MM = 140.0, 5000.0  # the block on the first page must fit; PDF's own limit is 5080 mm


@dataclass(frozen=True)
class Page:
    """One kind of page.

    Attributes
    ----------
    width, height : float
        The whole paper, mm.
    """

    name: str
    width: float
    height: float

    @property
    def window(self) -> FloatArray:
        """(2,) float: width and height of what is drawn on one page, mm."""
        return np.array([self.width - 2 * MARGIN_MM, self.height - 2 * MARGIN_MM - FOOTER_MM])

    @property
    def corner(self) -> FloatArray:
        """(2,) float: the window's lower left corner on the page, mm."""
        return np.array([MARGIN_MM, MARGIN_MM + FOOTER_MM])


def read_page(text: str) -> Page:
    """A page by its name, or by its sides as in "210x297mm" or "11x17in".

    Raises
    ------
    OptionError
        If it is neither, or too small or too large.
    """
    for name, (width, height) in PAGES.items():
        if text.strip().lower() == name.lower():
            return Page(name, width, height)
    sides = re.fullmatch(r"\s*([\d.,]+)\s*(mm|cm|in|m)?\s*[x×]\s*([\d.,]+)\s*(mm|cm|in|m)?\s*", text.lower())
    if sides is None:
        raise OptionError(f"{text} is not a page; choose {', '.join(PAGES)}, or give its sides as 210x297mm")
    unit = sides[4] or sides[2] or "mm"
    width, height = parse_length(sides[1], sides[2] or unit), parse_length(sides[3], unit)
    if not (min(width, height) >= SMALLEST_MM and max(width, height) <= LARGEST_MM):
        raise OptionError(
            f"{text}: each side must measure {SMALLEST_MM:.0f} mm to {LARGEST_MM / 1000:.0f} m; "
            "smaller pages have no room for the test squares"
        )
    return Page(text.strip(), width, height)
