"""The one place where numpy arrays meet Blender data.

Lengths on the numpy side are millimetres unless said otherwise; `scale` turns them into scene units. Arrays go in
and out through `foreach_set` and `foreach_get`, so that a mesh of ten thousand vertices costs milliseconds.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import bpy
import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
Pixels = NDArray[np.uint8]


def _flat(array: ArrayLike, dtype: type, shape: tuple[int, ...], what: str) -> NDArray:
    """A contiguous ravelled copy of the right type, or a ValueError that names what does not fit."""
    values: NDArray = np.asarray(array, dtype=dtype)
    if values.shape != shape:
        raise ValueError(f"{what} has the shape {values.shape}, expected {shape}")
    return np.ascontiguousarray(values).ravel()


def mesh_object(
    name: str,
    vertices: ArrayLike,
    faces: ArrayLike | list[NDArray[np.int32]],
    *,
    collection: bpy.types.Collection,
    scale: float = 1.0,
    edges: ArrayLike | None = None,
    smooth: bool = True,
) -> bpy.types.Object:
    """Make a mesh object and link it.

    Parameters
    ----------
    vertices : (n, 3) float
        Millimetres; multiplied by `scale`.
    faces : (m, k) int, or a list of such arrays
        All of one size k, usually triangles; m may be 0. Several sizes go into a list.
    edges : (e, 2) int, optional
        Edges beyond those of the faces, such as sewing edges.
    """
    vertices = np.asarray(vertices, dtype=np.float64).reshape(-1, 3)
    given = faces if isinstance(faces, list) and faces and isinstance(faces[0], np.ndarray) else [faces]
    groups = [np.atleast_2d(np.asarray(group, dtype=np.int32)) for group in given]
    groups = [group for group in groups if group.size]
    edges = np.zeros((0, 2), np.int32) if edges is None else np.asarray(edges, dtype=np.int32).reshape(-1, 2)
    for indices, what in (*((group, "face") for group in groups), (edges, "edge")):
        if indices.size and not 0 <= indices.min() <= indices.max() < len(vertices):
            raise ValueError(f"a {what} of {name} names a vertex that is not there")

    mesh = bpy.data.meshes.new(name)
    mesh.vertices.add(len(vertices))
    mesh.vertices.foreach_set("co", (vertices * scale).astype(np.float32).ravel())
    if len(edges):
        mesh.edges.add(len(edges))
        mesh.edges.foreach_set("vertices", np.ascontiguousarray(edges).ravel())
    if groups:
        corners = np.concatenate([group.ravel() for group in groups])
        sizes = np.concatenate([np.full(len(group), group.shape[1], dtype=np.int32) for group in groups])
        mesh.loops.add(len(corners))
        mesh.loops.foreach_set("vertex_index", corners)
        mesh.polygons.add(len(sizes))
        mesh.polygons.foreach_set("loop_start", np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int32))
    mesh.update(calc_edges=bool(groups), calc_edges_loose=len(edges) > 0)
    if groups:
        shade = mesh.shade_smooth if smooth else mesh.shade_flat
        shade()

    made = bpy.data.objects.new(name, mesh)
    collection.objects.link(made)
    return made


def polygons(faces: ArrayLike, squares: ArrayLike) -> list[NDArray[np.int32]]:
    """Triangles and squares for `mesh_object` from (m, 3) int triangles, of which (q, 2) int pairs are squares."""
    faces, squares = np.asarray(faces, dtype=np.int32), np.asarray(squares, dtype=np.int64).reshape(-1, 2)
    single = np.ones(len(faces), dtype=bool)
    single[squares] = False
    first, second = faces[squares[:, 0]], faces[squares[:, 1]]
    # The second triangle's own corner goes between the two that the first shares with it.
    own = ~(second[:, :, None] == first[:, None, :]).any(axis=2)
    lone = ~(first[:, :, None] == second[:, None, :]).any(axis=2)
    at = lone.argmax(axis=1)
    rows = np.arange(len(first))
    turned = np.column_stack([first[rows, (at + k) % 3] for k in range(3)])
    return [faces[single], np.column_stack([turned[:, :2], second[own], turned[:, 2]]).astype(np.int32)]


def write_vertices(mesh: bpy.types.Mesh, vertices: ArrayLike) -> None:
    """Move all vertices to (n, 3) float, in the mesh's own units."""
    mesh.vertices.foreach_set("co", _flat(vertices, np.float32, (len(mesh.vertices), 3), "the vertex array"))
    mesh.update()


def read_vertices(mesh: bpy.types.Mesh) -> FloatArray:
    """(n, 3) float: where the vertices are, in the mesh's own units."""
    values = np.zeros(len(mesh.vertices) * 3, dtype=np.float32)
    mesh.vertices.foreach_get("co", values)
    return values.reshape(-1, 3).astype(np.float64)


