"""How a doll is held while it is dressed: arms spread to the sides, then flat like a paper doll.

A robe starts folded flat. The doll inside it starts spread and flattened, so that nothing touches, then swells to
its true depth and lowers its arms to their true place. Only the last pose matters: it is the scanned skin itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .body import SIDES, Arm, Body, Part

FloatArray = NDArray[np.float64]

ARMS = {"left": Part.ARM_LEFT, "right": Part.ARM_RIGHT}
# The shoulder turns as a whole inside this share of the upper arm's length, on either side of the joint.
JOINT_BLEND = 0.25


@dataclass(frozen=True)
class Spread:
    """Angles that turn both arms to the sides, about the shoulder joints.

    Attributes
    ----------
    weight : side -> (n,) float
        How far each skin vertex follows that arm, 0 to 1.
    axis : side -> (3,) float
        Unit axis of the turn.
    angle : side -> float
        Degrees from the scanned pose to the spread one.
    """

    weight: dict[str, FloatArray]
    axis: dict[str, FloatArray]
    angle: dict[str, float]


def spread_of(body: Body) -> Spread:
    """The turns that bring both arms to the sides, straight out along X."""
    weight, axis, angle = {}, {}, {}
    for side in SIDES:
        if side not in body.arms:
            continue
        arm = body.arms[side]
        axis[side], angle[side] = _turn_to_side(arm, 1.0 if side == "left" else -1.0)
        weight[side] = _follow(body, side, arm)
    return Spread(weight, axis, angle)


def pose(body: Body, spread: Spread, turned: float, depth: float = 1.0) -> FloatArray:
    """Skin vertices with arms turned and depth flattened.

    Parameters
    ----------
    turned : float
        0 the scanned pose, 1 the arms straight out to the sides.
    depth : float
        1 the true depth; smaller values flatten the body towards its middle plane, front to back.

    Returns
    -------
    (n, 3) float
        Millimetres. `pose(body, spread, 0)` is the skin itself, bit for bit.
    """
    points = body.skin.vertices
    if turned:
        for side, weight in spread.weight.items():
            turn = np.radians(spread.angle[side]) * turned * weight
            points = _rotate(points, body.arms[side].axis[0], spread.axis[side], turn)
    if depth == 1.0:
        return points
    middle = _middle_depth(body)
    flat = points.copy()
    flat[:, 1] = middle + depth * (points[:, 1] - middle)
    return flat


def _middle_depth(body: Body) -> float:
    """Y of the plane that the body is flattened to: through the shoulder joints, else the trunk's middle."""
    joints = [arm.axis[0][1] for arm in body.arms.values()]
    if joints:
        return float(np.mean(joints))
    trunk = body.skin.vertices[body.parts == Part.TRUNK]
    return float(0.5 * (trunk[:, 1].min() + trunk[:, 1].max()))


def _turn_to_side(arm: Arm, outwards: float) -> tuple[FloatArray, float]:
    """Axis and angle that turn the joint-to-wrist direction onto the outward X axis."""
    wrist = point_along(arm.axis, arm.wrist)
    now = (wrist - arm.axis[0]) / np.linalg.norm(wrist - arm.axis[0])
    aim = np.array([outwards, 0.0, 0.0])
    axis = np.cross(now, aim)
    size = np.linalg.norm(axis)
    if size < 1e-9:
        return np.array([0.0, 1.0, 0.0]), 0.0
    return axis / size, float(np.degrees(np.arctan2(size, now @ aim)))


def point_along(line: FloatArray, distance: float) -> FloatArray:
    """(3,) float: the point at a walked distance along a polyline, clamped to its ends."""
    walked = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    return np.array([np.interp(distance, walked, line[:, k]) for k in range(3)])


def _follow(body: Body, side: str, arm: Arm) -> FloatArray:
    """How far each vertex follows the arm: all of the arm beyond the joint, the trunk only close beside it."""
    joint = arm.axis[0]
    elbow = point_along(arm.axis, arm.elbow)
    along = (elbow - joint) / np.linalg.norm(elbow - joint)
    outwards = np.array([1.0 if side == "left" else -1.0, 0.0, 0.0])
    blend = JOINT_BLEND * arm.elbow
    offset = body.skin.vertices - joint
    arm_share = _rise(offset @ along, blend)
    beside = _rise(offset @ outwards, blend) * np.clip(2.0 - np.linalg.norm(offset, axis=1) / (2.0 * blend), 0.0, 1.0)
    return np.select([body.parts == ARMS[side], body.parts == Part.TRUNK], [arm_share, arm_share * beside], 0.0)


def _rise(distance: FloatArray, blend: float) -> FloatArray:
    """Smooth step from 0 at -blend to 1 at +blend."""
    share = np.clip((distance + blend) / (2.0 * blend), 0.0, 1.0)
    return share * share * (3.0 - 2.0 * share)


def _rotate(points: FloatArray, centre: FloatArray, axis: FloatArray, angle: FloatArray) -> FloatArray:
    """Turns each point by its own angle (radians) about one axis (Rodrigues' formula)."""
    offset = points - centre
    cos, sin = np.cos(angle)[:, None], np.sin(angle)[:, None]
    along = (offset @ axis)[:, None] * axis
    turned = centre + offset * cos + np.cross(axis, offset) * sin + along * (1.0 - cos)
    return np.where(angle[:, None] == 0.0, points, turned)
