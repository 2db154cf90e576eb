"""How far the work is, told on the terminal: one line that is rewritten, or plain lines where nobody watches."""

from __future__ import annotations

import sys
import time
from contextlib import suppress
from typing import TextIO

from drafting.errors import OutputError

from .streams import Unheard, speak


class Progress:
    """Tells each stage and, within it, the share that is done.

    A terminal sees one line change; a log gets one line a stage. Used with `with`, so that the line is cleared
    however the work ends.
    """

    def __init__(self, stream: TextIO | None = None) -> None:
        """Speak on this stream, standard output by default."""
        self.stream = stream or sys.stdout
        self.live = self.stream.isatty()
        self.stage = ""
        self.begun = time.monotonic()
        self.told = 0.0

    def __enter__(self) -> Progress:
        """Begin."""
        return self

    def __exit__(self, *_: object) -> None:
        """Leave a clean line."""
        self.clear()

    def tell(self, stage: str, share: float | None = None) -> None:
        """Say the stage and the share of it, 0 to 1, that is done."""
        now = time.monotonic()
        fresh, self.stage = stage != self.stage, stage
        if not self.live:
            if fresh:
                speak(f"{stage} ...\n", self.stream)
        elif fresh or now - self.told > 0.1:
            bar = "" if share is None else f" {share:4.0%}"
            speak(f"\r\x1b[K{stage}{bar}   {now - self.begun:.0f} s", self.stream)
            self.told = now

    def clear(self) -> None:
        """Take the changing line away."""
        if self.live:
            with suppress(Unheard, OutputError):  # the work is over; what it ends with stands
                speak("\r\x1b[K", self.stream)
