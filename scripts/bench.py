"""Where the time goes: stages of a fit, the solver by vertex and step, the gap query against trimesh, growth.

Run with the tests' packages: `.venv/bin/python -m scripts.bench`. Ratios are measured side by side in one run.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import trimesh

from addon.drape import DrapeSettings, drape
from addon.sewing import assemble
from drafting.body.body import Body
from drafting.body.doll import read_doll
from drafting.cloth.draped import Draped
from drafting.cloth.fabric import LAWN
from drafting.errors import DrapeError
from drafting.fit.fit import read_fit
from drafting.fit.nearest import nearest
from drafting.garments import GARMENTS
from drafting.pattern.pattern import Pattern

from .bench_tape import tape_lines

SAMPLE = Path(__file__).parents[1] / "sample_meshes" / "quarter_curvy.glb"
ROBE = GARMENTS["robe"]
GROWTH_FRAMES = 40  # the same frames of dressing for each mesh, so that only the size differs


def timed(work: Callable) -> tuple[float, object]:
    """Seconds and result of a call."""
    begun = time.perf_counter()
    result = work()
    return time.perf_counter() - begun, result


def whole_drape(body: Body, pattern: Pattern) -> Draped | None:
    """A drape to its end; None, with the reason printed, where it fails."""
    work = drape(body, pattern, ROBE, LAWN)
    try:
        while True:
            next(work)
    except StopIteration as done:
        return done.value
    except DrapeError as error:
        print(f"the drape failed: {error}")
        return None


def part_drape(body: Body, pattern: Pattern, edge_mm: float) -> tuple[int, float]:
    """Vertices, and seconds for the first frames of a drape."""
    vertices = len(assemble(pattern, ROBE, edge_mm).flat)
    work = drape(body, pattern, ROBE, LAWN, DrapeSettings(edge_mm=edge_mm))
    next(work)
    seconds, _ = timed(lambda: [next(work) for _ in range(GROWTH_FRAMES)])
    work.close()
    return vertices, seconds


def main() -> None:
    """Prints the table."""
    print("\n".join(tape_lines()))
    reading, body = timed(lambda: read_doll(SAMPLE, height_mm=420.0))
    drafting, pattern = timed(lambda: ROBE.draft({name: m.mm for name, m in body.measures.items()}, {}))
    draping, draped = timed(lambda: whole_drape(body, pattern))
    print(f"read and measure {reading:.2f} s, draft {drafting:.3f} s, drape {draping:.1f} s")
    if draped:
        vertices = len(draped.cloth.vertices)
        fitting, _ = timed(lambda: read_fit(body, draped, pattern, ROBE, LAWN, {}))
        step = 1e6 * draped.solver_seconds / (vertices * draped.frames)
        print(f"solver {draped.solver_seconds:.1f} s, {draped.frames} steps, {vertices} vertices: {step:.2f} us each")
        print(f"drape outside the solver {draping - draped.solver_seconds:.2f} s, read the fit {fitting:.2f} s")
    points = draped.cloth.vertices if draped else body.skin.vertices + 1.0
    skin = trimesh.Trimesh(body.skin.vertices, body.skin.faces, process=False)
    ours, (mine, _, _) = timed(lambda: nearest(points, body.skin.vertices, body.skin.faces))
    theirs, (_, other, _) = timed(lambda: trimesh.proximity.closest_point(skin, points))
    print(
        f"gap query: {ours:.3f} s, trimesh {theirs:.3f} s, {theirs / ours:.1f} times as fast; "
        f"largest difference {np.abs(mine - other).max():.1e} mm"
    )
    few, many = (part_drape(body, pattern, edge) for edge in (9.0, 3.7))
    exponent = math.log(many[1] / few[1]) / math.log(many[0] / few[0])
    print(f"growth: {few[0]} vertices {few[1]:.1f} s, {many[0]} vertices {many[1]:.1f} s, exponent {exponent:.2f}")


if __name__ == "__main__":
    main()
