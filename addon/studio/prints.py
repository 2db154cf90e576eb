"""A printed cloth made from numbers, for trying a print before there is one: rings and leaves on indigo."""

from __future__ import annotations

import numpy as np

from ..bridge import FloatArray, Pixels
from .colour import Colour

GROUND: Colour = (0.13, 0.20, 0.36)
PALE: Colour = (0.93, 0.92, 0.87)
REPEAT_MM = 20.0  # the tile holds two motifs of 10 mm in each direction


def rings_and_leaves(pixels: int = 400) -> Pixels:
    """(pixels, pixels, 4) uint8: a tile of `REPEAT_MM` that repeats without a seam, top row first.

    Rings, soft-edged as if tied and dyed, stand on the corners and the middle of the tile; crossed pairs of leaves
    fill the places between. Each motif is at most 10 mm across.
    """
    along = (np.arange(pixels) + 0.5) / pixels * REPEAT_MM
    x, y = np.meshgrid(along, along)
    ink = np.zeros((pixels, pixels))
    for centre in ((0.0, 0.0), (10.0, 10.0)):
        ink = np.maximum(ink, _ring(*_from(x, y, centre)))
    for centre in ((10.0, 0.0), (0.0, 10.0)):
        ink = np.maximum(ink, _leaves(*_from(x, y, centre)))
    tile = np.full((pixels, pixels, 4), 255, dtype=np.uint8)
    shade = np.asarray(GROUND) * (1.0 - ink[..., None]) + np.asarray(PALE) * ink[..., None]
    tile[..., :3] = np.rint(255.0 * shade)
    return tile


def _from(x: FloatArray, y: FloatArray, centre: tuple[float, float]) -> tuple[FloatArray, FloatArray]:
    """Offsets from the nearest repeat of a centre, mm."""
    half = 0.5 * REPEAT_MM
    return (x - centre[0] + half) % REPEAT_MM - half, (y - centre[1] + half) % REPEAT_MM - half


def _edge(inside: FloatArray, soft_mm: float) -> FloatArray:
    """1 where `inside` (mm from the outline, positive within) is clearly positive, 0 where clearly negative."""
    return np.clip(0.5 + inside / soft_mm, 0.0, 1.0)


def _ring(x: FloatArray, y: FloatArray) -> FloatArray:
    """A ring of 8 mm with a scalloped rim and a dot in it."""
    radius, angle = np.hypot(x, y), np.arctan2(y, x)
    rim = 3.3 + 0.25 * np.cos(8.0 * angle)
    return np.maximum(_edge(0.55 - np.abs(radius - rim), 0.5), _edge(0.7 - radius, 0.5))


def _leaves(x: FloatArray, y: FloatArray) -> FloatArray:
    """Four pointed leaves, 8 mm from tip to tip, each with a dark midrib."""
    ink = np.zeros_like(x)
    for along, across in ((x + y, x - y), (x - y, x + y)):
        u, v = np.abs(along) / np.sqrt(2.0), np.abs(across) / np.sqrt(2.0)
        width = 0.95 * np.sin(np.pi * np.clip((u - 0.5) / 3.5, 0.0, 1.0))
        leaf = _edge(width - v, 0.25) * (width > 0.0)
        ink = np.maximum(ink, leaf * (1.0 - _edge(0.13 - v, 0.15)))
    return ink
