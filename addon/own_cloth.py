"""The maker's own cloth in the window: TOML files of her fabric folder; the chosen one's text is kept in the .blend."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

import bpy

from drafting.cloth.fabric import FABRICS, Fabric
from drafting.cloth.fabric_file import read_fabric
from drafting.cloth.home_tests import HomeTests, read_tests, toml_of
from drafting.errors import ClothError, ToileError
from drafting.files import write_files

from . import preferences

FIELDS = ("weighed_side", "weighed_grams", "overhang_warp", "overhang_weft", "own_thickness")  # as HomeTests has them
read = lru_cache(maxsize=32)(read_fabric)  # a panel is drawn often


def folder() -> Path:
    """Where her cloths lie: the folder of the preferences, or one of ours in Blender's own where none is chosen."""
    own = preferences.wishes()
    if own and own.fabrics:
        return Path(bpy.path.abspath(own.fabrics))
    return Path(bpy.utils.user_resource("DATAFILES", path="pocket_toile/cloths"))


def files() -> list[Path]:
    """The cloths in that folder, by name."""
    place = folder()
    return sorted(place.glob("*.toml")) if place.is_dir() else []


def tests_of(settings: bpy.types.PropertyGroup) -> HomeTests:
    """The figures in the fields."""
    return HomeTests(*(getattr(settings, name) for name in FIELDS))


def lacking(settings: bpy.types.PropertyGroup) -> str:
    """What the figures lack to be a cloth; "" if nothing."""
    try:
        read_tests(tests_of(settings), "cloth")
    except ToileError as error:
        return str(error)
    return ""


def file_of(name: str) -> Path:
    """The file of a cloth of that name.

    Raises
    ------
    ClothError
        A name without a letter or a figure.
    """
    plain = re.sub(r"[^\w-]+", "_", name.strip().lower()).strip("_")
    if not plain:
        raise ClothError("Give the cloth a name of letters or figures, such as blue lawn")
    return folder() / f"{plain}.toml"


def save(scene: bpy.types.Scene, name: str, replace: bool = False) -> Path:
    """Write the figures in the fields into the folder under a name, and choose that cloth.

    Raises
    ------
    ClothError, LengthError, OutputError
        A figure that cannot be, a name that is taken, a folder that cannot be written into.
    """
    path = file_of(name)
    tests = tests_of(scene.toile)
    read_tests(tests, name.strip())
    if path.exists() and not replace:
        raise ClothError(f"There is a cloth {path.stem} already; write another name, or tick Replace")
    write_files(path.parent, {path.name: toml_of(tests, name.strip())})
    choose(scene, path)
    return path


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
