"""Tells what held the window up: a thread looks every hundredth of a second at what each Python thread is doing."""

import sys
import threading
import time
from collections import Counter
from pathlib import Path

EVERY = 0.01  # s
WORTH = 0.2  # s; shorter pauses are not told
DEEP = 4  # functions of a thread that are told, innermost first


class Pauses:
    """What the window stood still for, pause by pause."""

    def __init__(self):
        """Look from now on."""
        self.told, self.seen, self.before = [], Counter(), time.monotonic()
        self.main = threading.get_ident()
        threading.Thread(target=self.look, daemon=True).start()

    def look(self):
        """Time since the last look goes to what is being done now: C code that holds Python is told by its caller."""
        own = threading.get_ident()
        while True:
            time.sleep(EVERY)
            now, frames = time.monotonic(), sys._current_frames()
            doing = " | ".join(
                ("" if ident == self.main else "aside ") + where(frame)
                for ident, frame in frames.items()
                if ident != own
            )
            self.seen[doing] += now - self.before
            self.before = now

    def over(self, step, seconds):
        """A pause has ended; what it was spent on is told where it was worth it."""
        seen, self.seen = self.seen, Counter()
        if seconds >= WORTH:
            spent = [f"{share:.2f} s {doing}" for doing, share in seen.most_common(5)]
            self.told.append({"step": step, "seconds": round(seconds, 2), "spent": spent})

    def forget(self):
        """What was seen until now was no pause."""
        self.seen = Counter()


def where(frame):
    """The innermost functions of a thread, each as file:line function."""
    names = []
    while frame is not None and len(names) < DEEP:
        code = frame.f_code
        names.append(f"{Path(code.co_filename).name}:{frame.f_lineno} {code.co_name}")
        frame = frame.f_back
    return " < ".join(names)
