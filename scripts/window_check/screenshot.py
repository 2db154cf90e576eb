"""Screenshots of the virtual screen: Xvfb keeps its pixels in a file, as X's window dump (xwd); they become a PNG."""

import struct
import zlib

import numpy as np


def screen(path):
    """(height, width, 3) uint8: red, green, blue of the screen that Xvfb keeps in this file.

    The layout is X11/XWDFile.h's, version 7: 25 big-endian words, a name up to the header's size, 12 bytes for each
    colour of a map, then lines of 32-bit pixels, here blue first.
    """
    data = path.read_bytes()
    words = struct.unpack(">25I", data[:100])
    size, width, height, line, colours = words[0], words[4], words[5], words[12], words[19]
    start = size + 12 * colours
    pixels = np.frombuffer(data, np.uint8, line * height, start).reshape(height, line // 4, 4)
    return pixels[:, :width, 2::-1]


def write_png(path, pixels):
    """Write (height, width, 3) uint8 as a PNG (its specification, third edition: one IDAT, no filter)."""
    height, width, _ = pixels.shape
    lines = np.concatenate([np.zeros((height, 1), np.uint8), pixels.reshape(height, -1)], axis=1)
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    parts = ((b"IHDR", header), (b"IDAT", zlib.compress(lines.tobytes(), 6)), (b"IEND", b""))
    made = b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data)) for kind, data in parts
    )
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + made)
