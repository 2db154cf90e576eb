"""Writing results: all of them, or none, and into one folder by one process at a time."""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from pathlib import Path

from .errors import OutputError
from .lock import Busy, locked
from .scratch import lock_file

_HELD: set[str] = set()  # folders that this process writes into alone


def write_files(folder: str | Path, files: Mapping[str, bytes | str]) -> list[Path]:
    """Write several results into one folder at once.

    Everything is written aside first and then renamed, so that a full disk or a folder that may not be written
    leaves neither half a file nor a mixture of two runs. The folder is made if there is none.

    Parameters
    ----------
    files : mapping of str to bytes or str
        Plain file names, without a folder, and what goes into each; text is stored as UTF-8.

    Returns
    -------
    list of Path
        The files, in the order given.

    Raises
    ------
    OutputError
        If a file could not be written; then nothing was changed.
    """
    folder = Path(folder)
    with writing_alone(folder):
        return _write(folder, files)


@contextmanager
def writing_alone(folder: Path) -> Iterator[None]:
    """Be the only process that writes into a folder, which need not be there yet.

    Raises
    ------
    OutputError
        Another is at work on results for it.
    """
    key = os.path.realpath(folder)
    if key in _HELD:
        yield
        return
    with ExitStack() as holding:
        try:
            name = hashlib.sha256(os.fsencode(key)).hexdigest()[:16]
            holding.enter_context(locked(lock_file(f"out-{name}"), patience=1.0))
        except Busy:
            raise OutputError(
                f"Another Pocket Toile is at work on results for {folder}. Wait until it is done, or choose another "
                "folder.",
                about=["out"],
            ) from None
        _HELD.add(key)
        holding.callback(_HELD.discard, key)
        yield


def _write(folder: Path, files: Mapping[str, bytes | str]) -> list[Path]:
    made = _missing_folders(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _clear_stale(folder)
        with tempfile.TemporaryDirectory(prefix=".writing-", dir=folder) as aside:
            for name, content in files.items():
                data = content.encode("utf-8", "backslashreplace") if isinstance(content, str) else content
                (Path(aside) / _plain(name)).write_bytes(data)
            _exchange(Path(aside), folder, list(files))
    except OSError as error:
        _remove_empty(made)
        reason = error.strerror or str(error)
        raise OutputError(f"Cannot write into {folder}: {reason}. Choose another folder.", about=["out"]) from error
    except OutputError:
        _remove_empty(made)
        raise
    return [folder / name for name in files]


def _clear_stale(folder: Path) -> None:
    """Take away what a killed process wrote aside: nobody else writes here now."""
    for aside in folder.glob(".writing-*"):
        if re.fullmatch(r"\.writing-\w{8}", aside.name) and aside.is_dir():
            shutil.rmtree(aside, ignore_errors=True)


def _plain(name: str) -> str:
    """The name itself, if it is one."""
    if name in ("", "..") or Path(name).name != name:
        raise OutputError(f"{name!r} is not a plain file name.")
    return name


def _exchange(aside: Path, folder: Path, names: list[str]) -> None:
    """Rename all files into place; on the first failure, or when stopped, put the former ones back."""
    former = aside / "former"
    former.mkdir()
    done: list[str] = []
    try:
        for name in names:
            if (folder / name).is_dir():
                raise IsADirectoryError(21, f"{name} is a folder there")
            if (folder / name).exists():
                shutil.copy2(folder / name, former / name)
            (aside / name).replace(folder / name)
            done.append(name)
    except BaseException:
        for name in done:
            if (former / name).exists():
                (former / name).replace(folder / name)
            else:
                (folder / name).unlink()
        raise


def _missing_folders(folder: Path) -> list[Path]:
    """The folders that would have to be made, deepest first."""
    missing = []
    for place in (folder, *folder.parents):
        try:
            if place.exists():
                break
        except OSError:
            break
        missing.append(place)
    return missing


def _remove_empty(folders: list[Path]) -> None:
    """Take away the folders that were made in vain."""
    for place in folders:
        try:
            place.rmdir()
        except OSError:
            return
