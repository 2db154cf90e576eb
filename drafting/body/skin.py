"""One clean outer skin."""

from __future__ import annotations

from .body import FloatArray, IntArray, Skin


def clean_skin(vertices: FloatArray, faces: IntArray, notes: tuple[str, ...] = ()) -> Skin:
    """A skin to measure and to drape on; a single closed shell is left as it is."""
    return Skin(vertices, faces, notes)
