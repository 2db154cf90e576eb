"""How well pieces are laid: against rectpack on the boxes round them, and the share of the cloth that robes use.

Run with the tests' packages: `.venv/bin/python -m scripts.bench_layout`. rectpack knows no grain and no outlines: it
is given the upright boxes, with the scissors' room round each, unturned; its best of several methods counts.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from itertools import product
from pathlib import Path

import numpy as np
import rectpack

from drafting.body.doll import read_doll
from drafting.errors import DraftError
from drafting.garments import GARMENTS
from drafting.paper.layout import CutPiece, Layout, Spread
from drafting.paper.layout_pieces import cut_lines, lay_pattern
from drafting.paper.layout_search import lay_out
from drafting.paper.purchase import purchase

SAMPLES = Path(__file__).parents[1] / "sample_meshes"
DOLLS = {"sixth_curvy.glb": 270.0, "quarter_curvy.glb": 420.0, "third_slim.glb": 620.0}
CLOTHS = {
    "1100 mm": Spread(1100.0, selvedge=10),
    "1100 mm folded": Spread(1100.0, folded=True, selvedge=10),
    "1100 mm one-way": Spread(1100.0, one_way=True, selvedge=10),
    "360 mm bolt": Spread(360.0),
    "360 mm alike": Spread(360.0, alike=True),
    "fat quarter": Spread(21 * 25.4, length=18 * 25.4),
}
METHODS = ("MaxRectsBl", "MaxRectsBssf", "MaxRectsBaf", "MaxRectsBlsf", "SkylineBl", "SkylineMwf", "SkylineBlWm")
SORTS = ("SORT_AREA", "SORT_PERI", "SORT_SSIDE", "SORT_LSIDE", "SORT_DIFF", "SORT_RATIO")
SETS = 60  # of made-up boxes


def boxes_length(boxes: Sequence[tuple[float, float]], width: float) -> float:
    """The least length of a strip that rectpack lays the boxes on, mm."""
    lengths = []
    for method, sort in product(METHODS, SORTS):
        packer = rectpack.newPacker(
            mode=rectpack.PackingMode.Offline,
            pack_algo=getattr(rectpack, method),
            sort_algo=getattr(rectpack, sort),
            rotation=False,
        )
        packer.add_bin(width, sum(high for _, high in boxes))
        for wide, high in boxes:
            packer.add_rect(wide, high)
        packer.pack()
        laid = packer.rect_list()
        if len(laid) == len(boxes):
            lengths.append(max(y + high for _, _, y, _, high, _ in laid))
    return float(min(lengths))


def of_layout(layout: Layout) -> float:
    """rectpack's length for the boxes round the pieces of a layout, the scissors' room between them."""
    gap = layout.spread.gap
    left, right = layout.spread.reach
    boxes = [tuple(np.ptp(placement.outline, axis=0) + gap) for placement in layout.placements]
    return boxes_length(boxes, right - left + gap) - gap


def made_up(seed: int) -> tuple[list[CutPiece], Spread]:
    """Some boxes of whole millimetres, as wide as high or long and narrow."""
    chance = np.random.default_rng(seed)
    sides = chance.integers(20, 200, size=(int(chance.integers(4, 13)), 2)) * chance.choice([1, 2], size=2)
    boxes = [np.array([[0, 0], [w, 0], [w, h], [0, h]], dtype=float) for w, h in sides]
    pieces = [CutPiece(f"box {i}", box, np.array([0.0, 1.0])) for i, box in enumerate(boxes)]
    return pieces, Spread(float(chance.integers(420, 900)), gap=0)


def main() -> None:
    """Prints the tables."""
    for file, height in DOLLS.items():
        body = read_doll(SAMPLES / file, height_mm=height)
        pattern = GARMENTS["robe"].draft({name: measure.mm for name, measure in body.measures.items()}, {})
        outlines = cut_lines(pattern)
        print(f"robe for {file}, {height:g} mm")
        for name, spread in CLOTHS.items():
            begun = time.perf_counter()
            try:
                layout = lay_pattern(pattern, outlines, spread)
            except DraftError as error:  # a piece too large for this cloth; the table goes on
                print(f"  {name:16s} {error}")
                continue
            took = time.perf_counter() - begun
            theirs = "" if spread.length < np.inf else f", boxes by rectpack {of_layout(layout):.0f} mm"
            bought = purchase(layout)
            print(
                f"  {name:16s} {layout.length:6.0f} mm{theirs}; used {layout.used:.0%} of it; "
                f"buy {bought.words()} or {bought.words('in')}; {took:.2f} s"
            )
    ratios, seconds = [], []
    for seed in range(SETS):
        pieces, spread = made_up(seed)
        begun = time.perf_counter()
        layout = lay_out(pieces, spread)
        seconds.append(time.perf_counter() - begun)
        ratios.append(layout.length / of_layout(layout))
    print(
        f"{SETS} sets of made-up boxes: length over rectpack's {np.mean(ratios):.3f} on average, at most "
        f"{max(ratios):.3f}, worse in {sum(r > 1 + 1e-9 for r in ratios)}; at most {max(seconds):.2f} s"
    )


if __name__ == "__main__":
    main()
