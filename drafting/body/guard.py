"""A look at a file's own account of itself before it is trusted with memory."""

from __future__ import annotations

import json
import re
import struct
from collections.abc import Callable
from pathlib import Path, PurePosixPath
from urllib.parse import unquote, urlsplit

import numpy as np

from ..errors import ScanError

SIZES = {"char": 1, "uchar": 1, "int8": 1, "uint8": 1, "short": 2, "ushort": 2, "int16": 2, "uint16": 2, "int": 4,
         "uint": 4, "int32": 4, "uint32": 4, "float": 4, "float32": 4, "double": 8, "float64": 8}  # fmt: skip
COMPONENTS = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
WIDTHS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}


def _bad(path: Path, why: str) -> ScanError:
    return ScanError(f"{path.name}: {why}; export the scan again")


def is_binary_stl(data: bytes) -> bool:
    """Whether the file holds as many triangles as its header counts."""
    count = int.from_bytes(data[80:84], "little")
    return count > 0 and len(data) >= 84 + 50 * count


def stl(data: bytes, path: Path) -> None:
    """Binary: 84 bytes and 50 for each triangle. ASCII: the word facet near the start."""
    if is_binary_stl(data):
        return
    start = data[:4096].lstrip().lower()
    if start.startswith(b"solid") and b"facet" in start:
        if b"endfacet" not in data[-4096:].lower():
            raise _bad(path, "the STL text stops in the middle")
        return
    if len(data) >= 84 and not start.startswith(b"solid") and b"\0" in data[:4096]:
        count = struct.unpack_from("<I", data, 80)[0]
        raise _bad(path, f"the STL header promises {count} triangles, but the file holds only {(len(data) - 84) // 50}")
    raise _bad(path, "not an STL file")


def ply(data: bytes, path: Path) -> None:
    """The header's counts must fit into the file."""
    end = data[:65536].find(b"end_header")
    if not data.startswith(b"ply") or end < 0:
        raise _bad(path, "not a PLY file")
    head = data[:end].decode("ascii", "replace").split("\n")
    text = any(line.split()[:2] == ["format", "ascii"] for line in head)
    need, count = 0, 0
    for words in (line.split() for line in head):
        if words[:1] == ["element"] and len(words) == 3:
            count = int(words[2]) if words[2].isdigit() else -1
            if count < 0:
                raise _bad(path, f"the PLY header counts {words[2]!r} of {words[1]}")
        elif words[:1] == ["property"] and len(words) > 2:
            need += count * (2 if text else SIZES.get(words[1] if words[1] != "list" else words[2], 1))
    if need > len(data) - end:
        raise _bad(path, "the PLY header promises more than the file holds")


def obj(data: bytes, path: Path) -> None:
    """Numbers with a point, and triangles at all."""
    first = re.search(rb"^\s*v\s+([^\r\n]*)", data, re.MULTILINE)
    if first is None or re.search(rb"^\s*f\s+\S", data, re.MULTILINE) is None:
        raise _bad(path, "not an OBJ file with points and faces")
    if b"," in first[1]:
        raise ScanError(
            f"{path.name}: its numbers have decimal commas ({first[1].decode('ascii', 'replace')[:40]}); "
            "export it with decimal points"
        )


def off(data: bytes, path: Path) -> None:
    """The counts on top must fit into the file."""
    words = re.sub(rb"#[^\n]*", b"", data[:4096]).split()
    if not words or b"OFF" not in words[0].upper():
        raise _bad(path, "not an OFF file")
    counts = words[1:3]
    if len(counts) < 2 or not all(word.isdigit() for word in counts) or sum(map(int, counts)) * 4 > len(data):
        raise _bad(path, "the OFF header promises more than the file holds")


def glb(data: bytes, path: Path) -> None:
    """Chunks within the file, then as glTF."""
    if len(data) < 20 or data[:4] != b"glTF":
        raise _bad(path, "not a GLB file")
    _, total, size = struct.unpack_from("<III", data, 4)
    if total > len(data) or size > len(data) - 20:
        raise _bad(path, f"the GLB header promises {max(total, size + 20)} bytes, but the file holds {len(data)}")
    gltf(data[20 : 20 + size], path, len(data))


def gltf(data: bytes, path: Path, held: int | None = None) -> None:
    """No reference out of the folder, no accessor larger than what it reads from, no endless chain of nodes."""
    try:
        tree = json.loads(data)
    except (ValueError, RecursionError):
        raise _bad(path, "its glTF description is damaged") from None
    if not isinstance(tree, dict):
        raise _bad(path, "its glTF description is damaged")
    try:
        held = (held or len(data)) + _outside(tree, path)
        for accessor in tree.get("accessors", []):
            size = int(accessor["count"]) * COMPONENTS[accessor["componentType"]] * WIDTHS[accessor["type"]]
            if not 0 <= size <= held:
                raise _bad(path, "its glTF description promises more points than the file holds")
        _no_ring(tree.get("nodes", []), path)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError):
        raise _bad(path, "its glTF description is damaged") from None


def _outside(tree: dict, path: Path) -> int:
    """Bytes in the files beside the glTF file; those elsewhere are refused."""
    size = 0
    for entry in [*tree.get("buffers", []), *tree.get("images", [])]:
        uri = entry.get("uri", "")
        if not uri or uri.startswith("data:"):
            continue
        name = PurePosixPath(unquote(uri).replace("\\", "/"))
        if urlsplit(uri).scheme or name.is_absolute() or ".." in name.parts:
            raise ScanError(f"{path.name}: refers to {uri[:80]!r} outside its own folder; export it as one .glb file")
        beside = path.parent / name
        size += beside.stat().st_size if beside.is_file() else 0
    return size


def _no_ring(nodes: list, path: Path) -> None:
    """Every node has one parent at most, and the chain of parents ends before 500."""
    parent = np.full(len(nodes), -1)
    for index, node in enumerate(nodes):
        for child in node.get("children", []):
            if parent[child] >= 0 or child == index:
                raise _bad(path, "its glTF nodes run in a ring")
            parent[child] = index
    here = np.arange(len(nodes))
    for _ in range(500):
        here = np.where(here >= 0, parent[here], -1) if len(nodes) else here
        if (here < 0).all():
            return
    raise _bad(path, "its glTF nodes are nested too deep")


def package(data: bytes, path: Path) -> None:
    """A zip; what is in it is looked at while it is read."""
    if not data.startswith(b"PK"):
        raise _bad(path, "not a 3MF file")


LOADERS: dict[str, Callable[..., None]] = {
    "stl": stl, "obj": obj, "ply": ply, "off": off, "3mf": package, "glb": glb, "gltf": gltf,
}  # fmt: skip
