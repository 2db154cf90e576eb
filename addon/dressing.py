"""Dressing: sew the pieces round the flattened doll, swell it, tie the sash.

All of it under heavy drag, so that nothing swings: what springs into place carries cloth through cloth.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from drafting.body.body import Body
from drafting.garments.garment import Garment
from drafting.pattern.pattern import Pattern

from . import bridge
from .dummy import Dummy
from .laying import lay_out
from .poses import Poses, pose_at
from .sewing import Assembly
from .solver import ClothRun, Settings
from .steps import Seen, Step, Work
from .watch import refuse_exploded

FloatArray = NDArray[np.float64]

WEIGHTLESS = 0.03  # share of gravity until the sash is tied
# The sash is drawn until it is stretched by this share, by how it is tied: the pull of the knot. Found by trial: more
# cuts through the pleats.
PULL = {"firm": 0.004, "loose": 0.001, "tight": 0.005}


@dataclass(frozen=True)
class Timetable:
    """Frames at which the stages end.

    First the seams close round the flattened doll, whose hands reach out of the sleeves; then it swells to its depth,
    and the sash is tied. The garment weighs next to nothing until the sash holds it.
    """

    sewn: int = 14
    swollen: int = 34
    tied: int = 60

    def stage(self, frame: int) -> str:
        """What goes on at a frame, in words."""
        stages = ((self.sewn, "sewing the seams"), (self.swollen, "dressing the doll"))
        return next((name for end, name in stages if frame <= end), "tying the sash")


@dataclass(frozen=True)
class Handling:
    """How a doll is dressed.

    Attributes
    ----------
    halved : bool
        In coarse cloth at first, whose edges are halved once the arms are down.
    layer_room : float
        Room between layers as a share of an edge. With the solver's usual 3 mm a wide lap of coarse cloth slips
        through itself; much room makes the layers so thick that a tight garment's seams stay open.
    stiffness : float
        The least bending length while the doll is dressed, in edges: starched, coarse cloth does not crumple.
    drag : float
        Of the air, the solver's own unit.
    held : float
        Share of the mass and of all forces until the sash is tied: the drag feels so much heavier. Seams that close
        without it fling the sleeves, and a robe has a hundred pairs of crossing triangles before its doll is swollen;
        but its threads pull a tight garment round a swelling doll.
    untied : bool
        The ties are cut once a sash is tied.
    steps : int
        A frame, until the doll is swollen. With 3 the hands in the closing sleeves stretch the worst hundredth of a
        small doll's threads by 18 %, with 8 by 1 %.
    """

    halved: bool
    layer_room: float
    stiffness: float
    drag: float
    held: float
    untied: bool
    steps: int = 8


@dataclass(frozen=True)
class Dressed:
    """Cloth on the doll, not yet at rest.

    Attributes
    ----------
    assembly : Assembly
        With the sash as far drawn as it went.
    tight : (n, 2) float
        Its flat points with the sash wholly drawn.
    positions : (n, 3) float
        Millimetres, in the body's frame.
    frames : int
    seconds : float
        What the solver took so far.
    tie : str
        How the sash is tied: a key of `PULL`.
    """

    assembly: Assembly
    tight: FloatArray
    positions: FloatArray
    frames: int
    seconds: float
    tie: str = "firm"


def dress(
    body: Body,
    pattern: Pattern,
    garment: Garment,
    assembly: Assembly,
    dummy: Dummy,
    poses: Poses,
    table: Timetable,
    handling: Handling,
    cloth: Settings,
) -> Work[Dressed]:
    """Puts a garment on a doll whose arms are spread.

    Parameters
    ----------
    poses : sequence of (frame, (v, 3) float)
        The skin's vertices from the flattened doll to the swollen one.

    Raises
    ------
    DrapeError
        The cloth exploded.
    """
    let_out, start = lay_out(body, pattern, garment, assembly, poses[0][1])
    loose = let_out[-1]
    slow = replace(cloth, air_damping=handling.drag).lighter(handling.held)
    sewing = replace(slow, quality=max(handling.steps, slow.quality), outward=False)
    with bridge.workroom("drape") as room:
        run = ClothRun(
            room,
            bridge.polygons(assembly.faces, assembly.squares),
            [start, *(np.insert(flat, 1, 0.0, axis=1) for flat in (*let_out, assembly.flat))],
            np.concatenate([assembly.sewn, assembly.tied]),
            dummy.faces,
            [(frame, dummy.follow(skin)) for frame, skin in poses],
            [(1, WEIGHTLESS)],
            sewing,
            under=assembly.under,
        )
        positions, drawn, step = start, 0.0, 1.0 / (table.tied - table.swollen)
        tie = str(pattern.options.get("sash_tie", "firm"))
        yield Step("laying the cloth out", 0.0)
        while run.frame < table.tied:
            if run.frame == table.sewn:
                run.tune(replace(sewing, outward=True))
            if run.frame == table.swollen:
                run.tune(slow)
            if len(let_out) > 1 and table.sewn <= run.frame < table.swollen:
                run.draw(2, (run.frame + 1 - table.sewn) / (table.swollen - table.sewn))
            if run.frame >= table.swollen:
                drawn = draw_sash(run, assembly, between(loose, assembly.flat, drawn), positions, drawn, step, tie)
            positions = run.step()
            refuse_exploded(positions, body)
            seen = None  # a doll as flat as paper is not the maker's
            if run.frame >= table.swollen:
                seen = Seen(positions, assembly.faces, pose_at(poses, run.frame), body.skin.faces)
            yield Step(table.stage(run.frame), run.frame / table.tied, seen)
        flat = between(loose, assembly.flat, drawn)
        return Dressed(replace(assembly, flat=flat), assembly.flat, positions, run.frame, run.seconds, tie)


def untied(dressed: Dressed) -> Dressed:
    """The ties cut where a sash holds the wrap, and the cloth at them sprung flat: a tie presses one layer into the
    other.
    """
    assembly = dressed.assembly
    if not len(assembly.tied) or not any(piece.panel.role == "sash" for piece in assembly.pieces):
        return dressed
    positions = dressed.positions.copy()
    for vertex in np.unique(assembly.tied):
        around = np.unique(assembly.faces[(assembly.faces == vertex).any(axis=1)])
        positions[vertex] = dressed.positions[around[around != vertex]].mean(axis=0)
    return replace(dressed, assembly=replace(assembly, tied=assembly.tied[:0]), positions=positions)


def draw_sash(
    run: ClothRun, assembly: Assembly, flat: FloatArray, positions: FloatArray, drawn: float, step: float, tie: str
) -> float:
    """Draws the sash a step tighter, until it has its drafted length or resists; returns the share drawn."""
    sash = np.flatnonzero([piece.panel.role == "sash" for piece in assembly.pieces])
    own = assembly.faces[np.isin(assembly.piece[assembly.faces[:, 0]], sash)]
    if drawn >= 1.0 or not len(own):
        return 1.0
    ends = np.concatenate([own[:, [0, 1]], own[:, [1, 2]], own[:, [2, 0]]])
    along = np.abs(flat[ends[:, 0], 0] - flat[ends[:, 1], 0]) > np.abs(flat[ends[:, 0], 1] - flat[ends[:, 1], 1])
    ends = ends[along]
    length = np.linalg.norm(positions[ends[:, 0]] - positions[ends[:, 1]], axis=1)
    drafted = np.linalg.norm(flat[ends[:, 0]] - flat[ends[:, 1]], axis=1)
    if length.sum() > (1.0 + PULL[tie]) * drafted.sum():
        return drawn
    drawn = min(1.0, drawn + step)
    run.draw(-1, drawn)
    return drawn


def between(loose: FloatArray, tight: FloatArray, share: float) -> FloatArray:
    """Flat points with the sash drawn by a share of the way."""
    return loose + share * (tight - loose)
