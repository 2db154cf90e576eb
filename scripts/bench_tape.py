"""What measuring costs: a fine scan against trimesh.load, and growth from 50,000 to 800,000 triangles.

Run with the tests' packages: `.venv/bin/python -m scripts.bench_tape`. Ratios are measured side by side in one run.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import fast_simplification
import trimesh

from drafting.body.doll import read_doll

SAMPLE = Path(__file__).parents[1] / "sample_meshes" / "quarter_curvy.glb"


def scan_of(count: int, rounds: int, folder: Path) -> tuple[Path, int]:
    """The sample doll as binary STL of about `count` triangles: made coarser, then each triangle cut in four so many
    times; and how many triangles that are.
    """
    mesh = trimesh.load(SAMPLE, force="mesh", process=False)
    coarse = fast_simplification.simplify(mesh.vertices, mesh.faces.astype("i4"), target_count=count // 4**rounds)
    mesh = trimesh.Trimesh(*coarse, process=False)
    for _ in range(rounds):
        mesh = mesh.subdivide()
    path = folder / f"doll_{count}.stl"
    mesh.export(path)
    return path, len(mesh.faces)


def best_of(work, tries: int = 3) -> float:
    """Least seconds of a few calls."""
    spent = []
    for _ in range(tries):
        begun = time.perf_counter()
        work()
        spent.append(time.perf_counter() - begun)
    return min(spent)


def tape_lines() -> list[str]:
    """One line a mesh: seconds, times trimesh.load, and growth against the triangle count."""
    lines, first = [], None
    with tempfile.TemporaryDirectory() as name:
        for wanted, rounds in ((50_000, 1), (500_000, 3), (800_000, 3)):
            path, count = scan_of(wanted, rounds, Path(name))
            ours = best_of(lambda path=path: read_doll(path, height_mm=420.0))
            theirs = best_of(lambda path=path: trimesh.load(path))
            first = first or (count, ours)
            growth = (ours / first[1]) / (count / first[0])
            lines.append(
                f"read and measure {count} triangles: {ours:.2f} s, {ours / theirs:.1f} x trimesh.load; "
                f"growth over proportional {growth:.2f}"
            )
    return lines


if __name__ == "__main__":
    print("\n".join(tape_lines()))
