"""A lock between processes (advisory file lock): the system lets go of it when its holder ends, however it ends.

Standard library only and for any Python from 3.8 on: the set-up uses it before there is anything else.
"""

from __future__ import annotations

import contextlib
import errno
import os
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO

LOOK = 0.2  # s between two looks whether it is free
BUSY = {
    errno.EAGAIN,
    errno.EACCES,
    errno.EDEADLK,
    errno.EWOULDBLOCK,
}  # what POSIX and Windows say of a lock that is held


class Busy(Exception):  # noqa: N818 - no mistake: another process is at work
    """Another process holds the lock."""


@contextlib.contextmanager
def locked(path: Path, patience: float = 0.0, waiting: Callable[[], None] = lambda: None) -> Iterator[int]:
    """Hold the lock of this file; gives its descriptor, which a child that inherits it holds as well.

    Parameters
    ----------
    path : Path
        An empty file of its own, made here and taken away at the end.
    patience : float
        Seconds to wait for another that holds it.
    waiting : callable
        Called once when it has to be waited for.

    Raises
    ------
    Busy
        Another still holds it.
    OSError
        The file cannot be made.
    """
    until, told = time.monotonic() + patience, False
    while (held := _taken(path)) is None:
        if time.monotonic() >= until:
            raise Busy(str(path))
        if not told:
            waiting()
            told = True
        time.sleep(LOOK)
    try:
        yield held.fileno()
    finally:
        if os.name != "nt":  # where an open file cannot be taken away
            path.unlink(missing_ok=True)
        held.close()
        if os.name == "nt":
            with contextlib.suppress(OSError):  # another holds it by now
                path.unlink()


def _taken(path: Path) -> IO[bytes] | None:
    """The locked file; None where another holds it, or took it away just now."""
    held = open(path, "ab", opener=_opened)  # noqa: SIM115 - it is held
    try:
        _lock(held)
        if os.name == "nt" or os.fstat(held.fileno()).st_ino == path.stat().st_ino:
            return held
    except FileNotFoundError:
        pass
    except OSError as error:
        if error.errno not in BUSY:
            return held  # a file system that knows no locks
    held.close()
    return None


def _opened(path: str, flags: int) -> int:
    """Never through a link that somebody else laid there."""
    return os.open(path, flags | getattr(os, "O_NOFOLLOW", 0), 0o600)


if sys.platform == "win32":
    import msvcrt

    def _lock(held: IO[bytes]) -> None:
        msvcrt.locking(held.fileno(), msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(held: IO[bytes]) -> None:
        fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
