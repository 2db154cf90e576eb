"""Sixty files that are no scan of one doll, made from the analytic doll and from noise."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import numpy as np
import trimesh
from analytic_doll import analytic_doll
from three_mf import packed

DOLL = analytic_doll()
TWICE = np.vstack([DOLL[1], DOLL[1] + len(DOLL[0])])


def mesh(points: np.ndarray | None = None, faces: np.ndarray | None = None) -> trimesh.Trimesh:
    """The doll, or another mesh as it is."""
    return trimesh.Trimesh(
        np.array(DOLL[0] if points is None else points), DOLL[1] if faces is None else faces, process=False
    )


def broken_files(folder: Path) -> dict[str, Path]:
    """Files that are no scans, by what is wrong with them."""
    good = mesh().export(file_type="stl")
    ply = mesh().export(file_type="ply")
    glb = bytes(mesh().export(file_type="glb"))
    cube = trimesh.creation.box([1, 1, 1])
    sheet = trimesh.creation.icosphere(3, 10.0)
    sheet.vertices[:, 1] = 0
    point = trimesh.Trimesh(np.tile([[1.0, 2.0, 3.0]], (300, 1)), np.arange(300).reshape(100, 3), process=False)
    nan, infinite = mesh(), mesh()
    nan.vertices[7, 1] = np.nan
    infinite.vertices[7, 1] = np.inf
    tree, start = json.loads(glb[20 : 20 + struct.unpack_from("<I", glb, 12)[0]]), glb[:12]
    del start

    def gltf(**changed: object) -> bytes:
        return json.dumps({**tree, **changed}).encode()

    many = [{**each, "count": 2**40} for each in tree["accessors"]]
    deep = [{"children": [index + 1]} for index in range(5000)] + [{"mesh": 0}]
    ring = [{"children": [1]}, {"children": [0], "mesh": 0}]
    files = {
        "empty.stl": b"",
        "text.stl": b"This is a letter about a doll, and no scan of it.\n" * 20,
        "short.stl": good[: len(good) // 2],
        "header_only.stl": good[:84],
        "half_text.stl": b"solid doll\n facet normal 0 0 1\n outer loop\n vertex 0 0 0\n vertex 1 0",
        "noise.stl": np.random.default_rng(1).bytes(5000),
        "huge_count.stl": good[:80] + b"\xff\xff\xff\x7f" + good[84:2000],
        "two.stl": trimesh.Trimesh(cube.vertices[:4], [[0, 1, 2], [1, 2, 3]], process=False).export(file_type="stl"),
        "cube.stl": cube.export(file_type="stl"),
        "sheet.stl": sheet.export(file_type="stl"),
        "point.stl": point.export(file_type="stl"),
        "nan.stl": nan.export(file_type="stl"),
        "infinite.stl": infinite.export(file_type="stl"),
        "short.ply": ply[: len(ply) // 2],
        "huge_count.ply": b"ply\nformat binary_little_endian 1.0\nelement vertex 2000000000\nproperty float x\n"
        b"property float y\nproperty float z\nend_header\n" + bytes(200),
        "word_count.ply": ply.replace(b"element vertex ", b"element vertex x", 1),
        "points.ply": trimesh.PointCloud(DOLL[0]).export(file_type="ply"),
        "noise.ply": np.random.default_rng(2).bytes(5000),
        "comma.obj": b"v 1,5 2,0 3,0\nv 2,5 2,0 3,0\nv 1,5 3,0 3,0\nf 1 2 3\n" * 60,
        "no_faces.obj": b"v 1 2 3\n" * 500,
        "lost_points.obj": b"v 1 2 3\nv 2 3 4\nv 3 4 9\n" + b"f 1 2 999\n" * 200,
        "noise.obj": np.random.default_rng(3).bytes(5000),
        "huge_count.off": b"OFF\n2000000000 2000000000 0\n0 0 0\n",
        "noise.off": np.random.default_rng(4).bytes(5000),
        "short.glb": glb[: len(glb) // 2],
        "noise.glb": np.random.default_rng(6).bytes(5000),
        "not_json.glb": glb[:20] + b"{" * 200 + glb[220:],
        "away.gltf": gltf(buffers=[{"uri": "../../etc/passwd", "byteLength": 100}]),
        "net.gltf": gltf(buffers=[{"uri": "https://example.org/a.bin", "byteLength": 100}]),
        "absolute.gltf": gltf(buffers=[{"uri": "/etc/passwd", "byteLength": 100}]),
        "lost.gltf": gltf(buffers=[{"uri": "lost.bin", "byteLength": 100}]),
        "huge_count.gltf": gltf(accessors=many),
        "deep.gltf": gltf(nodes=deep),
        "ring.gltf": gltf(nodes=ring),
        "list.gltf": b"[1, 2, 3]",
        "nested.gltf": b"[" * 100000,
        "kind.xyz": b"1 2 3\n" * 200,
        "kind": b"1 2 3\n" * 200,
        **more_files(good, ply, glb),
    }
    for name, data in files.items():
        (folder / name).write_bytes(data)
    (folder / "folder.stl").mkdir()
    return {name: folder / name for name in (*files, "folder.stl", "missing.stl")}


def more_files(good: bytes, ply: bytes, glb: bytes) -> dict[str, bytes]:
    """Files whose bytes are in order, but which hold no doll, or two; and some more that are cut short."""
    points, faces, _ = DOLL
    chance = np.random.default_rng(7)
    text = mesh().export(file_type="stl_ascii")
    off, obj = mesh().export(file_type="off"), mesh().export(file_type="obj")

    def stl(vertices: np.ndarray, triangles: np.ndarray) -> bytes:
        return mesh(vertices, triangles).export(file_type="stl")

    return {
        "bomb.3mf": packed(bytes(200_000_000)),
        "two_dolls.stl": stl(np.vstack([points, points + 250.0 * np.eye(3)[0]]), TWICE),
        "two_in_file.stl": stl(np.vstack([points, points + 250.0 * np.eye(3)[1]]), TWICE),
        "giant.stl": stl(points * 5e6, faces),
        "tiny.stl": stl(points * 1e-9, faces),
        "disorder.stl": stl(points[chance.permutation(len(points))], faces),
        "line.stl": stl(points * [0, 0, 1.0], faces),
        "crumbs.stl": stl(np.repeat(chance.normal(0, 100, (500, 3)), 3, axis=0) + chance.normal(0, 1, (1500, 3)),
                          np.arange(1500).reshape(-1, 3)),
        "no_area.stl": stl(np.repeat(points[:300], 3, axis=0), np.arange(900).reshape(-1, 3)),
        "short_text.stl": text.encode()[: len(text) // 2],
        "short.off": off.encode()[: len(off) // 3],
        "short.obj": "\n".join(line for line in obj.splitlines() if line[:1] == "v").encode(),
        "zero_faces.obj": b"v 0 0 0\nv 1 0 0\nv 0 1 0\n" + b"f 0 0 0\n" * 300,
        "word.obj": b"v one two three\n" * 50 + b"f 1 2 3\n" * 200,
        "no_end.ply": ply[:200].replace(b"end_header", b"end_footer"),
        "minus.ply": ply.replace(b"element vertex ", b"element vertex -", 1),
        "wrong_chunk.glb": glb[:16] + b"XXXX" + glb[20:],
        "long_chunk.glb": glb[:12] + b"\xff\xff\xff\x7f" + glb[16:],
        "cut_buffer.glb": glb[:8] + struct.pack("<I", len(glb) - 40000) + glb[12:-40000],
        "null.gltf": b"null",
    }  # fmt: skip
