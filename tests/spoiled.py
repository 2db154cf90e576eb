"""What the tape makes of a spoiled scan: right, refused, doubted, or wrong without a word."""

from __future__ import annotations

import functools
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import trimesh
from spoils import CLASSES, Doll, Spoiled

from drafting.body.body import Body
from drafting.body.doll import read_doll
from drafting.errors import ToileError

SAMPLES = Path(__file__).resolve().parent.parent / "sample_meshes"
HEIGHTS = {"sixth_curvy": 270.0, "third_slim": 600.0, "quarter_curvy": 420.0}
OFF = 0.02
"""A tape that is off by more than this share is wrong."""


@dataclass(frozen=True)
class Verdict:
    """How a spoiled scan was read: "right", "doubted", "refused" or "wrong", and the words or figures."""

    kind: str
    why: str


@functools.cache
def truth(name: str) -> tuple[Body, Doll]:
    """The unspoiled sample, measured; and what its spoilers need to know."""
    body = read_doll(SAMPLES / f"{name}.glb", height_mm=HEIGHTS[name])
    marks = body.landmarks
    return body, Doll(body.skin.vertices, body.skin.faces, float(marks["crotch"][2]), np.array(marks["armpit_left"]))


def spoiled(name: str, kind: str) -> list[Spoiled]:
    """All scans of one class, made of one sample doll."""
    return list(CLASSES[kind](truth(name)[1], np.random.default_rng(7)))


def verdict(name: str, scan: Spoiled) -> Verdict:
    """Read a spoiled scan and hold it against the truth: a measure that is off needs a doubt about it, or the whole."""
    body = truth(name)[0]
    asked: dict[str, Any] = dict(scan.asked)
    for given in ("known", "taped"):
        if given in asked:
            asked[given] = {each: factor * body.measures[each].mm for each, factor in asked[given].items()}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scan.stl"
        trimesh.Trimesh(scan.points, scan.faces, process=False).export(path)
        try:
            found = read_doll(path, **asked)
        except ToileError as error:
            return Verdict("refused", str(error))
    return _held(found, {each.name: each.mm * scan.times for each in body.measures.values()})


def _held(found: Body, true: Mapping[str, float]) -> Verdict:
    about = {doubt.about for doubt in found.doubts}
    off = {name: each.mm / true[name] - 1 for name, each in found.measures.items() if name in true}
    silent = {name: share for name, share in off.items() if abs(share) > OFF and name not in about}
    if silent and not about & {"size", "body"}:
        worst = sorted(silent.items(), key=lambda each: -abs(each[1]))
        return Verdict("wrong", ", ".join(f"{name} {100 * share:+.0f} %" for name, share in worst))
    words = " ".join(doubt.sentence for doubt in found.doubts)
    return Verdict("doubted", words) if about else Verdict("right", " ".join(found.skin.notes))