def read_triangles(mesh: bpy.types.Mesh) -> NDArray[np.int64]:
    """(m, 3) int: the faces, larger ones cut into triangles."""
    mesh.calc_loop_triangles()
    values = np.zeros(len(mesh.loop_triangles) * 3, dtype=np.int32)
    mesh.loop_triangles.foreach_get("vertices", values)
    return values.reshape(-1, 3).astype(np.int64)


def evaluated_vertices(thing: bpy.types.Object, depsgraph: bpy.types.Depsgraph) -> FloatArray:
    """(n, 3) float: the vertices after all modifiers and shape keys, in the object's own frame."""
    evaluated = thing.evaluated_get(depsgraph)
    try:
        return read_vertices(evaluated.to_mesh())
    finally:
        evaluated.to_mesh_clear()


def collapsed(room: Room, vertices: ArrayLike, faces: ArrayLike, share: float) -> tuple[FloatArray, NDArray[np.int64]]:
    """A triangle mesh with about that share of its triangles, edges collapsed where the shape suffers least.

    Returns
    -------
    (n, 3) float, (m, 3) int
    """
    thing = mesh_object("collapsed", vertices, faces, collection=room.collection)
    modifier = thing.modifiers.new("fewer", "DECIMATE")
    modifier.ratio = share
    modifier.use_collapse_triangulate = True
    evaluated = thing.evaluated_get(room.depsgraph())
    try:
        mesh = evaluated.to_mesh()
        return read_vertices(mesh), read_triangles(mesh)
    finally:
        evaluated.to_mesh_clear()
        bpy.data.objects.remove(thing)


def corner_uv(mesh: bpy.types.Mesh, name: str, uv: ArrayLike) -> None:
    """Lay (m, 3, 2) float as a UV map over the corners of m triangles; made active."""
    layer = mesh.uv_layers.get(name) or mesh.uv_layers.new(name=name)
    layer.uv.foreach_set("vector", _flat(uv, np.float32, (len(mesh.polygons), 3, 2), "the UV array"))
    mesh.uv_layers.active = layer
    layer.active_render = True


def read_corner_uv(mesh: bpy.types.Mesh, name: str) -> FloatArray:
    """(m, 3, 2) float: the UV map of that name on m triangles."""
    values = np.zeros(len(mesh.loops) * 2, dtype=np.float32)
    mesh.uv_layers[name].uv.foreach_get("vector", values)
    return values.reshape(-1, 3, 2).astype(np.float64)


def colour_attribute(mesh: bpy.types.Mesh, name: str, colours: ArrayLike) -> None:
    """Lay (n, 4) float, linear RGBA 0..1, as the active colour of n vertices."""
    layer = mesh.color_attributes.get(name)
    if layer is None:
        layer = mesh.color_attributes.new(name=name, type="FLOAT_COLOR", domain="POINT")
    layer.data.foreach_set("color", _flat(colours, np.float32, (len(mesh.vertices), 4), "the colour array"))
    mesh.color_attributes.active_color = layer
    mesh.color_attributes.render_color_index = mesh.color_attributes.active_color_index


def vertex_group(thing: bpy.types.Object, name: str, weights: ArrayLike) -> bpy.types.VertexGroup:
    """Make or replace a vertex group from (n,) float weights in 0..1; a weight of 0 is left out."""
    weights = _flat(weights, np.float64, (len(thing.data.vertices),), "the weight array")
    old = thing.vertex_groups.get(name)
    if old is not None:
        thing.vertex_groups.remove(old)
    group = thing.vertex_groups.new(name=name)
    for weight in np.unique(weights[weights > 0]):
        group.add(np.flatnonzero(weights == weight).tolist(), float(weight), "REPLACE")
    return group


def shape_key(thing: bpy.types.Object, name: str, vertices: ArrayLike) -> bpy.types.ShapeKey:
    """Add a shape key with (n, 3) float vertices in the mesh's own units; the first call also makes the basis."""
    if thing.data.shape_keys is None:
        thing.shape_key_add(name="Basis", from_mix=False)
    key = thing.shape_key_add(name=name, from_mix=False)
    key.data.foreach_set("co", _flat(vertices, np.float32, (len(thing.data.vertices), 3), "the vertex array"))
    return key


