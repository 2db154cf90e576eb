"""Keeps what Blender and its graphics libraries print apart from what the maker reads."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress


@contextmanager
def quiet() -> Iterator[None]:
    """Send the process's own output to nowhere, while Python's still reaches the terminal."""
    streams = (sys.stdout, sys.stderr)
    for stream in streams:
        stream.flush()
    kept = [os.dup(number) for number in (1, 2)]
    spoken = [
        os.fdopen(os.dup(number), "w", encoding=stream.encoding, errors=stream.errors)
        for number, stream in zip(kept, streams, strict=True)
    ]
    nowhere = os.open(os.devnull, os.O_WRONLY)
    sys.stdout, sys.stderr = spoken
    for number in (1, 2):
        os.dup2(nowhere, number)
    os.close(nowhere)
    try:
        yield
    finally:
        for stream in spoken:
            with suppress(OSError):  # what nobody hears any more was told as such
                stream.close()
        for number, original in zip((1, 2), kept, strict=True):
            os.dup2(original, number)
            os.close(original)
        sys.stdout, sys.stderr = streams
