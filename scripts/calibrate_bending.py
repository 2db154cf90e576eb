"""Measures the hinge constant of drafting/cloth/law.py with simulated cantilever strips, and keeps every strip.

Run with the tests' packages: `.venv/bin/python -m scripts.calibrate_bending`. Five edge lengths, three bending lengths
in edges, cut along warp, weft and two ways between, so that the meshes have triangles among their squares as a
panel's have. K is the geometric mean over the strips along the threads; the others show what it leaves.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields
from pathlib import Path

import numpy as np

from drafting.cloth.law import HINGE, steps_needed
from drafting.files import write_files

KEPT = Path(__file__).with_name("laboratory") / "bending.csv"
EDGES_MM = (2.6, 3.75, 5.25, 7.5, 10.5)
BENDING_EDGES = (2.0, 2.8, 4.0)
TURNS_DEG = (0.0, 90.0, 20.0, 45.0)
COLUMNS = 10  # about as many as a doll's narrower panels have; the outer two weigh as much as the others


@dataclass(frozen=True)
class Measured:
    """One strip: what was asked, what hung there, and the K that would have been right for it."""

    edge_mm: float
    bending_mm: float
    turn_deg: float
    setting: float
    steps: int
    chord_deg: float
    measured_mm: float
    hinge: float

    @property
    def residual(self) -> float:
        """Measured over asked bending length with the kept K, less 1."""
        return float(self.measured_mm / self.bending_mm * (self.hinge_used / HINGE) ** (1 / 3) - 1.0)

    @property
    def hinge_used(self) -> float:
        """The K that the strip was simulated with."""
        return self.hinge * (self.bending_mm / self.measured_mm) ** 3


def strips() -> Iterator[Measured]:
    """Simulates all strips, one after another."""
    from .laboratory import cantilever
    from .laboratory.settle import settings_for

    for edge in EDGES_MM:
        for bending in (edge * edges for edges in BENDING_EDGES):
            for turn in TURNS_DEG:
                settings = settings_for(bending, edge)
                hung = cantilever.hang(cantilever.cut(bending, edge, turn_deg=turn, columns=COLUMNS), settings)
                yield Measured(
                    edge,
                    round(bending, 3),
                    turn,
                    round(settings.bending, 3),
                    steps_needed(settings.bending, settings.vertex_mass),
                    round(hung.chord_deg, 3),
                    round(hung.bending_mm, 3),
                    round(HINGE * (hung.bending_mm / bending) ** 3, 3),
                )


def fitted(measured: list[Measured]) -> float:
    """K: the geometric mean over the strips along the threads."""
    along = [one.hinge for one in measured if one.turn_deg % 90.0 == 0.0]
    return math.exp(float(np.mean(np.log(along))))


def read() -> list[Measured]:
    """The strips that were kept."""
    with KEPT.open(encoding="utf-8", newline="") as file:
        return [Measured(*(float(row[field.name]) for field in fields(Measured))) for row in csv.DictReader(file)]


def main() -> None:
    """Simulates, keeps the strips, prints K and what it leaves."""
    measured = []
    for one in strips():
        measured.append(one)
        print(
            f"edge {one.edge_mm:5.2f}  c {one.bending_mm:5.1f}  turned {one.turn_deg:2.0f}: {one.measured_mm:6.2f} mm"
        )
    names = [field.name for field in fields(Measured)]
    lines = [",".join(names), *(",".join(str(value) for value in asdict(one).values()) for one in measured)]
    write_files(KEPT.parent, {KEPT.name: "\n".join(lines) + "\n"})
    print(f"K = {fitted(measured):.1f}; drafting/cloth/law.py has HINGE = {HINGE}")
    for turn in TURNS_DEG:
        left = np.array([one.residual for one in measured if one.turn_deg == turn])
        print(f"turned {turn:2.0f}: c off by {left.mean():+.1%} in the mean, {np.abs(left).max():.1%} at most")


if __name__ == "__main__":
    main()
