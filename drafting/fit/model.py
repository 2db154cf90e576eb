"""The draped garment on its doll as one file for any viewer."""

from __future__ import annotations

import numpy as np
import trimesh

from ..body.body import Skin
from ..cloth.mesh import ClothMesh


def drape_glb(skin: Skin, cloth: ClothMesh) -> bytes:
    """Body and garment as two named meshes in binary glTF 2.0: metres, Y up, facing +Z, at true size.

    Parameters
    ----------
    skin, cloth
        Millimetres, Z up, facing -Y.
    """
    scene = trimesh.Scene()
    for name, shape in (("body", skin), ("garment", cloth)):
        x, y, z = np.asarray(shape.vertices, dtype=float).T / 1000.0
        mesh = trimesh.Trimesh(np.column_stack([x, z, -y]), shape.faces, process=False)
        scene.add_geometry(mesh, node_name=name, geom_name=name)
    return bytes(scene.export(file_type="glb"))
