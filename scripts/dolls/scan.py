"""A jointed doll as a scanner gives it: parts on ball joints, small gaps, a little noise, one hole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, pi, radians, sin

import numpy as np

from .anatomy import body
from .bodies import BOUNDS
from .field import MIRROR, Field, FloatArray, ball, carve, dot, soft_min, strand
from .forms import Form
from .meshing import IntArray, gradient, mesh, surface

GAP_MM = 0.6
NOISE_MM = 0.1
HOLE_MM = 3.5  # radius
CELL = 1 / 420
VERTICES_PER_MM2 = 0.22
SEED = 20


@dataclass(frozen=True)
class Joint:
    """A cut through a limb: the ball's centre, the direction away from the trunk, the ball's radius, in shares.

    `limb` bounds the flesh beyond the cut where the plane alone would also cut other parts.
    """

    centre: FloatArray
    away: FloatArray
    radius: float
    limb: Field | None = None

    def beyond(self, points: FloatArray) -> FloatArray:
        """Distance from what lies beyond the cut, below 0 there."""
        plane = dot(self.centre - points, self.away)
        return plane if self.limb is None else np.maximum(plane, self.limb(points))

    def ball(self, grow: float = 0.0) -> Field:
        return ball(self.centre, self.radius + grow)

    def mirrored(self) -> Joint:
        limb = self.limb
        other = None if limb is None else (lambda points: limb(points * MIRROR))
        return Joint(self.centre * MIRROR, self.away * MIRROR, self.radius, other)


def arm_joints(form: Form) -> list[Joint]:
    """Shoulder, elbow and wrist of the left arm."""
    f, t = form, radians(form.arm_below_level)
    way = np.array([cos(t), 0.0, -sin(t)])
    start = np.array([f.shoulder_half, 0.008, f.shoulder])
    sleeve = strand([start, start + (f.upper_arm + f.forearm) * way, start + way], (0.036, 0.06, 0.06))
    elbow, wrist = f.upper_arm, f.upper_arm + f.forearm
    return [
        Joint(start + 0.022 * way, way, 0.80 * f.upper_arm_girth / (2 * pi), sleeve),
        Joint(start + elbow * way, way, 0.84 * f.elbow_girth / (2 * pi), sleeve),
        Joint(start + wrist * way, way, 0.74 * f.wrist_girth / (2 * pi), sleeve),
    ]


def leg_joints(form: Form) -> list[Joint]:
    """Thigh, knee and ankle of the left leg, each cut level."""
    f, down = form, np.array([0.0, 0.0, -1.0])
    side = lambda points: -points[:, 0]  # noqa: E731 - the left half
    return [
        Joint(np.array([f.leg_half, 0.0, f.crotch - 0.028]), down, 0.80 * f.thigh_girth / (2 * pi), side),
        Joint(np.array([f.leg_half + 0.001, 0.005, f.knee - 0.012]), down, 0.80 * f.knee_girth / (2 * pi), side),
        Joint(np.array([f.leg_half + 0.003, 0.013, f.ankle + 0.018]), down, 0.80 * f.ankle_girth / (2 * pi), side),
    ]


def parts(form: Form) -> Iterator[Field]:
    """Every hard part and every ball, each a closed body of its own, in shares of the height."""
    gap = GAP_MM / form.height_mm
    whole = body(form)
    rest = whole
    for joints in (arm_joints(form), leg_joints(form)):
        for chain in (joints, [joint.mirrored() for joint in joints]):
            limb, rest = split(rest, chain[0], gap)
            for joint in chain[1:]:
                further, limb = split(limb, joint, gap)
                yield limb
                limb = further
            yield limb
            yield from (joint.ball() for joint in chain)
    neck = Joint(np.array([0, 0.010, form.neck_base + 0.008]), np.array([0, 0, 1.0]), 0.80 * form.neck_girth / (2 * pi))
    waist = Joint(np.array([0, 0.0, form.waist - 0.012]), np.array([0, 0, 1.0]), 0.55 * form.waist_girth / (2 * pi))
    upper, pelvis = split(rest, waist, gap)
    head, chest = split(upper, neck, gap)
    yield from (pelvis, chest, head, waist.ball(), neck.ball())


def split(flesh: Field, joint: Joint, gap: float) -> tuple[Field, Field]:
    """What lies beyond the joint and what lies before it, edges rounded, both hollowed for the ball."""
    edge = 2.5 * gap
    ball_room = joint.ball(gap)

    def beyond(points: FloatArray) -> FloatArray:
        return -soft_min(-flesh(points), -joint.beyond(points) - gap / 2, edge)

    def before(points: FloatArray) -> FloatArray:
        return -soft_min(-flesh(points), joint.beyond(points) - gap / 2, edge)

    return carve(0.3 * gap, beyond, ball_room), carve(0.3 * gap, before, ball_room)


def scan(form: Form) -> tuple[FloatArray, IntArray]:
    """All parts as one soup of closed meshes with noise along the normal and one hole in the back; mm, z up."""
    chance = np.random.default_rng(SEED)
    points: list[FloatArray] = []
    triangles: list[IntArray] = []
    for part in parts(form):
        vertices, faces = part_mesh(part, form.height_mm)
        triangles.append(faces + sum(map(len, points)))
        normal = gradient(part, vertices / form.height_mm, 1e-5)
        normal /= np.linalg.norm(normal, axis=1, keepdims=True)
        points.append(vertices + NOISE_MM * chance.standard_normal((len(vertices), 1)) * normal)
    return punched(np.concatenate(points), np.concatenate(triangles), form)


def part_mesh(part: Field, height: float) -> tuple[FloatArray, IntArray]:
    """One part in mm with vertices in proportion to its area."""
    rough, faces = surface(part, BOUNDS, 3 * CELL)
    a, b, c = rough[faces.T]
    area = height**2 * np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2
    bounds = np.array([rough.min(0) - 2 * CELL, rough.max(0) + 2 * CELL])
    vertices, faces = mesh(part, bounds, CELL, int(VERTICES_PER_MM2 * area) + 100)
    return vertices * height, faces


def punched(vertices: FloatArray, faces: IntArray, form: Form) -> tuple[FloatArray, IntArray]:
    """Without the triangles round a spot between waist and shoulder blades, as where light did not reach."""
    level = 0.5 * (form.underbust + form.bust) * form.height_mm
    near = np.hypot(vertices[:, 0] - 0.03 * form.height_mm, vertices[:, 2] - level)
    hole = (near < HOLE_MM) & (vertices[:, 1] > 0.03 * form.height_mm)
    faces = faces[~hole[faces].any(1)]
    used, compact = np.unique(faces, return_inverse=True)
    return vertices[used], compact.reshape(faces.shape)
