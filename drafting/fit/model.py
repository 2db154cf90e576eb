"""The draped garment on its doll as one file for any viewer."""

from __future__ import annotations

import numpy as np
import trimesh

from ..body.body import Skin
from ..cloth.draped import Draped
from ..cloth.mesh import ClothMesh


def drape_glb(skin: Skin, draped: Draped) -> bytes:
    """Body and garment, and what is under it, as named meshes in binary glTF 2.0: metres, Y up, facing +Z, true size.

    Parameters
    ----------
    skin, draped
        Millimetres, Z up, facing -Y.
    """
    scene = trimesh.Scene()
    under = [] if draped.under is None else [("under", draped.under)]
    shapes: list[tuple[str, Skin | ClothMesh]] = [("body", skin), ("garment", draped.cloth), *under]
    for name, shape in shapes:
        x, y, z = np.asarray(shape.vertices, dtype=float).T / 1000.0
        mesh = trimesh.Trimesh(np.column_stack([x, z, -y]), shape.faces, process=False)
        scene.add_geometry(mesh, node_name=name, geom_name=name)
    return bytes(scene.export(file_type="glb"))
