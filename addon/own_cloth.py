"""The maker's own cloth in the window: TOML files of her fabric folder; the chosen one's text is kept in the .blend."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import bpy

from drafting.cloth.fabric import FABRICS, Fabric
from drafting.cloth.fabric_file import read_fabric
from drafting.errors import ClothError

from . import preferences

read = lru_cache(maxsize=32)(read_fabric)  # a panel is drawn often


def files() -> list[Path]:
    """The cloths in the folder of the preferences, by name; none where no folder is chosen."""
    own = preferences.wishes()
    folder = Path(bpy.path.abspath(own.fabrics)) if own and own.fabrics else None
    return sorted(folder.glob("*.toml")) if folder and folder.is_dir() else []


def choose_folder(folder: Path) -> list[Path]:
    """Take a folder for the maker's own cloths into her preferences; returns what lies in it.

    Raises
    ------
    ClothError
        There is no cloth in it; the folder before stays.
    """
    found, own = sorted(folder.glob("*.toml")) if folder.is_dir() else [], preferences.wishes()
    if not found or own is None:
        raise ClothError(f"{folder} holds no cloth: each is a .toml file; choose the folder in which they lie")
    own.fabrics = str(folder)
    return found


def choose(scene: bpy.types.Scene, path: Path) -> Fabric:
    """Take a file's cloth for this scene; the .blend keeps it, whatever becomes of the file.

    Raises
    ------
    ClothError
        The file cannot be read, or what is wrong in it.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise ClothError(
            f"{path} cannot be read; choose another cloth, or another folder in the preferences"
        ) from error
    chosen = read(text, path.stem)
    scene.toile.own_cloth, scene.toile.own_name = text, path.stem
    return chosen


def chosen_in(scene: bpy.types.Scene) -> Fabric:
    """The cloth of a scene: the maker's own one, else the table's."""
    settings = scene.toile
    return read(settings.own_cloth, settings.own_name) if settings.own_cloth else FABRICS[settings.fabric]


def forget(settings: bpy.types.PropertyGroup, _context: bpy.types.Context | None = None) -> None:
    """The table's cloth was chosen."""
    settings.own_cloth = settings.own_name = ""
