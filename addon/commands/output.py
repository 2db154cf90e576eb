"""The folder that results go into: looked at before the long work, made only when there is something to write."""

from __future__ import annotations

import errno
import os
import tempfile
from pathlib import Path

from drafting.errors import OutputError


def check_folder(folder: Path) -> None:
    """Make sure that results can be written into a folder, without leaving anything behind.

    Raises
    ------
    OutputError
        It is a file, lies under one, or may not be written.
    """
    place = folder.absolute()
    try:
        while not place.exists():
            place = place.parent
        _name_fits(folder.absolute(), place)
        with tempfile.TemporaryFile(dir=place):
            pass
    except OSError as error:
        reason = "it is a file" if place == folder.absolute() and os.path.isfile(place) else error.strerror
        raise OutputError(f"cannot write into {folder}: {reason}; choose another folder with --out") from error


def _name_fits(folder: Path, place: Path) -> None:
    """Refuse names that the disk cannot hold: those of folders that are yet to be made in this place."""
    longest = os.pathconf(place, "PC_NAME_MAX") if hasattr(os, "pathconf") else 255
    for name in folder.relative_to(place).parts:
        if len(os.fsencode(name)) > longest:
            raise OSError(errno.ENAMETOOLONG, os.strerror(errno.ENAMETOOLONG), str(folder))
