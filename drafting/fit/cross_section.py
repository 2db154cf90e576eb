"""What a plane through a level shows: skin and cloth, and the room between them all round."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..body.body import SIDES, Body, Part
from ..cloth.mesh import ClothMesh
from .arm import girth_station, place
from .girth import UP, of_roles
from .level import ARM_LEVELS
from .section import cut

FloatArray = NDArray[np.float64]

WAYS = {"front": 270.0, "left": 0.0, "back": 90.0, "right": 180.0}  # degrees in a section of the trunk, seen from above
ARMS = {"left": (Part.ARM_LEFT,), "right": (Part.ARM_RIGHT,)}
TRUNK = (Part.TRUNK, Part.LEG_LEFT, Part.LEG_RIGHT)


@dataclass(frozen=True)
class Room:
    """The room in one direction: from a point of the skin straight out to the nearest cloth, mm."""

    way: str
    skin: FloatArray
    cloth: FloatArray

    @property
    def mm(self) -> float:
        """How far that is."""
        return float(np.linalg.norm(self.cloth - self.skin))


@dataclass(frozen=True)
class CrossSection:
    """Body and garment cut at one level.

    Attributes
    ----------
    skin, cloth : (k, 2, 3) float
        Straight pieces of the cut, mm.
    middle : (3,) float
        The middle of the skin's cut.
    across : (2, 3) float
        The plane's own directions: the body's left and back; round an arm two that are square to it.
    rooms : tuple of Room
        Towards front, left, back and right where there is cloth; none where cloth lies under the skin.
    """

    level: str
    skin: FloatArray
    cloth: FloatArray
    middle: FloatArray
    across: FloatArray
    rooms: tuple[Room, ...]

    def flat(self, points: FloatArray) -> FloatArray:
        """(..., 2) float: points of the plane, measured from its middle, mm."""
        flat: FloatArray = (points - self.middle) @ self.across.T
        return flat


def read_cross_section(cloth: ClothMesh, body: Body, level: str) -> CrossSection | None:
    """Cut body and garment where a girth was taken: level through the trunk, square to the left arm (else the right).

    Returns
    -------
    CrossSection or None
        None where the body was not measured at that level, or nothing is cut there.
    """
    if level in ARM_LEVELS:
        found = (_of_arm(cloth, body, level, side) for side in SIDES if side in body.arms)
        return next((one for one in found if one is not None), None)
    measure = body.measures.get(f"{level}_girth")
    if measure is None or measure.level_mm is None:
        return None
    across = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    worn = of_roles(cloth, "trunk", "band")
    return _section(cloth, body, level, worn, TRUNK, measure.level_mm * UP, UP, across)


def _of_arm(cloth: ClothMesh, body: Body, level: str, side: str) -> CrossSection | None:
    station = girth_station(body, level, side)
    if station is None:
        return None
    origin, normal = place(body.arms[side], station)
    helper = np.array([0.0, 1.0, 0.0]) if abs(normal[1]) < 0.9 else np.array([1.0, 0.0, 0.0])
    across = np.cross(helper, normal)
    across /= np.linalg.norm(across)
    worn = of_roles(cloth, "sleeve") & np.char.endswith(np.array(cloth.pieces), f".{side}")[cloth.piece]
    return _section(cloth, body, level, worn, ARMS[side], origin, normal, np.array([across, np.cross(normal, across)]))


def _section(
    cloth: ClothMesh,
    body: Body,
    level: str,
    worn: NDArray[np.bool_],
    parts: Sequence[Part],
    origin: FloatArray,
    normal: FloatArray,
    across: FloatArray,
) -> CrossSection | None:
    own = np.isin(body.parts[body.skin.faces], [int(part) for part in parts]).all(axis=1)
    skin = cut(body.skin.vertices, body.skin.faces[own], origin, normal).points
    laid = cut(cloth.vertices, cloth.faces[worn], origin, normal).points
    if not len(skin):
        return None
    middle = 0.5 * (skin.reshape(-1, 3).min(axis=0) + skin.reshape(-1, 3).max(axis=0))
    cutting = CrossSection(level, skin, laid, middle, across, ())
    rooms = tuple(room for way, degrees in WAYS.items() if (room := _room(cutting, way, degrees)) is not None)
    return CrossSection(level, skin, laid, middle, across, rooms)


def _room(cutting: CrossSection, way: str, degrees: float) -> Room | None:
    """From the outermost skin in a direction to the first cloth beyond it."""
    ray = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
    skin = _met(cutting.flat(cutting.skin), ray)
    beyond = _met(cutting.flat(cutting.cloth), ray)
    if not len(skin):
        return None
    beyond = beyond[beyond > skin.max()]
    if not len(beyond):
        return None
    ends = (cutting.middle + far * ray @ cutting.across for far in (skin.max(), beyond.min()))
    return Room(way, *ends)


def _met(pieces: FloatArray, ray: FloatArray) -> FloatArray:
    """(k,) float: how far along a ray from the middle it meets straight pieces, (n, 2, 2)."""
    if not len(pieces):
        return np.zeros(0)
    aside = pieces @ np.array([-ray[1], ray[0]])
    ahead = pieces @ ray
    meets = (aside[:, 0] >= 0) != (aside[:, 1] >= 0)
    (a, b), (near, far) = aside[meets].T, ahead[meets].T
    at = near + a / (a - b) * (far - near)
    return at[at > 0.0]
