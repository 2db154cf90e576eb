"""Colours as the maker sees them (sRGB, 0..1), and how pictures are laid over each other."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ..bridge import FloatArray, Pixels

Colour = tuple[float, float, float]

# Control points of the colour map "cividis": place in its table of 256, sRGB. Nunez, Anderton, Renslow (2018),
# "Optimizing colormaps with consideration for color vision deficiency to enable accurate interpretation of scientific
# data", PLOS ONE 13(7): e0199239; the table as matplotlib 3.11 ships it. Straight lines between these points stay
# within 0.006 of the whole table.
CIVIDIS = np.array(
    [
        (0, 0.0, 0.1351, 0.3048),
        (20, 0.0, 0.1888, 0.4396),
        (23, 0.0036, 0.1959, 0.4416),
        (29, 0.0786, 0.2121, 0.4381),
        (42, 0.1651, 0.248, 0.4289),
        (74, 0.3022, 0.335, 0.4242),
        (137, 0.5216, 0.5114, 0.4726),
        (176, 0.672, 0.6293, 0.448),
        (210, 0.8111, 0.7408, 0.3852),
        (235, 0.9188, 0.8292, 0.3),
        (252, 0.9948, 0.893, 0.2034),
        (255, 0.9957, 0.9093, 0.2178),
    ]
)


def linear(colour: ArrayLike) -> FloatArray:
    """SRGB to linear light, by IEC 61966-2-1."""
    values = np.asarray(colour, dtype=np.float64)
    return np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)


def paint(colour: ArrayLike) -> FloatArray:
    """(..., 3) sRGB as the (..., 4) linear opaque colour that Blender's materials take."""
    values = linear(colour)
    return np.concatenate([values, np.ones((*values.shape[:-1], 1))], axis=-1)


def mix(a: ArrayLike, b: ArrayLike, share: float) -> Colour:
    """The colour between a (share 0) and b (share 1)."""
    red, green, blue = (1.0 - share) * np.asarray(a) + share * np.asarray(b)
    return float(red), float(green), float(blue)


def cividis(values: ArrayLike) -> FloatArray:
    """(n,) float in 0..1 as (n, 3) sRGB: dark blue for little, yellow for much; outside values are held at the ends."""
    places, *channels = CIVIDIS.T
    return np.stack([np.interp(np.asarray(values) * 255.0, places, channel) for channel in channels], axis=-1)


def plain(width: int, height: int, colour: ArrayLike) -> Pixels:
    """An opaque picture of one colour."""
    made = np.full((height, width, 4), 255, dtype=np.uint8)
    made[..., :3] = np.rint(np.asarray(colour) * 255.0)
    return made


def over(top: Pixels, bottom: Pixels) -> Pixels:
    """Lay `top` (straight alpha) over an opaque `bottom` of the same size."""
    alpha = top[..., 3:].astype(np.float32) / 255.0
    made = bottom.copy()
    made[..., :3] = np.rint(top[..., :3] * alpha + bottom[..., :3] * (1.0 - alpha))
    return made


def blurred(values: FloatArray, sigma: float) -> FloatArray:
    """(h, w) float under a Gaussian of `sigma` pixels, edges continued."""
    reach = max(1, int(np.ceil(3.0 * sigma)))
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / max(sigma, 1e-6)) ** 2)
    kernel /= kernel.sum()
    for axis in (0, 1):
        values = np.apply_along_axis(lambda row: np.convolve(np.pad(row, reach, "edge"), kernel, "valid"), axis, values)
    return values
