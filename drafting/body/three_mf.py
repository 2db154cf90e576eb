"""3MF: a zip package with a model in XML, read with the standard library alone.

After the 3MF Core Specification 1.3 (3MF Consortium): root relationship to the model part, meshes of vertices and
triangles, components and build items placed by 12 numbers, row vectors on the left; no document type declarations.
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
PLACES = 1000
"""So many placed objects at most."""
CHUNK = 1 << 18

Mesh = tuple[FloatArray, IntArray]


@dataclass
class _Object:
    """A mesh, or other objects placed, as it is read."""

    corners: array[float] = field(default_factory=lambda: array("d"))
    faces: array[int] = field(default_factory=lambda: array("q"))
    placed: list[tuple[str, FloatArray]] = field(default_factory=list)


class _Model:
    """What the elements of a model part say, one after the other."""

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
                self.here = self.objects[said["id"]] = _Object()
            case "component":
                self.here.placed.append((said["objectid"], _matrix(said.get("transform"))))
            case "item":
                self.build.placed.append((said["objectid"], _matrix(said.get("transform"))))
            case "model":
                self.unit = said.get("unit", self.unit)

    def end(self, _: str) -> None:
        self.deep -= 1

    def meshes(self) -> list[Mesh]:
        """All meshes that the build places, in place."""
        found, todo = [], [(*item, 0) for item in self.build.placed]
        for name, matrix, depth in todo:
            thing = self.objects[name]
            if depth > NESTED or len(todo) > PLACES:
                raise ScanError(f"its components run in a ring, or place more than {PLACES} things")
            corners = np.array(thing.corners).reshape(-1, 3) @ matrix[:3, :3] + matrix[3, :3]
            faces = np.array(thing.faces, np.int64).reshape(-1, 3)
            found.append((corners, faces if np.linalg.det(matrix[:3, :3]) > 0 else faces[:, ::-1]))
            todo += [(part, inner @ matrix, depth + 1) for part, inner in thing.placed]
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
        model = _Model()
        _parse(pack, posixpath.normpath("/" + targets[0]).lstrip("/"), model.start, model.end)
    found = model.meshes()
    if not found:
        raise ScanError("it builds nothing")
    first = np.cumsum([0, *(len(corners) for corners, _ in found)])
    faces = [faces + start for (_, faces), start in zip(found, first, strict=False)]
    return np.vstack([corners for corners, _ in found]) * MM[model.unit], np.vstack(faces)
