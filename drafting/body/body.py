"""What the road knows of a doll: its skin, its parts, its landmarks and its measures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


class Part(IntEnum):
    """Which part of the body a skin vertex belongs to. Left is the doll's own left, at +X."""

    TRUNK = 0
    HEAD = 1
    ARM_LEFT = 2
    ARM_RIGHT = 3
    LEG_LEFT = 4
    LEG_RIGHT = 5


SIDES = ("left", "right")


@dataclass(frozen=True)
class Doubt:
    """What may be wrong with a body, so that nothing is cut by it unseen.

    Attributes
    ----------
    about : str
        "size", the name of a measure, or "body" where the whole is improbable.
    sentence : str
        What is doubted and what the maker can do about it, in plain words.
    mild : bool
        It is told, and drafted from all the same: unlikely of a person, and a doll may well be made so.
    """

    about: str
    sentence: str
    mild: bool = False


@dataclass(frozen=True)
class Skin:
    """The outer surface of a doll, upright and true to size.

    Attributes
    ----------
    vertices : (n, 3) float
        Millimetres; Z up, faces -Y, left hand at +X, soles at z = 0, trunk centred on x = 0, y = 0.
    faces : (m, 3) int
        Triangles, counter-clockwise seen from outside.
    notes : tuple of str
        What was guessed, turned or mended, one sentence each.
    closed : bool
        Whether it is known that each edge lies between two triangles that run along it in opposite ways.
    doubts : tuple of Doubt
        What the scan itself leaves doubtful: its size, and what was left out or mended on a guess.
    axes : (str, str)
        The scan's own axes that point to the head and to where the doll faces; empty where there was no scan.
    """

    vertices: FloatArray
    faces: IntArray
    notes: tuple[str, ...] = ()
    closed: bool = False
    doubts: tuple[Doubt, ...] = ()
    axes: tuple[str, str] = ("", "")


@dataclass(frozen=True)
class Measure:
    """One body dimension.

    Attributes
    ----------
    mm : float
        The value used for drafting (the mean of both sides where there are two).
    level_mm : float or None
        Height above the soles at which a girth was taken.
    left, right : float or None
        Both sides in mm, for dimensions that exist twice.
    path : (k, 3) float or None
        Where the tape lies on the skin (left side where there are two), for pictures.
    """

    name: str
    mm: float
    level_mm: float | None = None
    left: float | None = None
    right: float | None = None
    path: FloatArray | None = None


@dataclass(frozen=True)
class Arm:
    """One arm's centre line, from the shoulder joint over elbow and wrist to the finger tips.

    Attributes
    ----------
    axis : (k, 3) float
        Points along the centre line, mm. The first is the shoulder joint, the last the finger tips.
    wrist : float
        Distance along `axis` from the joint to the wrist, mm.
    elbow : float
        Distance along `axis` from the joint to the elbow, mm.
    """

    axis: FloatArray
    elbow: float
    wrist: float


@dataclass(frozen=True)
class Body:
    """A measured doll.

    Attributes
    ----------
    parts : (n,) int
        A `Part` for each skin vertex.
    landmarks : mapping of str to (3,) float
        Points on the skin, mm.
    arms : mapping of "left" and "right" to Arm
        Missing where the doll has no such arm.
    missing : tuple of str
        Names of dimensions that this doll does not have, with the reason.
    doubts : tuple of Doubt
        What may be wrong, the skin's own doubts first.
    """

    skin: Skin
    parts: IntArray
    landmarks: Mapping[str, FloatArray]
    measures: Mapping[str, Measure]
    arms: Mapping[str, Arm] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()

    @property
    def height_mm(self) -> float:
        """Crown above sole."""
        return float(self.skin.vertices[:, 2].max() - self.skin.vertices[:, 2].min())
