"""The textile laboratory's long tests: strips of six fabrics on three dolls, the drapemeter, tubes, robes at two sizes.

Run with the tests' packages: `.venv/bin/python -m scripts.bench_cloth`; `-m scripts.bench_cloth robes` for the last,
which drapes two whole robes.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from addon.cloths import EDGES_PER_HEIGHT, Cloths, usual_edge
from addon.drape import DrapeSettings, drape
from addon.steps import finish
from drafting.body.doll import read_doll
from drafting.cloth.fabric import FABRICS, LAWN, Fabric
from drafting.cloth.law import steps_needed
from drafting.fit.fit import Fit, read_fit
from drafting.garments import GARMENTS

from .laboratory.cantilever import cut, hang
from .laboratory.drapemeter import drape_round
from .laboratory.tube import wear

SIX = ("habotai", "crepe de chine", "lawn", "quilting cotton", "linen", "denim")
DOLLS_MM = (270.0, 420.0, 600.0)
FINENESS = (0.5, 0.7, 1.0)  # of the default edge length
SAMPLE = Path(__file__).parents[1] / "sample_meshes" / "sixth_curvy.glb"


def strips() -> Iterator[str]:
    """Cantilever: measured over asked bending length and steps a frame, then worst and median of all."""
    off = []
    for height in DOLLS_MM:
        for name in SIX:
            asked, shown = FABRICS[name].bending_mm, []
            for fineness in FINENESS:
                edge = fineness * usual_edge(height, FABRICS[name])
                settings = Cloths(height, FABRICS[name]).settings(edge)  # those of a drape on that doll
                off.append(hang(cut(asked, edge), settings).bending_mm / asked - 1.0)
                steps = steps_needed(settings.bending, settings.vertex_mass)
                shown.append(f"{edge:.2f} mm {off[-1]:+.1%} in {steps} steps")
            yield f"strip of {name} ({asked:.1f} mm), doll of {height:.0f} mm: {', '.join(shown)}"
    yield f"strips: off by {np.abs(off).max():.1%} at most, {np.median(np.abs(off)):.1%} in the median of {len(off)}"


def rounds() -> Iterator[str]:
    """Drapemeter: coefficients over bending length, and at two sizes."""
    for bending in (6.0, 10.0, 15.0, 20.0, 30.0, 45.0, 80.0):
        standard, half = (drape_round(bending * size, size=size) for size in (1.0, 0.5))
        yield (
            f"drapemeter, bending length {bending:2.0f} mm: {standard.coefficient:5.1f} %, {standard.nodes} folds; "
            f"at half the size and bending length {half.coefficient:5.1f} %"
        )


def tubes() -> Iterator[str]:
    """Tubes: ease as cut and as read, and 2 pi times the gap."""
    for gap, bending, weight in ((1.0, 2.0, 0.0), (3.0, 2.0, 0.0), (6.0, 2.0, 0.0), (3.0, 20.0, 1.0), (6.0, 20.0, 1.0)):
        worn = wear(42.0, gap, bending_mm=bending, edge_mm=5.25, weight=weight)
        read = np.array(worn.girths_mm) - worn.body_mm
        what = f"2 pi gap {2 * np.pi * worn.gap.median:.2f}" if weight == 0.0 else "standing"
        cut_ease = worn.cut_mm - worn.body_mm
        yield f"tube: cut ease {cut_ease:.2f} mm, read {read.min():.2f} to {read.max():.2f} mm, {what}"


def robe(height_mm: float, fabric: Fabric) -> Fit:
    """The same doll at another size in a robe of that fabric, no size rounded up to a mark."""
    body = read_doll(SAMPLE, height_mm=height_mm)
    measures = {name: measure.mm for name, measure in body.measures.items()}
    pattern = GARMENTS["robe"].draft(measures, {"easy_mark": 0.0, "cloth_thickness": 0.3 * height_mm / 270.0})
    settings = DrapeSettings(edge_mm=height_mm / EDGES_PER_HEIGHT)
    draped = finish(drape(body, pattern, GARMENTS["robe"], fabric, settings))
    return read_fit(body, draped, pattern, GARMENTS["robe"], fabric, {})


def robes() -> Iterator[str]:
    """A robe on a doll and on one twice as tall, in cloth of twice the bending length."""
    double = replace(LAWN, warp_mm=2.0 * LAWN.warp_mm, weft_mm=2.0 * LAWN.weft_mm)
    small, large = robe(270.0, LAWN), robe(540.0, double)
    for what in ("p05", "median", "p95", "max"):
        one, other = getattr(small.gap, what) / 270.0, getattr(large.gap, what) / 540.0
        yield f"robes: gap {what} over height {100 * one:.2f} % and {100 * other:.2f} %, {other / one - 1.0:+.1%}"
    for one, other in zip(small.levels, large.levels, strict=True):
        if one.garment_girth_mm and other.garment_girth_mm:
            ratio = other.garment_girth_mm / one.garment_girth_mm / 2.0
            yield f"robes: {one.name} girth over size {ratio - 1.0:+.1%}"


def main(words: list[str]) -> None:
    """Prints the table, a line at a time."""
    for lines in [robes] if words == ["robes"] else [strips, rounds, tubes]:
        for line in lines():
            print(line, flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
