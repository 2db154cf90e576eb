"""The folder that results go into: looked at before the long work, made only when there is something to write."""

from __future__ import annotations

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
        with tempfile.TemporaryFile(dir=place):
            pass
    except OSError as error:
        reason = "it is a file" if place == folder.absolute() and place.is_file() else error.strerror
        raise OutputError(f"cannot write into {folder}: {reason}; choose another folder with --out") from error
