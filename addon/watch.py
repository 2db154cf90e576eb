"""Watching a drape: has the cloth exploded, have its seams closed, is it at rest?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from drafting.body.body import Body
from drafting.body.parts import ARM
from drafting.errors import DrapeError
from drafting.fit.worn import fewest_turns
from drafting.pattern.pattern import Pattern
from drafting.words import plain

from .sewing import Assembly

FloatArray = NDArray[np.float64]

FRAMES_PER_SECOND = 25.0  # the solver's second, whatever the scene says
SPEED_WINDOW = 25  # frames over which speed is taken: one simulated second, so that the tremble of contacts evens out
WELD_MM = 1.5  # the widest gap that the final weld may close
FOLD = 0.1  # of a sleeve's vertices: the nearest to its fold
WORN = 0.25  # turns that a sleeve winds round its arm at least: one where it is closed, less where it is cut aslant
NARROWEST = 0.95  # of the upper arm's girth: what woven cloth may give (drafting/fit/verdict.py)
RESTLESS = 3.0  # times the asked speed: faster than that after the longest time is no drape


def speed_p99(recent: list[FloatArray]) -> float:
    """99th percentile of vertex speed over the last frames, doll millimetres per simulated second."""
    moved = np.linalg.norm(recent[-1] - recent[0], axis=1)
    return float(np.percentile(moved, 99)) / (len(recent) - 1) * FRAMES_PER_SECOND


def refuse_exploded(positions: FloatArray, body: Body) -> None:
    """Stops at once when the cloth has exploded: a number that is none, or cloth far from the doll.

    Raises
    ------
    DrapeError
    """
    reach = 2.0 * body.height_mm
    if not np.isfinite(positions).all() or np.abs(positions - [0.0, 0.0, body.height_mm / 2.0]).max() > reach:
        raise DrapeError(
            "The cloth exploded while it was sewn. Try coarser cloth, or check that the garment is not "
            "far too small for this doll.",
            about=["edge"],
        )


def seam_gaps(positions: FloatArray, assembly: Assembly) -> FloatArray:
    """(k,) float: how far apart sewn partners are, mm."""
    return np.linalg.norm(positions[assembly.sewn[:, 0]] - positions[assembly.sewn[:, 1]], axis=1)


def refuse_narrow(pattern: Pattern, body: Body) -> None:
    """A sleeve that is narrower than the arm cannot be worn, and need not be tried.

    Raises
    ------
    DrapeError
    """
    arm = body.measures.get("upper_arm_girth")
    for panel in pattern.panels:
        girth = float(np.ptp(panel.outline[:, 1]))  # it is folded along y = 0
        if panel.role == "sleeve" and arm is not None and girth < NARROWEST * arm.mm:
            raise DrapeError(
                f"The {plain(panel.name)} is {girth:.0f} mm round and the upper arm {arm.mm:.0f} mm: it cannot be put "
                f"on. Choose a deeper sleeve, {arm.mm / 2.0:.0f} mm from fold to bottom at the least.",
                about=["sleeve_drop"],
            )


def refuse_open(positions: FloatArray, assembly: Assembly, most_mm: float = WELD_MM) -> None:
    """All seams must have closed so far; as far as the weld is honest if nothing else is asked.

    Raises
    ------
    DrapeError
    """
    gaps = seam_gaps(positions, assembly)
    worst = int(gaps.argmax())
    if gaps[worst] > most_mm:
        raise DrapeError(
            f"The seam from {assembly.seams[assembly.seam[worst]]} stays {gaps[worst]:.1f} mm open, more than "
            f"{most_mm:g} mm. The garment may be too tight there: give it more ease, or try coarser cloth.",
            about=["ease", "edge"],
        )


def refuse_bare(positions: FloatArray, assembly: Assembly, body: Body, skin: FloatArray) -> None:
    """Each sleeve must have its arm inside, not beside it or through a wall of it.

    Parameters
    ----------
    skin : (n, 3) float
        The body's vertices as they are posed.

    Raises
    ------
    DrapeError
    """
    arms = [skin[body.parts == part] for part in ARM.values() if (body.parts == part).any()]
    for index, piece in enumerate(assembly.pieces):
        if piece.panel.role != "sleeve" or not arms:
            continue
        own = np.flatnonzero(assembly.piece == index)
        depth = np.abs(assembly.flat[own, 1])  # below the fold
        fold = own[depth <= np.quantile(depth, FOLD)]
        faces = assembly.faces[assembly.piece[assembly.faces[:, 0]] == index]
        middle = positions[faces].mean(axis=(0, 1))
        arm = min(arms, key=lambda points: float(np.linalg.norm(points.mean(axis=0) - middle)))
        if fewest_turns(positions, faces, arm, fold) < WORN:
            raise DrapeError(
                f"The arm slipped out of the {plain(piece.name)} while the doll was dressed. Try finer cloth, or a "
                "deeper or shorter sleeve.",
                about=["edge", "sleeve_drop", "wrist_allowance"],
            )


def refuse_restless(speed: float, wanted: float, frames: int) -> None:
    """A drape that is far too fast after the longest time is no drape; below that its speed is told.

    Raises
    ------
    DrapeError
    """
    if speed > RESTLESS * wanted:
        raise DrapeError(
            f"The cloth had not come to rest after {frames} frames: its fastest hundredth still moves {speed:.1f} mm/s "
            f"and {wanted:g} mm/s was asked. Try coarser or stiffer cloth.",
            about=["edge", "fabric"],
        )