def image_from_array(name: str, pixels: ArrayLike) -> bpy.types.Image:
    """An sRGB image packed in the file from (h, w, 4) uint8, top row first."""
    pixels = np.asarray(pixels, dtype=np.uint8)
    if pixels.ndim != 3 or pixels.shape[2] != 4:
        raise ValueError(f"a picture has the shape (height, width, 4), not {pixels.shape}")
    height, width, _ = pixels.shape
    image = bpy.data.images.new(name, width, height, alpha=True)
    image.pixels.foreach_set((pixels[::-1].astype(np.float32) / 255.0).ravel())
    image.update()
    return image


def image_to_array(image: bpy.types.Image) -> Pixels:
    """(h, w, 4) uint8, top row first."""
    width, height = image.size
    values = np.zeros(width * height * 4, dtype=np.float32)
    image.pixels.foreach_get(values)
    return np.rint(np.clip(values, 0.0, 1.0).reshape(height, width, 4)[::-1] * 255.0).astype(np.uint8)


def load_png(path: str | Path) -> Pixels:
    """Read a picture file as (h, w, 4) uint8, top row first.

    Raises
    ------
    RuntimeError
        The file is not there, or is no picture: Blender reads that as one without pixels.
    """
    image = bpy.data.images.load(str(path))
    try:
        if not all(image.size):
            raise RuntimeError(f"{path} holds no picture")
        image.alpha_mode = "CHANNEL_PACKED"  # colours stay as stored, whatever the alpha
        return image_to_array(image)
    finally:
        bpy.data.images.remove(image)


def save_png(pixels: ArrayLike, path: str | Path) -> Path:
    """Write (h, w, 4) uint8 as a PNG."""
    image = image_from_array("save", pixels)
    try:
        image.alpha_mode = "CHANNEL_PACKED"
        image.file_format = "PNG"
        image.filepath_raw = str(path)
        image.save()
        return Path(path)
    finally:
        bpy.data.images.remove(image)


@dataclass(frozen=True)
class Room:
    """A temporary scene and the collection that everything in it is linked to."""

    scene: bpy.types.Scene
    collection: bpy.types.Collection

    def depsgraph(self) -> bpy.types.Depsgraph:
        """The scene's evaluated state, brought up to date; a scene that no window shows has none until it is asked."""
        layer = self.scene.view_layers[0]
        layer.update()
        return layer.depsgraph


def _datablocks() -> dict[int, bpy.types.ID]:
    """All datablocks of the open file by their session number."""
    kinds = (getattr(bpy.data, rna.identifier) for rna in bpy.data.bl_rna.properties if rna.type == "COLLECTION")
    return {block.session_uid: block for kind in kinds for block in kind}


# What rooms are furnished with: such data that nobody uses once the room is closed was left over by its own work.
ROOM = "toile_room"  # marks the scene of a room
FURNITURE = {"MESH", "CURVE", "MATERIAL", "IMAGE", "ACTION", "CAMERA", "LIGHT", "WORLD", "OBJECT", "KEY", "FONT"}


@contextmanager
def workroom(name: str) -> Iterator[Room]:
    """Open a temporary scene; on leaving, all that was made for it is deleted, also after an error.

    What others made meanwhile stays: while a drape goes on step by step, the window and other add-ons live on.
    """
    before = set(_datablocks())
    scene = bpy.data.scenes.new(name)
    scene[ROOM] = True
    collection = bpy.data.collections.new(name)
    try:
        scene.collection.children.link(collection)
        yield Room(scene, collection)
    finally:
        made = [block for number, block in _datablocks().items() if number not in before]
        bpy.data.batch_remove(_furniture([block for block in made if not block.is_embedded_data], {scene, collection}))


def clear_rooms() -> None:
    """Take away rooms that were open when the file was saved, as by Blender itself when it is closed during work."""
    for scene in [scene for scene in bpy.data.scenes if scene.get(ROOM)]:
        room = {scene, *scene.collection.children_recursive}
        blocks = [block for block in _datablocks().values() if not block.is_embedded_data]
        bpy.data.batch_remove(_only_used_by(room, blocks))


def _furniture(made: list[bpy.types.ID], room: set[bpy.types.ID]) -> list[bpy.types.ID]:
    """Of these datablocks, the room's own: what only the room uses, in one step or several, and what nobody uses."""
    users = bpy.data.user_map(subset=made)
    left = {block for block in made if block.id_type in FURNITURE and not users[block]}
    return _only_used_by(room | left, made)


def _only_used_by(own: set[bpy.types.ID], blocks: list[bpy.types.ID]) -> list[bpy.types.ID]:
    """These datablocks, and those of the others that nothing but them uses."""
    users = bpy.data.user_map(subset=blocks)
    while True:
        more = {
            block
            for block in blocks
            if block not in own and block.id_type in FURNITURE and users[block]
            if all(user in own or user.is_embedded_data for user in users[block])
        }
        if not more:
            return list(own)
        own = own | more
