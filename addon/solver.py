"""Blender's cloth solver, one frame at a time: panels that remember their flat shape, a body that moves into place.

The solver has hard minima of 1 mm for its distances, so a doll is simulated magnified. Each panel keeps the
edge lengths and the flatness of its draft, whatever shape it starts in: the mesh under the cloth modifier becomes
the flat layout after the first frame, and the "dynamic mesh" setting reads lengths and angles from there.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import bpy
import numpy as np
from numpy.typing import NDArray

from drafting.cloth.law import GRAVITY, steps_needed

from . import bridge

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

Polygons = list[NDArray[np.int32]]
Path = Sequence[tuple[int, FloatArray]]

# The solver's distances have a least of 1 mm, and contacts tremble by a share of that. Every doll is simulated taller
# than a person, where the solver is at home: both are small then, and a robe and one twice as large in cloth of twice
# the bending length are the same to it.
TALL_M = 2.1
DRAG = 10.0  # of the air: the solver takes no more
LAST_FRAME = 100000


@dataclass(frozen=True)
class Settings:
    """What the solver is told. Stiffness and damping are the solver's own units.

    Attributes
    ----------
    magnified : float
        How many times as large as the doll the solver's world is; see `magnified`.
    vertex_mass : float
        Mass of a vertex: the solver's own default, which its damping is made for.
    inertia : float
        How much more sluggish a vertex is than it is heavy. Where drag rules all motion it changes nothing but the
        steps that stiff cloth needs: a fourfold one halves them. Only under a weight that stays.
    tension, shear : float
        Resistance to stretching along the threads and on the bias. Woven cloth hardly stretches along its threads,
        so as stiff as the solver can solve; it shears some tens of times as easily.
    bending : float
        Resistance to folding.
    bending_under : float or None
        The same of an under-garment's cloth; None where it is as the other.
    sewing_force : float
        Largest pull of one stitch; never 0, which means without bound.
    quality : int
        Steps a frame, or more where the cloth is so stiff that it would tremble of itself (`steps_needed`). Contacts
        push a fixed way at each step: more steps make the cloth tremble too.
    most_steps : int
        A frame with more steps is gone through in parts. Only where neither the doll nor the layout moves: these know
        whole frames only.
    gap_mm, self_gap_mm : float
        Skin to cloth and cloth to cloth, at the solver's size; 1 mm is its least. Layers closer than 3 mm slip through
        each other under the sash.
    outward : bool
        The skin pushes cloth out of the doll, as it should where a little has sunk in. A doll as flat as paper must
        push both ways: cloth on its front would be pushed out at its back.
    """

    magnified: float = 5.0
    vertex_mass: float = 0.3
    inertia: float = 1.0
    tension: float = 3000.0
    shear: float = 10.0
    bending: float = 2.0
    bending_under: float | None = None
    tension_damping: float = 5.0
    bending_damping: float = 0.1
    air_damping: float = 0.5
    sewing_force: float = 2000.0
    quality: int = 5
    most_steps: int = 1000
    collision_quality: int = 2
    gap_mm: float = 2.0
    self_gap_mm: float = 3.0
    friction: float = 0.5
    outward: bool = True

    def at_rest(self) -> Settings:
        """Once dressed: fewer steps and gentler stitches, so that contacts tremble less; the friction of cloth at rest;
        the drag that stops a swinging skirt within a swing.
        """
        return replace(self, quality=3, friction=20.0, air_damping=DRAG, sewing_force=500.0)

    def lighter(self, share: float) -> Settings:
        """The same cloth with a share of the mass and of every force: only the drag of the air weighs more."""
        forces = ("vertex_mass", "tension", "shear", "bending", "tension_damping", "bending_damping", "sewing_force")
        under = None if self.bending_under is None else share * self.bending_under
        return replace(self, bending_under=under, **{name: share * getattr(self, name) for name in forces})

    @property
    def bendings(self) -> tuple[float, float]:
        """Resistance to folding of the garment and of what is under it."""
        return self.bending, self.bending if self.bending_under is None else self.bending_under


def magnified(height_mm: float) -> float:
    """How many times as large a doll is simulated."""
    return 1000.0 * TALL_M / height_mm


class ClothRun:
    """A cloth and a body in a scene of their own, stepped from Python.

    Parameters
    ----------
    faces : list of (f, k) int
        The cloth's triangles and squares. The sides of both are threads, the diagonals of squares are bias.
    layouts : sequence of (n, 3) float
        Where the cloth starts, mm; the flat layout that gives edge lengths from frame 2 on, and those that `draw`
        leads to (the sash shorter).
    stitches : (k, 2) int
        Vertex pairs that are pulled together.
    skin_faces : (m, 3) int
        The body's triangles.
    poses : sequence of (frame, (p, 3) float)
        The body's vertices at certain frames, mm; straight lines between.
    weight : sequence of (frame, share)
        The pull of the earth at certain frames as a share of its true value; straight lines between.
    held : (h,) int, optional
        Vertices that stay where they start.
    under : (u,) int, optional
        Vertices of an under-garment.
    """

    def __init__(
        self,
        room: bridge.Room,
        faces: Polygons,
        layouts: Sequence[FloatArray],
        stitches: IntArray,
        skin_faces: IntArray,
        poses: Path,
        weight: Sequence[tuple[int, float]],
        settings: Settings,
        held: IntArray | None = None,
        under: IntArray | None = None,
    ) -> None:
        self.seconds = 0.0
        self._room = room
        self._scale = settings.magnified / 1000.0
        self._frame = self._scene_frame = self._parts = 1
        room.scene.frame_start = 1
        room.scene.frame_end = LAST_FRAME
        room.scene.gravity = (0.0, 0.0, -GRAVITY)
        self._collider(skin_faces, poses, settings)
        self._cloth(faces, layouts, stitches, weight, settings)
        if held is not None:
            bridge.vertex_group(self._object, "held", np.isin(np.arange(len(layouts[0])), held))
            self._own.vertex_group_mass = "held"
        if under is not None and len(under):
            own, beneath = settings.bendings
            stiffer = np.isin(np.arange(len(layouts[0])), under, invert=own > beneath)
            bridge.vertex_group(self._object, "stiffer", stiffer)
            self._own.vertex_group_bending = "stiffer"
        room.scene.frame_set(1)

    @property
    def frame(self) -> int:
        """The frame reached."""
        return self._frame

    def step(self) -> FloatArray:
        """Goes one frame on; (n, 3) float mm."""
        for _ in self.parts():
            pass
        return self.positions()

    def parts(self) -> Iterator[int]:
        """Goes one frame on in as many parts as it was tuned to, so that a window can live between them."""
        self._frame += 1
        for part in range(self._parts):
            begun = time.perf_counter()
            self._scene_frame += 1
            self._room.scene.frame_set(self._scene_frame)
            self.seconds += time.perf_counter() - begun
            yield part

    def positions(self) -> FloatArray:
        """(n, 3) float: where the vertices are, mm."""
        return bridge.evaluated_vertices(self._object, self._room.depsgraph()) / self._scale

    def _collider(self, faces: IntArray, poses: Path, settings: Settings) -> None:
        body = bridge.mesh_object("body", poses[0][1], faces, collection=self._room.collection, scale=self._scale)
        _animate(body, poses, self._scale)
        body.modifiers.new("body", "COLLISION")
        body.collision.cloth_friction = settings.friction
        body.collision.damping = 0.5
        self._skin = body.collision

    def _cloth(
        self,
        faces: Polygons,
        layouts: Sequence[FloatArray],
        stitches: IntArray,
        weight: Sequence[tuple[int, float]],
        settings: Settings,
    ) -> None:
        cloth = bridge.mesh_object(
            "cloth", layouts[0], faces, collection=self._room.collection, scale=self._scale, edges=stitches
        )
        _animate(cloth, list(enumerate(layouts, start=1)), self._scale, keyed=2)
        modifier = cloth.modifiers.new("cloth", "CLOTH")
        modifier.point_cache.frame_start = 1
        modifier.point_cache.frame_end = LAST_FRAME
        self._own, self._collision = modifier.settings, modifier.collision_settings
        # A scene's gravity is not read again while a scene is stepped; the cloth's own share of it is.
        for frame, share in weight:
            self._own.effector_weights.gravity = share
            self._own.effector_weights.keyframe_insert("gravity", frame=frame)
        _straighten(cloth)
        self._own.use_dynamic_mesh = True
        self._own.use_sewing_springs = True
        self.tune(settings)
        self._object = cloth
        self._layouts = [block.frame for block in cloth.data.shape_keys.key_blocks[1:]]

    def draw(self, layout: int, share: float) -> None:
        """From the next frame on, edge lengths lie at this share of the way from the layout before to this one.

        Not at frame 1: there the cloth would begin as the flat layout.
        """
        keys = self._object.data.shape_keys
        before, after = self._layouts[layout - 1], self._layouts[layout]
        keys.eval_time = before + share * (after - before)
        keys.keyframe_insert("eval_time", frame=self._scene_frame + 1)

    def tune(self, settings: Settings) -> None:
        """Hands all numbers to the solver."""
        own, collision = self._own, self._collision
        own.mass = mass = settings.inertia * settings.vertex_mass
        if settings.inertia != 1.0:
            own.effector_weights.gravity = 1.0 / settings.inertia
            own.effector_weights.keyframe_insert("gravity", frame=self._scene_frame + 1)
        steps = max(settings.quality, steps_needed(max(settings.bendings), mass))
        self._parts = math.ceil(steps / settings.most_steps)
        own.time_scale, own.quality = 1.0 / self._parts, math.ceil(steps / self._parts)
        own.bending_model = "ANGULAR"
        own.tension_stiffness = own.compression_stiffness = settings.tension
        own.shear_stiffness = settings.shear
        own.tension_damping = own.compression_damping = own.shear_damping = settings.tension_damping
        own.bending_stiffness = min(settings.bendings)
        own.bending_stiffness_max = max(settings.bendings)
        own.bending_damping = settings.bending_damping
        own.air_damping = settings.air_damping
        own.sewing_force_max = settings.sewing_force
        collision.collision_quality = settings.collision_quality
        collision.distance_min = self._skin.thickness_outer = settings.gap_mm / 1000.0
        self._skin.use_culling = settings.outward
        collision.use_self_collision = True
        collision.self_distance_min = settings.self_gap_mm / 1000.0
        collision.self_friction = settings.friction
        collision.friction = settings.friction


def _animate(thing: bpy.types.Object, path: Path, scale: float, keyed: int | None = None) -> None:
    """Moves a mesh along straight lines from one set of vertices to the next; only the first `keyed` by themselves."""
    blocks = [bridge.shape_key(thing, f"at frame {frame}", vertices * scale) for frame, vertices in path]
    keys = thing.data.shape_keys
    keys.use_relative = False
    for (frame, _), block in list(zip(path, blocks, strict=True))[:keyed]:
        block.interpolation = "KEY_LINEAR"
        keys.eval_time = block.frame
        keys.keyframe_insert("eval_time", frame=frame)
    _straighten(keys)


def _straighten(block: bpy.types.ID) -> None:
    """Straight lines between all keyframes."""
    for curve in _curves(block):
        for point in curve.keyframe_points:
            point.interpolation = "LINEAR"


def _curves(block: bpy.types.ID) -> list[bpy.types.FCurve]:
    """The animation curves of a datablock, in layered actions as in the older flat ones."""
    action = block.animation_data.action
    if hasattr(action, "fcurves"):
        return list(action.fcurves)
    bags = (bag for layer in action.layers for strip in layer.strips for bag in strip.channelbags)
    return [curve for bag in bags for curve in bag.fcurves]
