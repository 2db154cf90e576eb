"""The stage: a doll, its cloth, a camera and light, in a scene of their own.

Every doll is scaled to a height of two units, so that light, shadows and the renderer's limits treat a doll of
270 mm as one of 600 mm; the cameras still speak millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import bpy
import numpy as np
from mathutils import Matrix, Vector
from numpy.typing import ArrayLike, NDArray

from drafting.cloth.mesh import ClothMesh

from .. import bridge
from ..bridge import FloatArray, Pixels
from . import colour, engine
from .colour import Colour

TALL = 2.0  # scene units from sole to crown

CREASE = 70.0  # degrees between two faces from which cloth shows an edge

RESIN: Colour = (0.87, 0.73, 0.64)  # warm and neutral, as dolls are cast
FORM: Colour = (0.86, 0.85, 0.83)  # a plain dress form
INDIGO: Colour = (0.27, 0.38, 0.55)
WALL: Colour = (0.955, 0.948, 0.938)
BACKDROPS: dict[str, tuple[str, Colour | None]] = {
    "wall": ("Plain wall", WALL),
    "white": ("White", (1.0, 1.0, 1.0)),
    "sand": ("Sand", (0.86, 0.79, 0.70)),
    "slate": ("Slate", (0.27, 0.29, 0.33)),
    "none": ("Transparent", None),
}


@dataclass(frozen=True)
class Dress:
    """How the cloth looks.

    Attributes
    ----------
    colour : Colour
        SRGB, 0..1.
    vertex_colours : (n, 3) float, optional
        SRGB for each cloth vertex; stands in for `colour`.
    image : (h, w, 4) uint8, optional
        Printed cloth, laid by `uv`; stands in for `colour`.
    uv : (m, 3, 2) float, optional
        For each face corner.
    thickness_mm : float
        Shown at the hems.
    seams : bool
        Draw the panels' borders as fine darker lines.
    """

    colour: Colour = INDIGO
    vertex_colours: FloatArray | None = None
    image: Pixels | None = None
    uv: FloatArray | None = None
    thickness_mm: float = 0.25
    seams: bool = True


@dataclass(frozen=True)
class Doll:
    """One figure on the stage.

    Attributes
    ----------
    vertices : (n, 3) float
        Skin, mm.
    faces : (m, 3) int
    colour : Colour
        Of the skin.
    under : ClothMesh, optional
        An under-garment, in `under_dress`.
    """

    vertices: FloatArray
    faces: NDArray[np.int64]
    cloth: ClothMesh | None = None
    dress: Dress = Dress()
    colour: Colour = RESIN
    under: ClothMesh | None = None
    under_dress: Dress = Dress()

    @property
    def worn(self) -> list[tuple[ClothMesh, Dress]]:
        """What it wears, from the body outwards."""
        both = ((self.under, self.under_dress), (self.cloth, self.dress))
        return [(cloth, dress) for cloth, dress in both if cloth is not None]

    @property
    def points(self) -> FloatArray:
        """(k, 3) float: everything that must be in the picture, mm."""
        return np.concatenate([self.vertices, *(cloth.vertices for cloth, _ in self.worn)])


@dataclass(frozen=True)
class View:
    """Where the camera looks from and how much it sees, mm.

    Attributes
    ----------
    turn : float
        Degrees round the doll: 0 front, 90 the doll's left side, 180 back.
    pitch : float
        Degrees that the camera looks down.
    centre : (3,) float
        The point in the middle of the picture.
    span : float
        Millimetres across the picture's longer side.
    lens_mm : float
        Focal length on a 36 mm film; 0 for parallel rays.
    """

    turn: float
    centre: FloatArray
    span: float
    pitch: float = 0.0
    lens_mm: float = 0.0


@dataclass(frozen=True)
class Stage:
    """An open stage; `shoot` takes pictures of it."""

    room: bridge.Room
    scale: float
    rig: bpy.types.Object | None = None

    def shoot(self, view: View, width: int, height: int) -> Pixels:
        """(height, width, 4) uint8 with straight alpha, seen as `view` says."""
        scene = self.room.scene
        scene.camera = scene.camera or self._camera()
        if self.rig is not None:
            self.rig.rotation_euler.z = np.radians(view.turn)
        camera, span = scene.camera.data, view.span * self.scale
        distance = 6.0 * TALL if view.lens_mm == 0.0 else span * view.lens_mm / camera.sensor_width
        camera.type = "PERSP" if view.lens_mm else "ORTHO"
        camera.lens = view.lens_mm or 50.0
        camera.ortho_scale = span
        camera.clip_start, camera.clip_end = 0.02 * distance, 3.0 * distance
        pose = Matrix.Rotation(np.radians(view.turn), 4, "Z") @ Matrix.Rotation(np.radians(90.0 - view.pitch), 4, "X")
        scene.camera.matrix_world = (
            Matrix.Translation(np.asarray(view.centre) * self.scale) @ pose @ Matrix.Translation((0.0, 0.0, distance))
        )
        return engine.render(scene, width, height)

    def _camera(self) -> bpy.types.Object:
        made = bpy.data.objects.new("camera", bpy.data.cameras.new("camera"))
        self.room.collection.objects.link(made)
        return made


def framing(dolls: Sequence[Doll], *, margin: float = 0.07) -> tuple[FloatArray, float]:
    """One frame that holds every doll from any side: its centre (x = y = 0) and span, mm."""
    points = np.concatenate([doll.points for doll in dolls])
    low, high = points.min(axis=0), points.max(axis=0)
    across = 2.0 * np.abs(points[:, :2]).max()
    span = max(high[2] - low[2], across) * (1.0 + 2.0 * margin)
    return np.array([0.0, 0.0, 0.5 * (low[2] + high[2])]), float(span)


@contextmanager
def stage(dolls: Sequence[Doll], *, which: str | None = None, samples: int = 16) -> Iterator[Stage]:
    """Set the dolls up, all on the same spot, lit for `which` engine; take them down again on leaving."""
    which = which or engine.quick()
    height = max(float(np.ptp(doll.vertices[:, 2])) for doll in dolls)
    with bridge.workroom("studio") as room:
        engine.use(room.scene, which, samples)
        for doll in dolls:
            put(doll, room.collection, TALL / height)
        yield Stage(room, TALL / height, light(room, which))


def put(doll: Doll, collection: bpy.types.Collection, scale: float) -> None:
    """Stand one doll in its cloth on the stage."""
    skin = bridge.mesh_object("skin", doll.vertices, doll.faces, collection=collection, scale=scale)
    wear(skin, "skin", doll.colour, roughness=0.45)
    for cloth, dress in doll.worn:
        put_cloth(cloth, dress, collection, scale)


def put_cloth(cloth: ClothMesh, dress: Dress, collection: bpy.types.Collection, scale: float) -> None:
    """Hang one garment on the stage."""
    made = bridge.mesh_object("cloth", cloth.vertices, cloth.faces, collection=collection, scale=scale)
    made.data.set_sharp_from_angle(angle=np.radians(CREASE))  # a fold is an edge, not a smear of shade
    if dress.uv is not None:
        bridge.corner_uv(made.data, "cloth", dress.uv)
    if dress.vertex_colours is not None:
        bridge.colour_attribute(made.data, "cloth", colour.paint(dress.vertex_colours))
    wear(made, "cloth", dress.colour, image=dress.image, varied=dress.vertex_colours is not None, roughness=0.9)
    solid = made.modifiers.new("thickness", "SOLIDIFY")
    solid.thickness, solid.offset = dress.thickness_mm * scale, 1.0
    if dress.seams and cloth.edges:
        points, faces = seam_lines(cloth, dress.thickness_mm, radius=0.0011 / scale)
        lines = bridge.mesh_object("seams", points, faces, collection=collection, scale=scale)
        wear(lines, "seams", colour.mix(dress.colour, (0.0, 0.0, 0.0), 0.35), roughness=0.9)


def wear(
    thing: bpy.types.Object,
    name: str,
    shade: Colour,
    *,
    roughness: float,
    image: Pixels | None = None,
    varied: bool = False,
) -> None:
    """Give an object its colour, for Workbench and for Cycles alike."""
    material = bpy.data.materials.new(name)
    material.diffuse_color = thing.color = colour.paint(shade)
    material.roughness = roughness
    if bpy.app.version < (5, 0, 0):
        material.use_nodes = True
    tree = material.node_tree
    surface = next(node for node in tree.nodes if node.type == "BSDF_PRINCIPLED")
    surface.inputs["Base Color"].default_value = colour.paint(shade)
    surface.inputs["Roughness"].default_value = roughness
    if image is not None:
        source = tree.nodes.new("ShaderNodeTexImage")
        source.image = bridge.image_from_array("print", image)
        tree.nodes.active = source
        tree.links.new(source.outputs["Color"], surface.inputs["Base Color"])
    elif varied:
        source = tree.nodes.new("ShaderNodeVertexColor")
        source.layer_name = "cloth"
        tree.links.new(source.outputs["Color"], surface.inputs["Base Color"])
    thing.data.materials.append(material)


def light(room: bridge.Room, which: str) -> bpy.types.Object | None:
    """A plain studio: one large soft key, a fill and a bright room; returns the rig that turns with the camera."""
    if which == engine.CYCLES:
        return _lamps(room)
    shading = room.scene.display.shading
    shading.light, shading.studio_light = "STUDIO", "paint.sl"
    shading.color_type, shading.show_specular_highlight = "MATERIAL", False
    shading.show_cavity, shading.cavity_type = True, "BOTH"
    shading.cavity_ridge_factor, shading.cavity_valley_factor = 0.4, 1.0
    shading.curvature_ridge_factor, shading.curvature_valley_factor = 0.3, 0.8
    shading.show_shadows, shading.shadow_intensity = True, 0.25
    room.scene.display.matcap_ssao_distance = 0.1
    return None


LAMPS = (  # (from, watts, metres across): before the doll, its left at +x; the key from the upper left of the picture
    ((-2.0, -3.2, 5.0), 270.0, 2.4),
    ((3.8, -2.6, 2.2), 36.0, 3.0),
    ((1.8, 3.0, 4.4), 50.0, 2.0),
)


def _lamps(room: bridge.Room) -> bpy.types.Object:
    """The same studio for rays: key, fill and rim on one rig, and a floor that only takes shadows."""
    sky = room.scene.world = bpy.data.worlds.new("room")
    if bpy.app.version < (5, 0, 0):
        sky.use_nodes = True
    ground = next(node for node in sky.node_tree.nodes if node.type == "BACKGROUND")
    ground.inputs["Color"].default_value, ground.inputs["Strength"].default_value = (1.0, 0.99, 0.98, 1.0), 0.3
    rig = bpy.data.objects.new("rig", None)
    room.collection.objects.link(rig)
    for place, watts, across in LAMPS:
        lamp = bpy.data.lights.new("lamp", "AREA")
        lamp.energy, lamp.size = watts, across
        held = bpy.data.objects.new("lamp", lamp)
        held.parent = rig
        aim = (Vector(place) - Vector((0.0, 0.0, 0.5 * TALL))).to_track_quat("Z", "Y")
        held.matrix_local = Matrix.Translation(place) @ aim.to_matrix().to_4x4()
        room.collection.objects.link(held)
    floor = [[-6.0, -6.0, 0.0], [6.0, -6.0, 0.0], [6.0, 6.0, 0.0], [-6.0, 6.0, 0.0]]
    catcher = bridge.mesh_object("floor", floor, np.arange(4)[None], collection=room.collection)
    catcher.is_shadow_catcher = True
    return rig


def normals(vertices: FloatArray, faces: ArrayLike) -> FloatArray:
    """(n, 3) float: unit normals of the vertices, weighted by area."""
    corners = vertices[np.asarray(faces)]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    summed = np.zeros_like(vertices)
    for corner in np.asarray(faces).T:
        np.add.at(summed, corner, across)
    return summed / np.maximum(np.linalg.norm(summed, axis=1, keepdims=True), 1e-12)


def seam_lines(cloth: ClothMesh, thickness_mm: float, radius: float, sides: int = 6) -> tuple[FloatArray, FloatArray]:
    """Thin rods along every drafted edge: (k, 3) float mm and (q, 4) int faces."""
    pairs = np.concatenate([np.stack([line[:-1], line[1:]], axis=1) for line in cloth.edges.values()])
    pairs = np.unique(np.sort(pairs, axis=1), axis=0)
    raised = cloth.vertices + normals(cloth.vertices, cloth.faces) * thickness_mm
    start, end = raised[pairs[:, 0]], raised[pairs[:, 1]]
    along = (end - start) / np.maximum(np.linalg.norm(end - start, axis=1, keepdims=True), 1e-12)
    least = np.eye(3)[np.abs(along).argmin(axis=1)]
    across = np.cross(along, least)
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    other = np.cross(along, across)
    angles = 2.0 * np.pi * np.arange(sides) / sides
    ring = radius * (np.cos(angles)[:, None, None] * across + np.sin(angles)[:, None, None] * other)
    points = np.concatenate([start + ring, end + ring]).transpose(1, 0, 2)  # (pair, 2 sides, 3)
    corner = np.arange(sides)
    quad = np.stack([corner, (corner + 1) % sides, (corner + 1) % sides + sides, corner + sides], axis=1)
    faces = (2 * sides * np.arange(len(pairs)))[:, None, None] + quad
    return points.reshape(-1, 3), faces.reshape(-1, 4)
