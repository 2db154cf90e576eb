"""A draughtsman's single-stroke capitals, so that a sheet can be lettered where there is no font."""

from __future__ import annotations

import numpy as np

from .panel import FloatArray

# Each glyph: pen lines parted by blanks, each a run of xy pairs on a grid 4 wide and 6 high, y upwards.
GLYPHS = {
    "A": "002640 1333",
    "B": "0006364544330333 3342413000",
    "C": "4536160501103041",
    "D": "00063645413000",
    "E": "46060040 0333",
    "F": "460600 0333",
    "G": "45361605011030414323",
    "H": "0006 4046 0343",
    "I": "2026 1030 1636",
    "J": "3631201001",
    "K": "0006 4602 1340",
    "L": "060040",
    "M": "0006234640",
    "N": "00064046",
    "O": "100105163645413010",
    "P": "00063645443303",
    "Q": "100105163645413010 2240",
    "R": "00063645443303 2340",
    "S": "453616050413334241301001",
    "T": "0646 2620",
    "U": "060110304146",
    "V": "062046",
    "W": "0610243046",
    "X": "0046 0640",
    "Y": "062346 2320",
    "Z": "06460040",
    "0": "100105163645413010",
    "1": "152620 1030",
    "2": "051636454400 0040",
    "3": "0516364544334241301001 3313",
    "4": "30360242",
    "5": "4606033342413010 1001",
    "6": "4536160501103041423303",
    "7": "064610",
    "8": "13040516364544334241301001021333",
    "9": "0110304145361605041343",
    ".": "1020211110",
    ",": "2110",
    ":": "1121 1424",
    "(": "36252130",
    ")": "16252110",
    "/": "0046",
    "-": "1333",
    "+": "0343 2125",
    "%": "0046 0515160605 3040413130",
    "_": "0040",
    " ": "",
}
UNKNOWN = "0006464000"
ADVANCE = 5.3  # grid units from one letter to the next
CAPITAL = 0.7  # of the lettering height: a capital's height, as in common fonts


def strokes(text: str, width: float) -> list[FloatArray]:
    """The pen lines of a text that starts at x = 0 and is centred on y = 0.

    Parameters
    ----------
    width : float
        From one letter to the next, where the lettering height is 1.

    Returns
    -------
    list of (k, 2) float
        y upwards, in lettering heights.
    """
    grid = np.array([width / ADVANCE, CAPITAL / 6])
    lines = []
    for place, letter in enumerate(text.upper()):
        for run in GLYPHS.get(letter, UNKNOWN).split():
            points = np.array([int(digit) for digit in run], dtype=float).reshape(-1, 2)
            lines.append((points + np.array([place * ADVANCE + (ADVANCE - 4) / 2, -3.0])) * grid)
    return lines
