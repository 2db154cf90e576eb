"""The window's small pictures of how each cloth of the table drapes: a round of it over a disc, lowered and let rest.

The drapemeter's standard size, 300 mm over 180 mm: what hangs free, 60 mm, is about what does on a doll's robe. Run it
as `.venv/bin/python -m scripts.picture_drapes [CLOTH ...]`; about a minute a cloth.
"""

from __future__ import annotations

import sys

import numpy as np
from numpy.typing import NDArray

from addon.album import png
from addon.drapes import SIDE, file_of
from addon.studio import engine
from addon.studio.stage import FORM, Doll, Dress, View, stage
from drafting.cloth.fabric import FABRICS, Fabric
from drafting.files import write_files

from .laboratory.drapemeter import DISC_MM, SPECIMEN_MM, drape_round

SIZE = 1.0  # of the standard's
ACROSS = 32  # edges across the round
STAND_MM = 0.8 * SPECIMEN_MM * SIZE  # high: the limpest cloth does not reach the floor
COLOUR = (0.44, 0.55, 0.72)  # reads on a dark theme's grey and on a light one's
SHOT, TURN, PITCH, RAYS = 2 * SIDE, 15.0, 24.0, 32

IntArray = NDArray[np.int64]


def stand(radius: float, high: float, around: int = 64) -> tuple[NDArray[np.float64], IntArray]:
    """(n, 3) float, (m, 3) int: a round column on the floor, mm."""
    turn = 2.0 * np.pi * np.arange(around) / around
    ring = radius * np.column_stack([np.cos(turn), np.sin(turn)])
    levels = [np.column_stack([ring, np.full(around, z)]) for z in (0.0, high)]
    k, following = np.arange(around), np.roll(np.arange(around), -1)
    side = [np.column_stack([k, following, k + around]), np.column_stack([following, following + around, k + around])]
    top = np.column_stack([np.full(around, 2 * around), k + around, following + around])
    return np.concatenate([*levels, [[0.0, 0.0, high]]]), np.concatenate([*side, top])


def picture(fabric: Fabric) -> bytes:
    """A PNG of SIDE x SIDE pixels on a transparent ground."""
    draping = drape_round(fabric.bending_mm, size=SIZE, across=ACROSS)
    cloth = draping.cloth
    cloth.vertices[:, 2] += STAND_MM + 1.0 - draping.places[:, 2].max()
    print(f"{fabric.name}: drape coefficient {draping.coefficient:.0f} %, {draping.nodes} folds")
    points, faces = stand(0.96 * DISC_MM * SIZE, STAND_MM)
    figure = Doll(points, faces, cloth, Dress(COLOUR, thickness_mm=fabric.thickness_mm, seams=False), FORM)
    centre = np.array([0.0, 0.0, 0.5 * STAND_MM])
    with stage([figure], which=engine.CYCLES, samples=RAYS) as set_up:
        shot = set_up.shoot(View(TURN, centre, 2.1 * SPECIMEN_MM * SIZE, pitch=PITCH), SHOT, SHOT)
    return png(smaller(shot, SHOT // SIDE))


def smaller(shot: NDArray[np.uint8], by: int) -> NDArray[np.uint8]:
    """A shot with straight alpha, each square of pixels made one: its mean, weighted by what is not clear."""
    high, wide, _ = shot.shape
    squares = shot.astype(float).reshape(high // by, by, wide // by, by, 4)
    alpha = squares[..., 3:]
    colour = (squares[..., :3] * alpha).sum(axis=(1, 3)) / np.maximum(alpha.sum(axis=(1, 3)), 1e-9)
    return np.rint(np.concatenate([colour, alpha.mean(axis=(1, 3))], axis=-1)).astype(np.uint8)


def main(names: list[str]) -> None:
    """Drapes and shoots these cloths of the table, or all."""
    for name in names or FABRICS:
        path = file_of(name)
        write_files(path.parent, {path.name: picture(FABRICS[name])})


if __name__ == "__main__":
    main(sys.argv[1:])
