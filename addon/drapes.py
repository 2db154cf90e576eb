"""Previews: the small pictures of how each cloth drapes, and of the maker's print, as Blender's icons."""

from __future__ import annotations

from pathlib import Path

import bpy.utils.previews

FOLDER = Path(__file__).parent / "pictures"
SIDE = 128  # pixels
_shown: list[bpy.utils.previews.ImagePreviewCollection] = []


def file_of(cloth: str) -> Path:
    """The picture of one of the table's cloths."""
    return FOLDER / f"{cloth.replace(' ', '_')}.png"


def icon(path: Path) -> int:
    """Blender's icon of a picture, loaded anew where the file has changed; 0 where there is no picture to be read."""
    try:
        key = f"{path} {path.stat().st_mtime_ns}"
    except OSError:
        return 0
    if not _shown:
        _shown.append(bpy.utils.previews.new())
    known = _shown[0]
    found = known.get(key) or known.load(key, str(path), "IMAGE")
    return found.icon_id if min(found.image_size) > 0 else 0


def unregister() -> None:
    """Let the pictures go."""
    while _shown:
        bpy.utils.previews.remove(_shown.pop())
