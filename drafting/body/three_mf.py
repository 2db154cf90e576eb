"""3MF: a zip package with a model in XML, read with the standard library alone.

After the 3MF Core Specification 1.3 (3MF Consortium): root relationship to the model part, meshes of vertices and
triangles, components and build items placed by 12 numbers, row vectors on the left; no document type declarations;
objects of type "support" and "solidsupport" are for the printer. Meshes in other parts after the 3MF Production
Extension 1.1: the attribute `path` of a component or item; from memory.
"""

from __future__ import annotations

import io
import posixpath
import zipfile
from array import array
from collections.abc import Callable
from dataclasses import dataclass, field
from xml.parsers import expat

import numpy as np

from ..errors import ScanError
from .body import FloatArray, IntArray

MM = {"micron": 0.001, "millimeter": 1.0, "centimeter": 10.0, "inch": 25.4, "foot": 304.8, "meter": 1000.0}
MODEL = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
RELATIONS = "_rels/.rels"
SWOLLEN = 100
"""A part that unpacks to more than so many times its size is no mesh; those are written in 5 to 20 times."""
DEEP, NESTED = 32, 8
"""Elements within elements in the text, and components within components, at most; meshes need 6 and 2."""
PATH = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06}path"
PROPS = ("support", "solidsupport")
PARTS = 500
"""So many model parts at most; programs write one for each object."""
MOST_PLACED = 4_000_000
"""Triangles at most, once all are placed: as many as a scan may have."""
PLACES = 1000
"""So many placed objects at most."""
CHUNK = 1 << 18

Mesh = tuple[FloatArray, IntArray]


@dataclass
class _Object:
    """A mesh, or other objects placed, as it is read."""

    corners: array[float] = field(default_factory=lambda: array("d"))
    faces: array[int] = field(default_factory=lambda: array("q"))
    placed: list[tuple[str, str, FloatArray]] = field(default_factory=list)
    prop: bool = False


class _Model:
    """What the elements of one model part say, one after the other."""

    def __init__(self) -> None:
        self.unit, self.deep, self.here = "millimeter", 0, _Object()
        self.objects: dict[str, _Object] = {}
        self.build = _Object()

    def start(self, name: str, said: dict[str, str]) -> None:
        self.deep += 1
        if self.deep > DEEP:
            raise ScanError("its elements are nested too deep")
        match name.rpartition("}")[2]:
            case "vertex":
                self.here.corners.extend((float(said["x"]), float(said["y"]), float(said["z"])))
            case "triangle":
                self.here.faces.extend((int(said["v1"]), int(said["v2"]), int(said["v3"])))
            case "object":
                self.here = self.objects[said["id"]] = _Object(prop=said.get("type") in PROPS)
            case "component":
                self.here.placed.append((said.get(PATH, ""), said["objectid"], _matrix(said.get("transform"))))
            case "item":
                self.build.placed.append((said.get(PATH, ""), said["objectid"], _matrix(said.get("transform"))))
            case "model":
                self.unit = said.get("unit", self.unit)

    def end(self, _: str) -> None:
        self.deep -= 1


class _Models:
    """The model parts of a package, each read when it is first named."""

    def __init__(self, pack: zipfile.ZipFile) -> None:
        self.pack = pack
        self.parts: dict[str, _Model] = {}

    def part(self, path: str) -> _Model:
        name = posixpath.normpath("/" + path).lstrip("/")
        if name not in self.parts:
            if len(self.parts) >= PARTS:
                raise ScanError(f"it has more than {PARTS} model parts")
            self.parts[name] = model = _Model()
            _parse(self.pack, name, model.start, model.end)
        return self.parts[name]

    def meshes(self, root: str) -> list[Mesh]:
        """All meshes that the root part's build places, in place, without what only holds them up in the printer."""
        found, total = [], 0
        todo = [(path or root, name, matrix, 0) for path, name, matrix in self.part(root).build.placed]
        for path, name, matrix, depth in todo:
            thing = self.part(path).objects[name]
            if depth > NESTED or len(todo) > PLACES:
                raise ScanError(f"its components run in a ring, or place more than {PLACES} things")
            if thing.prop:
                continue
            total += len(thing.faces) // 3
            if total > MOST_PLACED:
                raise ScanError(f"it places more than {MOST_PLACED} triangles; make the scan coarser")
            corners = np.array(thing.corners).reshape(-1, 3) @ matrix[:3, :3] + matrix[3, :3]
            faces = np.array(thing.faces, np.int64).reshape(-1, 3)
            found.append((corners, faces if np.linalg.det(matrix[:3, :3]) > 0 else faces[:, ::-1]))
            todo += [(into or path, part, inner @ matrix, depth + 1) for into, part, inner in thing.placed]
        return found


def _matrix(text: str | None) -> FloatArray:
    matrix = np.eye(4)
    if text:
        matrix[:, :3] = np.array(text.split(), float).reshape(4, 3)
    return matrix


def _parse(
    pack: zipfile.ZipFile, name: str, start: Callable[..., None], end: Callable[..., None] | None = None
) -> None:
    """Read one part of the package piece by piece."""
    part = pack.getinfo(name)
    if part.file_size > SWOLLEN * max(part.compress_size, CHUNK // SWOLLEN):
        raise ScanError(f"{name} would unpack to {part.file_size / 1e6:.0f} MB, far more than a mesh of its size")
    parser = expat.ParserCreate(namespace_separator="}")
    parser.StartElementHandler, parser.EndElementHandler, parser.StartDoctypeDeclHandler = start, end, _doctype
    with pack.open(part) as stream:
        while piece := stream.read(CHUNK):
            parser.Parse(piece)
        parser.Parse(b"", True)


def _doctype(*_: object) -> None:
    raise ScanError("it declares a document type, which 3MF forbids")


def read_3mf(data: bytes) -> Mesh:
    """(n, 3) corners in mm and (m, 3) triangles of all that a 3MF package builds.

    Raises
    ------
    ScanError, zipfile.BadZipFile, expat.ExpatError, KeyError, ValueError
    """
    with zipfile.ZipFile(io.BytesIO(data)) as pack:
        targets: list[str] = []

        def relation(name: str, said: dict[str, str]) -> None:
            if name.endswith("Relationship") and said.get("Type") == MODEL:
                targets.append(said["Target"])

        _parse(pack, RELATIONS, relation)
        if not targets:
            raise ScanError("it names no model")
        models = _Models(pack)
        found = models.meshes(targets[0])
        unit = models.part(targets[0]).unit
    if not found:
        raise ScanError("it builds nothing")
    first = np.cumsum([0, *(len(corners) for corners, _ in found)])
    faces = [faces + start for (_, faces), start in zip(found, first, strict=False)]
    return np.vstack([corners for corners, _ in found]) * MM[unit], np.vstack(faces)
