"""Temporary folders that are taken away when their work ends, or at the next run if it was killed."""

from __future__ import annotations

import os
import secrets
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from .lock import Busy, locked

SYSTEM = Path(tempfile.gettempdir())  # where all processes of this person meet, also once this one has a workplace
VARIABLES = ("TMPDIR", "TEMP", "TMP")  # where POSIX, Windows, Python and Blender look for their temporary folder
MINE = os.getuid() if hasattr(os, "getuid") else 0


def lock_file(name: str) -> Path:
    """A lock's file by its name, one for each person at this machine."""
    return SYSTEM / f"toile-{MINE}-{name}.lock"


@contextmanager
def scratch(base: Path | None = None) -> Iterator[Path]:
    """An empty folder with a lock beside it, so that what a killed process left is told from what is in use."""
    base = base or Path(tempfile.gettempdir())
    clear_stale(base)
    folder = base / f"toile-{MINE}-{secrets.token_hex(8)}"
    with locked(folder.with_suffix(".lock")):
        folder.mkdir(mode=0o700)
        try:
            yield folder
        finally:
            shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def workplace() -> Iterator[Path]:
    """A scratch folder that is this process's temporary folder, and that of libraries and children: Blender's too."""
    before = {name: os.environ.get(name) for name in VARIABLES}
    default = tempfile.tempdir
    with scratch(SYSTEM) as folder:
        tempfile.tempdir = str(folder)
        os.environ.update(inside(folder))
        try:
            yield folder
        finally:
            tempfile.tempdir = default
            for name, value in before.items():
                os.environ.pop(name, None) if value is None else os.environ.update({name: value})


def inside(folder: Path) -> dict[str, str]:
    """Environment variables that put a process's temporary files into a folder."""
    return dict.fromkeys(VARIABLES, str(folder))


def clear_stale(base: Path) -> None:
    """Take away the scratch folders whose processes have ended: those of which nobody holds the lock."""
    for lock in base.glob(f"toile-{MINE}-*.lock"):
        with suppress(Busy, OSError), ExitStack() as holding:
            holding.enter_context(locked(lock))
            shutil.rmtree(lock.with_suffix(""), ignore_errors=True)
