"""What can be read in a screenshot: how far text stands out from its ground, by WCAG 2.1.

Relative luminance and contrast ratio as in its section "Terms", https://www.w3.org/TR/WCAG21/#dfn-contrast-ratio; text
wants 4.5 to 1 at least (success criterion 1.4.3).
"""

from dataclasses import dataclass

import numpy as np

LEAST = 4.5  # WCAG 2.1, success criterion 1.4.3
WEIGHTS = np.array([0.2126, 0.7152, 0.0722])
SEEN = 1.2  # a pixel that stands out less from its ground is part of it: a panel's edge, a shadow
THIN, FEW = 6, 12  # pixels: what is not so high is a line, and what has fewer pixels a mark, and no text


@dataclass(frozen=True)
class Line:
    """A line of text: its rows in the picture, and its contrast ratio."""

    top: int
    bottom: int
    contrast: float


def luminance(colours):
    """(...) float: relative luminance of (..., 3) uint8 sRGB colours."""
    shares = np.asarray(colours) / 255.0
    linear = np.where(shares <= 0.04045, shares / 12.92, ((shares + 0.055) / 1.055) ** 2.4)
    return linear @ WEIGHTS


def contrast(one, other):
    """Contrast ratio of (..., 3) uint8 colours, 1 to 21."""
    lights = np.stack(np.broadcast_arrays(luminance(one), luminance(other)))
    return (lights.max(axis=0) + 0.05) / (lights.min(axis=0) + 0.05)


def lines(pixels):
    """The lines of text in (h, w, 3) uint8 pixels on one ground: the colour that most of them have.

    A letter's edge is blended with the ground, so a line's contrast is that of its farthest pixels.
    """
    colours, counts = np.unique(pixels.reshape(-1, 3), axis=0, return_counts=True)
    ratios = contrast(pixels, colours[counts.argmax()])
    written = (ratios > SEEN).any(axis=1).astype(int)
    begins, ends = (np.flatnonzero(np.diff(written, prepend=0, append=0) == way) for way in (1, -1))
    return [
        Line(int(top), int(bottom), float(ratios[top:bottom].max()))
        for top, bottom in zip(begins, ends, strict=True)
        if bottom - top >= THIN and (ratios[top:bottom] > SEEN).sum() >= FEW
    ]


def lowest(column):
    """The last row of an (h, 3) uint8 column of pixels that has the colour of its first."""
    return int(np.flatnonzero((column == column[0]).all(axis=1)).max())
