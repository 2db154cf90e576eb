"""Does every draft dress every doll? Forty-eight robes over the options' range and the doll's poses.

Run with the tests' packages: `.venv/bin/python -m scripts.bench_grid`, half an hour on two cores; `quick` drapes them
quickly. Dressed is what closes, without a caution about its fit. A robe that is told to be narrower than its
doll's arm before any work is no failure of the drape: it is counted apart.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np

from addon.drape import DrapeSettings, drape
from addon.road import pattern_of
from addon.steps import finish
from drafting.body.body import Body, Part
from drafting.body.doll import measure, read_doll
from drafting.body.pose import pose, spread_of
from drafting.cloth.fabric import LAWN
from drafting.errors import ToileError
from drafting.fit.fit import Fit, read_fit
from drafting.fit.verdict import DOES_NOT_CLOSE
from drafting.garments import GARMENTS

SAMPLES = Path(__file__).parents[1] / "sample_meshes"
ROBE = GARMENTS["robe"]
DOLLS = {"sixth_curvy.glb": None, "quarter_curvy.glb": None, "third_slim.glb": None, "quarter_scan.stl": "mm"}

# Lengths as shares of the doll's height, so that each is the same robe on every doll.
DRAFTS: dict[str, dict[str, float | str]] = {
    "as it comes": {},
    "short": {"length": 0.3},
    "to the floor": {"length_to": "floor"},
    "narrow drop": {"sleeve_drop": 20.0 / 270.0},
    "drop to the knee": {"sleeve_drop": 0.5},
    "wide": {"ease": 0.12},
    "narrow fronts": {"overlap": 0.03},
    "right over left, fold, corner": {"fronts": "right over left", "back": "fold", "sleeve_corner": 0.04},
    "traditional": {"method": "proportions"},
}
ARMS = {  # which arms are turned, and how far: 1 is straight out to the side, less than 0 down from the scan's pose
    "arms straight out": (("left", "right"), 1.0),
    "arms nearly down": (("left", "right"), -0.55),
    "left arm raised": (("left",), 1.6),
}

APART_DEG, HIP = 10.0, 0.06  # each leg is turned so far about a point so high above the crotch, of the height


def dolls() -> Iterator[tuple[str, Body]]:
    """The sample dolls as they are."""
    for name, unit in DOLLS.items():
        yield name.split(".")[0], read_doll(SAMPLES / name, unit=unit)


def posed(body: Body, sides: tuple[str, ...], turned: float) -> Body:
    """The doll with its arms turned, measured anew."""
    spread = spread_of(body)
    kept = replace(spread, weight={side: spread.weight[side] for side in sides if side in spread.weight})
    return measure(replace(body.skin, vertices=pose(body, kept, turned)))


def astride(body: Body) -> Body:
    """The doll with her legs apart, measured anew: each is turned outwards about its hip, more and more below it."""
    points, crotch = body.skin.vertices, body.landmarks["crotch"]
    side = np.sign(points[:, 0] - crotch[0])
    hip = np.array([0.25 * np.ptp(points[body.parts == Part.TRUNK, 0]), 0.0, crotch[2] + HIP * body.height_mm])
    share = np.clip((hip[2] - points[:, 2]) / (2.0 * HIP * body.height_mm), 0.0, 1.0)
    legs = (body.parts == Part.LEG_LEFT) | (body.parts == Part.LEG_RIGHT) | (body.parts == Part.TRUNK)
    turn = np.where(legs, np.radians(APART_DEG) * share * share * (3.0 - 2.0 * share), 0.0)
    x, z = side * (points[:, 0] - crotch[0]) - hip[0], points[:, 2] - hip[2]
    out, up = x * np.cos(turn) - z * np.sin(turn), x * np.sin(turn) + z * np.cos(turn)
    moved = np.column_stack([crotch[0] + side * (out + hip[0]), points[:, 1], up + hip[2]])
    moved = np.where(turn[:, None] > 0.0, moved, points)
    return measure(replace(body.skin, vertices=moved - [0.0, 0.0, moved[:, 2].min()]))


def dress_astride(body: Body, quick: bool) -> Fit:
    """A drape of the usual robe on the doll with her legs apart."""
    return dress(astride(body), {}, quick)


def options(body: Body, draft: dict[str, float | str]) -> dict[str, str]:
    """A draft's options as a maker writes them."""
    return {
        name: f"{value * body.height_mm:.1f}mm" if isinstance(value, float) else value for name, value in draft.items()
    }


def dress(body: Body, draft: dict[str, float | str], quick: bool) -> Fit:
    """A drape, read."""
    pattern = pattern_of(body, ROBE, options(body, draft))
    draped = finish(drape(body, pattern, ROBE, LAWN, DrapeSettings(quick=quick)))
    return read_fit(body, draped, pattern, ROBE, LAWN, {})


def dress_posed(body: Body, sides: tuple[str, ...], turned: float, quick: bool) -> Fit:
    """A drape of the usual robe on the doll with its arms turned."""
    return dress(posed(body, sides, turned), {}, quick)


def combinations(quick: bool) -> Iterator[tuple[str, Callable[[], Fit]]]:
    """Every doll in every draft, then every doll in every pose; the scan in half of them."""
    for doll, body in dolls():
        for name, draft in list(DRAFTS.items())[:: 2 if doll == "quarter_scan" else 1]:
            yield f"{doll}, {name}", partial(dress, body, draft, quick)
        for name, (sides, turned) in ARMS.items():
            yield f"{doll}, {name}", partial(dress_posed, body, sides, turned, quick)
        yield f"{doll}, legs apart", partial(dress_astride, body, quick)


def ended(name: str, work: Callable[[], Fit]) -> tuple[str, str]:
    """How one robe ended: "dressed", "too tight" or "failed"; and a line that tells it."""
    try:
        fit = work()
    except ToileError as error:
        return ("too tight" if "cannot be put on" in str(error) else "failed"), f"{name}: {error}"
    cautions = [caution for caution in fit.cautions if not caution.startswith("A quick look")]
    how = "failed" if cautions or fit.crossings or fit.verdict == DOES_NOT_CLOSE else "dressed"
    return how, (
        f"{name}: {how}; {fit.verdict}, {fit.fronts}, {fit.speed_p99_mm_s:.1f} mm/s, "
        f"stretch {fit.stretch.edges.p99:.3f}, {fit.gap.below_deepest_mm:.2f} mm deep, {fit.crossings} crossings"
    )


def main(words: list[str]) -> None:
    """Prints a line for each robe and the share that dresses; two processes, a half of the robes each."""
    quick = "quick" in words
    with ProcessPoolExecutor(2) as pool:
        jobs = [(name, pool.submit(ended, name, work)) for name, work in combinations(quick)]
        found = []
        for _, job in jobs:
            how, line = job.result()
            found.append(how)
            print(line, flush=True)
    tight, dressed = found.count("too tight"), found.count("dressed")
    print(f"{dressed} of {len(found) - tight} dress, {dressed / (len(found) - tight):.0%}; {tight} are too tight")


if __name__ == "__main__":
    main(sys.argv[1:])
