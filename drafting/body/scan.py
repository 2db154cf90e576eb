"""Reading a scan: triangles out of a file, or one clear sentence that says why not."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ..errors import ScanError
from .body import FloatArray, IntArray
from .guard import LOADERS, is_binary_stl, plain_names, plain_text
from .mend import one_sided
from .three_mf import read_3mf
from .weld import compact, near_joined, torn, weld

LEAST_TRIANGLES = 100
"""Fewer triangles than this are no body."""
WILD = (2000, 0.15)
"""Of so many triangles no half is longer than this share of the whole; a doll of 2000 has edges of 0.03."""
LOOKED_AT = 50_000
"""So many triangles tell whether a scan is flat or in disorder."""
PROMISED = {"glb": ("m", "+Y"), "gltf": ("m", "+Y"), "3mf": ("mm", None)}
"""Unit and upward axis by the file format itself; a 3MF is read into millimetres and lies as it prints best."""
STL = np.dtype([("normal", "<f4", 3), ("corner", "<f4", (3, 3)), ("attribute", "<u2")])
"""A triangle of a binary STL file (3D Systems, StereoLithography Interface Specification, 1988)."""
MOST_TRIANGLES = 4_000_000
"""More than this would not fit a small computer's memory while measuring."""


@dataclass(frozen=True)
class Scan:
    """Triangles as they stand in the file.

    Attributes
    ----------
    vertices : (n, 3) float
        In the file's unit and axes, equal points welded.
    faces : (m, 3) int
    unit : str or None
        The unit that the file format itself promises ("m" for glTF).
    up : str or None
        The axis that the file format itself promises.
    notes : tuple of str
    """

    vertices: FloatArray
    faces: IntArray
    unit: str | None = None
    up: str | None = None
    notes: tuple[str, ...] = ()


def read_scan(path: str | Path) -> Scan:
    """Read STL, OBJ, PLY, OFF, 3MF, GLB or glTF; the meshes of a scene are joined with their node transforms applied.

    Raises
    ------
    ScanError
        Whatever is wrong with the file, in one sentence.
    """
    path = Path(path)
    kind = path.suffix.lower().lstrip(".")
    if kind not in LOADERS:
        raise ScanError(
            f"{path.name}: cannot read {kind or 'files without an ending'!r}; "
            f"expected one of {', '.join('.' + name for name in LOADERS)}"
        )
    try:
        data = path.read_bytes()
    except OSError as why:
        raise ScanError(f"{path.name}: cannot be opened ({why.strerror or why}); check the path") from None
    if not data:
        raise ScanError(f"{path.name}: the file is empty; export the scan again")
    if kind == "obj":
        data = plain_text(data)
    LOADERS[kind](data, path)
    if kind == "gltf":
        data = plain_names(data)
    vertices, faces = _triangles(data, kind, path)
    vertices, faces = weld(*_checked(vertices, faces, path.name))
    if len(faces) < LEAST_TRIANGLES:
        raise ScanError(f"{path.name}: its triangles have no area; export the scan again")
    if torn(faces, len(vertices)):
        vertices, faces = weld(near_joined(vertices, faces), faces)
    faces = one_sided(faces)
    return Scan(vertices, faces, *PROMISED.get(kind, (None, None)))


def _triangles(data: bytes, kind: str, path: Path) -> tuple[NDArray[np.floating], IntArray]:
    """Vertices and faces; binary STL as it lies there, all else by trimesh, whose many kinds of failure become one."""
    if kind == "stl" and is_binary_stl(data):
        corner = np.frombuffer(data, STL, int.from_bytes(data[80:84], "little"), 84)["corner"]
        return corner.reshape(-1, 3), np.arange(3 * len(corner)).reshape(-1, 3)
    try:
        if kind == "3mf":
            return read_3mf(data)
        return _by_trimesh(data, kind, path)
    except MemoryError:
        raise ScanError(f"{path.name}: too large for this computer's memory; make the scan coarser") from None
    except Exception as why:  # noqa: BLE001 - a damaged file can fail anywhere in the reader; the file is at fault
        reason = " ".join(str(why).split())[:160] or type(why).__name__
        raise ScanError(f"{path.name}: not a readable {kind.upper()} file ({reason}); export it again") from None


def _by_trimesh(data: bytes, kind: str, path: Path) -> tuple[FloatArray, IntArray]:
    """Vertices and faces of one mesh, or of all meshes of a scene."""
    import trimesh

    resolver = trimesh.resolvers.FilePathResolver(str(path)) if kind == "gltf" else None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = trimesh.load(io.BytesIO(data), file_type=kind, process=False, resolver=resolver, skip_materials=True)
        mesh = found.to_mesh() if isinstance(found, trimesh.Scene) else found
        return np.asarray(mesh.vertices, float), np.asarray(mesh.faces, np.int64)


def _checked(vertices: NDArray[np.floating], faces: IntArray, name: str) -> tuple[NDArray[np.floating], IntArray]:
    """Refuse what cannot be a body."""
    if vertices.ndim != 2 or faces.ndim != 2 or not len(faces):
        raise ScanError(f"{name}: holds no triangles; export the scan as a mesh, not as points")
    if len(faces) > MOST_TRIANGLES:
        raise ScanError(f"{name}: {len(faces)} triangles are too many; make the scan coarser, below {MOST_TRIANGLES}")
    if faces.min() < 0 or faces.max() >= len(vertices):
        raise ScanError(f"{name}: triangles name points that are not there; export it again")
    if not np.isfinite(vertices).all() and not np.isfinite(vertices[faces]).all():
        raise ScanError(f"{name}: some points are not numbers (NaN or infinite); export it again")
    used = compact(vertices, faces)[0]
    spans = np.array([np.ptp(column.astype(float)) for column in used.T])
    if not 0 < spans.max() < 1e12:
        raise ScanError(f"{name}: all points lie in one place, or are too far apart to be a doll")
    if len(faces) < LEAST_TRIANGLES:
        raise ScanError(f"{name}: {len(faces)} triangles are not a doll; expected a scan of at least {LEAST_TRIANGLES}")
    corner = vertices[faces[:: len(faces) // LOOKED_AT + 1]].astype(float)
    sides = np.linalg.norm(corner - np.roll(corner, -1, axis=1), axis=2).max(axis=1)
    if len(faces) > WILD[0] and np.median(sides) > WILD[1] * spans.max():
        raise ScanError(f"{name}: its triangles run right across it, so its points are in disorder; export it again")
    thin = np.linalg.svd(np.cov((corner.reshape(-1, 3) / spans.max()).T), compute_uv=False)
    if thin[2] < 1e-6 * thin[0]:
        raise ScanError(f"{name}: flat as a sheet, not a body; expected a whole doll")
    return vertices, faces
