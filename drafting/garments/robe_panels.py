"""The panels of the robe, drawn from its sizes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ..pattern.curve import arc
from ..pattern.panel import Edge, FloatArray, Panel, trace
from ..pattern.tolerance import TOLERANCE

Sizes = Mapping[str, float]
MIRROR = np.array([-1.0, 1.0])


@dataclass(frozen=True)
class Cut:
    """How the robe is cut: the back in halves or whole, the overlap joined to the front or apart from it."""

    back_whole: bool
    overlap_joined: bool


def back(s: Sizes, cut: Cut) -> Panel:
    """Half of the back, or all of it where it is cut on the fold."""
    half = trace(
        ("hem", [0.0, -s["length"]]),
        ("side", side_end(s, s["back_width"])),
        ("underarm", [s["shoulder"], -s["armhole"] - s["underarm_opening"]]),
        ("armhole", [s["shoulder"], -s["armhole"]]),
        ("shoulder", [s["shoulder"], 0.0]),
        ("neck", neck_scoop(s)),
        ("centre", [0.0, -s["scoop"]]),
    )
    if not cut.back_whole:
        return Panel("back", half, 2, "trunk", _grain(s["shoulder"] / 2, s["length"]), 1)
    left = [Edge(f"{edge.name}_left", edge.points) for edge in half[1:-1]]
    right = [Edge(f"{edge.name}_right", edge.points[::-1] * MIRROR) for edge in half[-2:0:-1]]
    hem = Edge("hem", np.array([left[0].points[0] * MIRROR, left[0].points[0]]))
    return Panel("back", (hem, *left, *right), 1, "trunk", _grain(0.0, s["length"]), 1)


def front(s: Sizes, cut: Cut) -> Panel:
    """One front, with its overlap where that is joined."""
    joined = cut.overlap_joined
    edges = trace(
        ("hem", [-s["overlap"] if joined else 0.0, -s["length"]]),
        ("side", side_end(s, s["front_width"])),
        ("underarm", [s["shoulder"], -s["armhole"] - s["underarm_opening"]]),
        ("armhole", [s["shoulder"], -s["armhole"]]),
        ("shoulder", [s["shoulder"], 0.0]),
        ("slope", slope(s)[:2] if joined else slope(s)[:1]),
        ("overlap", slope_end(s)) if joined else ("centre", crossing(s)),
    )
    return Panel("front", edges, 2, "trunk", _grain(s["front_width"] / 2, s["length"]), 2)


def overlap(s: Sizes) -> Panel:
    """The overlap as a strip of its own."""
    edges = trace(
        ("hem", [-s["overlap"], -s["length"]]),
        ("centre", [0.0, -s["length"]]),
        ("slope", crossing(s)),
        ("overlap", slope_end(s)),
    )
    free = s["length"] - s["slope_depth"]
    grain = np.array([[-s["overlap"] / 2, 0.1 * free - s["length"]], [-s["overlap"] / 2, 0.7 * free - s["length"]]])
    return Panel("overlap", edges, 2, "trunk", grain, 3)


def sleeve(s: Sizes) -> Panel:
    """The whole sleeve, unfolded: x from the armhole to the wrist, y = 0 the fold, its front half at y < 0."""
    width, drop, wrist = s["sleeve_width"], s["sleeve_drop"], s["wrist_opening"]
    slit, corner = s["armhole"] + s["sleeve_slit"], s["sleeve_corner"]
    edges = trace(
        ("bottom_front", [[0.0, -drop], *_corner(width, drop, corner)[:-1]]),
        ("wrist_seam_front", [width, corner - drop]),
        ("wrist_front", [width, -wrist]),
        ("wrist_back", [width, 0.0]),
        ("wrist_seam_back", [width, wrist]),
        ("bottom_back", _corner(width, drop, corner)[::-1] * [1, -1]),
        ("underarm_seam_back", [0.0, drop]),
        ("underarm_back", [0.0, slit]),
        ("armhole_back", [0.0, s["armhole"]]),
        ("armhole_front", [0.0, 0.0]),
        ("underarm_front", [0.0, -s["armhole"]]),
        ("underarm_seam_front", [0.0, -slit]),
    )
    return Panel("sleeve", edges, 2, "sleeve", np.array([[width / 2, -drop / 2], [width / 2, drop / 2]]), 4)


def neckband(s: Sizes, neckline: list[tuple[str, float]]) -> Panel:
    """The neckband, a straight strip that is folded along its middle.

    The frame: x = 0 at the centre back and grows towards the wearer's left, y = 0 the edge that is sewn to the
    neckline. Its worn part is the finished half.

    Parameters
    ----------
    neckline : list of (edge name, length in mm)
        Its left half from the centre back to the end of the left slope.
    """
    stations = np.concatenate([[0.0], np.cumsum([length for _, length in neckline])])
    end, width = stations[-1], s["band_width"]
    sewn = [(f"{name}_right", [-x, 0.0]) for (name, _), x in zip(neckline[::-1], stations[:0:-1], strict=True)]
    sewn += [(f"{name}_left", [x, 0.0]) for (name, _), x in zip(neckline, stations[:-1], strict=True)]
    return Panel(
        "neckband",
        trace(*sewn, ("cut_end_left", [end, 0.0]), ("facing", [end, 2 * width]), ("cut_end_right", [-end, 2 * width])),
        1,
        "band",
        np.array([[-end / 2, width], [end / 2, width]]),
        5,
        trace(*sewn, ("end_left", [end, 0.0]), ("fold", [end, width]), ("end_right", [-end, width])),
    )


def neck_scoop(s: Sizes) -> FloatArray:
    """(k, 2) float: the back neck, from the shoulder up to but without the centre: an arc, level at the centre."""
    neck, scoop = s["neck"], s["scoop"]
    if scoop <= TOLERANCE.chord_mm:
        return np.array([[neck, 0.0]])
    radius = (neck**2 + scoop**2) / (2 * scoop)
    angle = math.degrees(math.asin(min(1.0, neck / radius)))
    return arc((0.0, radius - scoop), radius, angle - 90, -90)[:-1]


def crossing(s: Sizes) -> FloatArray:
    """Where the slope meets the centre line."""
    return np.array([0.0, -s["slope_crossing"]])


def slope_end(s: Sizes) -> FloatArray:
    """Where the slope meets the overlap's edge."""
    return np.array([-s["overlap_top"], -s["slope_depth"]])


def slope(s: Sizes) -> FloatArray:
    """(3, 2) float: the front's slope from the neck point to the overlap's edge."""
    return np.array([[s["neck"], 0.0], crossing(s), slope_end(s)])


def side_end(s: Sizes, width: float) -> FloatArray:
    """Where a trunk panel's side meets its hem: so far down that the sides of back and front are equally long."""
    top = s["armhole"] + s["underarm_opening"]
    length = math.hypot(s["length"] - top, s["shoulder"] - s["back_width"])
    return np.array([width, -top - math.sqrt(max(0.0, length**2 - (s["shoulder"] - width) ** 2))])


def _corner(width: float, drop: float, radius: float) -> FloatArray:
    """(k, 2) float: the lower wrist corner of the front half, from the bottom up to the wrist edge."""
    if radius == 0:
        return np.array([[width, -drop]])
    return arc((width - radius, radius - drop), radius, -90, 0)


def _grain(x: float, length: float) -> FloatArray:
    return np.array([[x, -0.75 * length], [x, -0.35 * length]])
