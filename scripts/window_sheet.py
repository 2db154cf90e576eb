"""The road in the window as one picture for the README, from the screenshots that `window_check` leaves.

Run with the tests' packages: `.venv/bin/python -m scripts.window_sheet out/window sample_meshes/pictures/window.png`.
"""

from __future__ import annotations

import sys
from pathlib import Path

from PIL import Image

ACROSS, WIDE, GAP = 2, 800, 8  # screenshots a row, pixels of each, pixels between


def sheet(folder: Path, theme: str = "dark") -> Image.Image:
    """The screenshots of all steps in one theme, in rows."""
    paths = sorted(folder.glob(f"[1-9]_*_{theme}.png"))
    shots = [Image.open(path).convert("RGB") for path in paths]
    high = round(WIDE * shots[0].height / shots[0].width)
    rows = -(-len(shots) // ACROSS)
    whole = Image.new("RGB", (ACROSS * (WIDE + GAP) - GAP, rows * (high + GAP) - GAP), "white")
    for place, shot in enumerate(shots):
        at = (place % ACROSS * (WIDE + GAP), place // ACROSS * (high + GAP))
        whole.paste(shot.resize((WIDE, high), Image.Resampling.LANCZOS), at)
    return whole


if __name__ == "__main__":
    # This way of choosing colours keeps the few bright ones: tapes, the level, the legend.
    sheet(Path(sys.argv[1])).quantize(256, Image.Quantize.FASTOCTREE).save(sys.argv[2], optimize=True)
