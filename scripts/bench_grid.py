"""Does every draft dress every doll? Forty-four robes over the options' range and the arms' poses, in quick drapes.

Run with the tests' packages: `.venv/bin/python -m scripts.bench_grid`. Dressed is what the fit has no caution about but
that the drape was quick; a pose that cannot be measured counts as one that cannot be dressed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

from addon.drape import DrapeSettings, drape
from addon.road import pattern_of
from addon.steps import finish
from drafting.body.body import Body
from drafting.body.doll import measure, read_doll
from drafting.body.pose import pose, spread_of
from drafting.cloth.fabric import LAWN
from drafting.errors import ToileError
from drafting.fit.fit import Fit, read_fit
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


def dolls() -> Iterator[tuple[str, Body]]:
    """The sample dolls as they are."""
    for name, unit in DOLLS.items():
        yield name.split(".")[0], read_doll(SAMPLES / name, unit=unit)


def posed(body: Body, sides: tuple[str, ...], turned: float) -> Body:
    """The doll with its arms turned, measured anew."""
    spread = spread_of(body)
    kept = replace(spread, weight={side: spread.weight[side] for side in sides if side in spread.weight})
    return measure(replace(body.skin, vertices=pose(body, kept, turned)))


def options(body: Body, draft: dict[str, float | str]) -> dict[str, str]:
    """A draft's options as a maker writes them."""
    return {
        name: f"{value * body.height_mm:.1f}mm" if isinstance(value, float) else value for name, value in draft.items()
    }


def dress(body: Body, draft: dict[str, float | str]) -> Fit:
    """A quick drape, read."""
    pattern = pattern_of(body, ROBE, options(body, draft))
    return read_fit(body, finish(drape(body, pattern, ROBE, LAWN, DrapeSettings(quick=True))), pattern, ROBE, LAWN, {})


def dress_posed(body: Body, sides: tuple[str, ...], turned: float) -> Fit:
    """A quick drape of the usual robe on the doll with its arms turned."""
    return dress(posed(body, sides, turned), {})


def combinations() -> Iterator[tuple[str, Callable[[], Fit]]]:
    """Every doll in every draft, then every doll in every pose; the scan in half of them."""
    for doll, body in dolls():
        for name, draft in list(DRAFTS.items())[:: 2 if doll == "quarter_scan" else 1]:
            yield f"{doll}, {name}", partial(dress, body, draft)
        for name, (sides, turned) in ARMS.items():
            yield f"{doll}, {name}", partial(dress_posed, body, sides, turned)


def main() -> None:
    """Prints a line for each robe and the share that dresses."""
    ended = []
    for name, work in combinations():
        try:
            fit = work()
        except ToileError as error:
            ended.append(False)
            print(f"{name}: {error}", flush=True)
            continue
        said = f"{fit.verdict}, {fit.fronts}, {fit.speed_p99_mm_s:.1f} mm/s, stretch {fit.stretch.edges.p99:.3f}, "
        said += f"{fit.gap.below_deepest_mm:.2f} mm below the skin, {fit.crossings} crossings"
        ended.append(len(fit.cautions) == 1)
        print(f"{name}: {said}", flush=True)
    print(f"{sum(ended)} of {len(ended)} dress, {sum(ended) / len(ended):.0%}", flush=True)


if __name__ == "__main__":
    main()
