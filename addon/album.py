"""The pictures of a fit, for the verbs and for the window: front, back, side, and how far the cloth stands off."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np

from drafting.body.body import Body
from drafting.cloth.draped import Draped
from drafting.cloth.fabric import Fabric
from drafting.fit.gap import signed_gap

from . import bridge
from .bridge import Pixels
from .studio import colour as colours
from .studio.stage import INDIGO, WALL, Doll, Dress, View, framing, stage

TURNS = {"front": 0.0, "back": 180.0, "side": 90.0}
GAP_MM_PER_HEIGHT = 0.05  # the gap picture's yellow end: cloth a twentieth of the height off the skin


def fit_pictures(
    body: Body, draped: Draped, fabric: Fabric, size: int = 900, colour: colours.Colour | None = None
) -> dict[str, bytes]:
    """front.png, back.png, side.png in the cloth's colour, and gap.png by distance from the skin."""
    dress = Dress(colour=colour or INDIGO, thickness_mm=fabric.thickness_mm)
    doll = Doll(body.skin.vertices, body.skin.faces, draped.cloth, dress)
    centre, span = framing([doll])
    with stage([doll]) as set_up:
        shots = {name: set_up.shoot(View(turn, centre, span), size, size) for name, turn in TURNS.items()}
    gap = signed_gap(draped.cloth.vertices, body.skin.vertices, body.skin.faces)
    shades = colours.cividis(np.clip(gap / (GAP_MM_PER_HEIGHT * body.height_mm), 0.0, 1.0))
    with stage([Doll(doll.vertices, doll.faces, doll.cloth, Dress(vertex_colours=shades, seams=False))]) as set_up:
        shots["gap"] = set_up.shoot(View(0.0, centre, span), size, size)
    return {f"{name}.png": png(on_wall(shot)) for name, shot in shots.items()}


def on_wall(shot: Pixels) -> Pixels:
    """A shot before a plain wall."""
    height, width, _ = shot.shape
    return colours.over(shot, colours.plain(width, height, WALL))


def png(pixels: Pixels) -> bytes:
    """(h, w, 4) uint8 as a PNG file's bytes."""
    with tempfile.TemporaryDirectory(prefix="toile-") as folder:
        return bridge.save_png(pixels, Path(folder) / "picture.png").read_bytes()
