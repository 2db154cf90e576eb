"""Where the time goes: stages of a fit, the solver by vertex and step, the gap query against trimesh, growth.

Run with the tests' packages: `.venv/bin/python -m scripts.bench`. Ratios are measured side by side in one run.
"""

from __future__ import annotations

import math
import resource
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import TypeVar

import numpy as np
import trimesh

from addon.cloths import Cloths
from addon.drape import TIGHT, DrapeSettings, drape, drape_by
from addon.steps import finish
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
Result = TypeVar("Result")
EDGES_MM = (7.4, None, 3.7, 2.62)  # about 3,000, 6,000, 12,000 and 23,000 vertices: x 1.4, 1, 0.7 and 0.5


def timed(work: Callable[[], Result]) -> tuple[float, Result]:
    """Seconds and result of a call."""
    begun = time.perf_counter()
    result = work()
    return time.perf_counter() - begun, result


def whole_drape(body: Body, pattern: Pattern, edge_mm: float | None = None) -> Draped | None:
    """A drape to its end; None, with the reason printed, where it fails."""
    try:
        return finish(drape(body, pattern, ROBE, LAWN, DrapeSettings(edge_mm=edge_mm)))
    except DrapeError as error:
        print(f"the drape failed: {error}")
        return None


def plain_drape(body: Body, pattern: Pattern) -> Draped:
    """The plain recipe: fine cloth, the whole skin and self-collision from the first frame to the last."""
    cloths = Cloths(body.height_mm, LAWN)
    edge = cloths.usual_edge
    return finish(drape_by(TIGHT, body, pattern, ROBE, cloths, DrapeSettings(), edge, whole_skin=True))


def recipe_lines(body: Body, pattern: Pattern, usual: tuple[float, Draped]) -> Iterator[str]:
    """The usual recipe against the plain one and the quick one: seconds of the solver, and what is read."""
    plain = plain_drape(body, pattern)
    quick = finish(drape(body, pattern, ROBE, LAWN, DrapeSettings(quick=True)))
    read = {}
    for name, draped in (("usual", usual[1]), ("plain", plain), ("quick", quick)):
        fit = read_fit(body, draped, pattern, ROBE, LAWN, {})
        girths = {level.name: level.ease_mm for level in fit.levels if level.ease_mm is not None}
        read[name] = girths | {"hem": fit.hem.mean_mm if fit.hem else math.nan}
        shown = ", ".join(f"{what} {mm:.1f}" for what, mm in read[name].items())
        yield f"{name} recipe: {draped.solver_seconds:.1f} s, {fit.verdict}, {fit.crossings} crossings; {shown} mm"
    for name, draped in (("plain", plain), ("quick", quick)):
        off = {what: abs(read[name][what] - mm) for what, mm in read["usual"].items()}
        hem = off.pop("hem")
        times = draped.solver_seconds / usual[1].solver_seconds
        yield f"{name} over usual: {times:.2f} of its time; ease off by {max(off.values()):.1f} mm, hem by {hem:.1f} mm"


def growth_lines(body: Body, pattern: Pattern, usual: tuple[float, Draped]) -> Iterator[str]:
    """Whole drapes in coarse and fine cloth: seconds, what is read of the fit, and the exponent of growth."""
    counts, spent = [], []
    for edge in EDGES_MM:
        seconds, draped = usual if edge is None else timed(partial(whole_drape, body, pattern, edge))
        if draped is None:
            continue
        counts.append(len(draped.cloth.vertices))
        spent.append(seconds)
        fit = read_fit(body, draped, pattern, ROBE, LAWN, {})
        eases = ", ".join(f"{level.name} {level.ease_mm:.1f}" for level in fit.levels if level.ease_mm is not None)
        hangs = ", ".join(f"{sleeve.hangs_mm:.1f}" for sleeve in fit.sleeves if sleeve.hangs_mm is not None)
        hem = f"{fit.hem.mean_mm:.1f}" if fit.hem else "none"
        yield (
            f"{counts[-1]} vertices, edges of {draped.edge_mm:.2f} mm: {seconds:.1f} s, {draped.frames} frames, "
            f"settled {draped.speed_p99_mm_s:.1f} mm/s, {fit.crossings} crossings; ease {eases}; "
            f"hem {hem}, sleeves hang {hangs} mm"
        )
    if len(counts) > 1:
        exponent = math.log(spent[-1] / spent[0]) / math.log(counts[-1] / counts[0])
        most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        yield f"growth from {counts[0]} to {counts[-1]} vertices: exponent {exponent:.2f}; memory at most {most:.0f} MB"


def main() -> None:
    """Prints the table."""
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
    if draped:
        for line in recipe_lines(body, pattern, (draping, draped)):
            print(line, flush=True)
        for line in growth_lines(body, pattern, (draping, draped)):
            print(line, flush=True)
    print("\n".join(tape_lines()))


if __name__ == "__main__":
    main()
