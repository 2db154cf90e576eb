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
PACKED = {
    "KHR_draco_mesh_compression": "Draco",
    "EXT_meshopt_compression": "meshopt",
    "KHR_meshopt_compression": "meshopt",
}
"""Registered extensions of glTF 2.0 that pack the points; none is read here."""
MOST_PLACED = 12_000_000
"""Corners and points of all meshes at every place that nodes give them, at most: the largest scan has 4,000,000
triangles, each with three corners and half a point."""
MOST_HELD = 400_000_000
"""Bytes that all accessors may ask for together; a scan of 4,000,000 triangles asks for half of it."""
WIDEST_FACE = 500
"""Corners of one face at most; scans have three or four, a stand's flat bottom some hundreds."""
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


def plain_text(data: bytes) -> bytes:
    """A text file without a byte-order mark, its lines without indents."""
    data = data.removeprefix(b"\xef\xbb\xbf")
    return (
        re.sub(rb"^[ \t]+", b"", data, flags=re.MULTILINE) if re.search(rb"^[ \t]+[vf]", data, re.MULTILINE) else data
    )


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
    if wide := re.search(rb"^[ \t]*f(?:[ \t]+\S+){%d}" % (WIDEST_FACE + 1), data, re.MULTILINE):
        corners = len(data[wide.start() : data.find(b"\n", wide.end())].split()) - 1
        raise _bad(path, f"one face has {corners} corners, more than {WIDEST_FACE}; triangulate it")


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
        _unpacked(tree, path)
        held = (held or len(data)) + _outside(tree, path)
        asked = 0
        for accessor in tree.get("accessors", []):
            size = int(accessor["count"]) * COMPONENTS[accessor["componentType"]] * WIDTHS[accessor["type"]]
            if not 0 <= size <= held:
                raise _bad(path, "its glTF description promises more points than the file holds")
            asked += size
        if asked > MOST_HELD:
            raise ScanError(f"{path.name}: asks for {asked / 1e9:.1f} GB of points; make the scan coarser")
        _no_ring(tree.get("nodes", []), path)
        _not_many(tree, path)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError):
        raise _bad(path, "its glTF description is damaged") from None


def plain_names(data: bytes) -> bytes:
    """A glTF description with the names of files as on the disk, not percent-encoded (RFC 3986, by glTF 2.0)."""
    tree = json.loads(data)
    for buffer in tree.get("buffers", []):
        if "uri" in buffer and not buffer["uri"].startswith("data:"):
            buffer["uri"] = unquote(buffer["uri"])
    return json.dumps(tree).encode()


def _unpacked(tree: dict, path: Path) -> None:
    """Refuse packed points by the name of the packing."""
    for name in [*tree.get("extensionsUsed", []), *tree.get("extensionsRequired", [])]:
        if name in PACKED:
            raise ScanError(f"{path.name}: is packed with {PACKED[name]} compression; export it without")


def _not_many(tree: dict, path: Path) -> None:
    """Refuse a scene that places its meshes so often that they would not fit the memory."""
    counts = [accessor["count"] for accessor in tree.get("accessors", [])]
    sizes = [
        sum(
            counts[i]
            for part in mesh["primitives"]
            for i in (part.get("indices"), part["attributes"].get("POSITION"))
            if i is not None
        )
        for mesh in tree.get("meshes", [])
    ]
    placed = sum(sizes[node["mesh"]] for node in tree.get("nodes", []) if "mesh" in node)
    if placed > MOST_PLACED:
        raise ScanError(f"{path.name}: places its meshes so often that they are too many triangles; make it coarser")


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
