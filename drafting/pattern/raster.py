"""A sheet as a picture: grey pixels in a PNG file, made with nothing but arrays."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .alphabet import strokes
from .curve import stations, walk
from .panel import FloatArray
from .sheet import LETTER_WIDTH, PENS, Lettering, Sheet, Stroke

THINNEST = 1.2  # pixels: a thinner line would fade
LETTER_PEN = {False: 0.09, True: 0.14}  # of the lettering's height, plain and bold


def sheet_png(sheet: Sheet, longest_px: int = 2400) -> bytes:
    """The sheet as a PNG file, its longer side `longest_px` pixels, with its true resolution written in."""
    scale = longest_px / max(sheet.width, sheet.height)
    ink = np.zeros((round(sheet.height * scale), round(sheet.width * scale)))
    for group in sheet.groups:
        for mark in group.marks:
            if isinstance(mark, Stroke) and mark.filled:
                _fill(ink, mark.points * scale)
            for line, width in pen_lines(mark, sheet.unit):
                draw(ink, line * scale, max(THINNEST, width * scale))
    return png(np.round(255 * (1 - ink)).astype(np.uint8), scale)


def png(pixels: NDArray[np.uint8], pixels_per_mm: float) -> bytes:
    """Grey (high, wide) or coloured (high, wide, 3) pixels as a PNG file.

    ISO/IEC 15948, from memory; read back by an independent library in the tests.
    """
    high, wide = pixels.shape[:2]
    kind = 2 if pixels.ndim == 3 else 0
    rows = np.concatenate(
        [np.zeros((high, 1), np.uint8), pixels.reshape(high, -1)], axis=1
    )  # each row begins with filter 0: none
    per_metre = round(pixels_per_mm * 1000)
    return b"".join(
        [
            b"\x89PNG\r\n\x1a\n",
            _chunk(b"IHDR", struct.pack(">IIBBBBB", wide, high, 8, kind, 0, 0, 0)),
            _chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1)),
            _chunk(b"IDAT", zlib.compress(rows.tobytes(), 6)),
            _chunk(b"IEND", b""),
        ]
    )


def _chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def pen_lines(mark: Stroke | Lettering, unit: float) -> Iterator[tuple[FloatArray, float]]:
    """Every unbroken pen line of a mark, and its width, mm."""
    if isinstance(mark, Lettering):
        start = {"start": 0.0, "middle": -0.5, "end": -1.0}[mark.anchor] * mark.width
        cos, sin = np.cos(np.radians(mark.angle)), np.sin(np.radians(mark.angle))
        turn = np.array([[cos, -sin], [-sin, -cos]])  # counter-clockwise as seen, from y upwards to y downwards
        for line in strokes(mark.text, LETTER_WIDTH):
            yield (line * mark.height + [start, 0.0]) @ turn + mark.at, LETTER_PEN[mark.bold] * mark.height
        return
    width, dashes = PENS[mark.pen]
    points = np.concatenate([mark.points, mark.points[:1]]) if mark.closed else mark.points
    for line in _dashed(points, np.array(dashes) * unit) if dashes else [points]:
        yield line, width * unit


def _dashed(points: FloatArray, dashes: FloatArray) -> Iterator[FloatArray]:
    """The drawn parts of a straight line: dash, gap, dash, gap."""
    length, at = stations(points)[-1], 0.0
    while at < length:
        for dash, gap in dashes.reshape(-1, 2):
            if at < length:
                yield walk(points, [at, min(at + dash, length)])[0]
            at += dash + gap


def draw(ink: FloatArray, line: FloatArray, width: float) -> None:
    """Blacken what lies within half the width of a polyline, pixels; half covered pixels turn grey."""
    for a, b in pairwise(line):
        (x0, y0), (x1, y1) = _window(ink, np.array([a, b]), width)
        if x0 >= x1 or y0 >= y1:
            continue
        x, y = np.arange(x0, x1) + 0.5, (np.arange(y0, y1) + 0.5)[:, None]
        way = b - a
        along = np.clip(((x - a[0]) * way[0] + (y - a[1]) * way[1]) / max(way @ way, 1e-12), 0.0, 1.0)
        apart = np.hypot(x - a[0] - along * way[0], y - a[1] - along * way[1])
        part = ink[y0:y1, x0:x1]
        np.maximum(part, np.clip(width / 2 + 0.5 - apart, 0.0, 1.0), out=part)


def _fill(ink: FloatArray, outline: FloatArray) -> None:
    """Blacken the pixels whose centres lie within an outline."""
    (x0, y0), (x1, y1) = _window(ink, outline, 1.0)
    x, y = np.arange(x0, x1) + 0.5, (np.arange(y0, y1) + 0.5)[:, None]
    inside = np.zeros((y1 - y0, x1 - x0), bool)
    for a, b in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        crosses = (a[1] > y) != (b[1] > y)
        rise = b[1] - a[1] if b[1] != a[1] else 1.0
        inside ^= crosses & (x < a[0] + (y - a[1]) / rise * (b[0] - a[0]))
    ink[y0:y1, x0:x1][inside] = 1.0


def _window(ink: FloatArray, points: FloatArray, width: float) -> NDArray[np.int64]:
    """(2, 2) int: first and past-the-last pixel, x and y, of the box that a line may touch."""
    low = np.floor(points.min(axis=0) - width / 2 - 1)
    high = np.ceil(points.max(axis=0) + width / 2 + 1)
    return np.clip([low, high], 0, ink.shape[::-1]).astype(np.int64)
