"""The drape: dress the doll in coarse cloth, halve its edges, let it come to rest.

A plain generator: one step of the solver at a time, so that a window stays alive and the work can be cancelled by
closing it. It happens in a scene of its own; the maker's scene is never touched.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from drafting.body.body import Body
from drafting.cloth.crossing import crossing_pairs
from drafting.cloth.draped import Draped, SeamClosure
from drafting.cloth.fabric import Fabric
from drafting.cloth.mesh import of_pieces
from drafting.cloth.untangle import pulled_apart
from drafting.errors import DrapeError
from drafting.garments.garment import Garment
from drafting.garments.layered import Beneath, Layered, is_under, own_name
from drafting.pattern.pattern import Pattern

from . import bridge
from .cloths import Cloths, refuse_unbendable
from .dressing import Dressed, Handling, Timetable, dress, untied
from .dummy import lightening, whole
from .finer import finer
from .laying import layer_mm
from .lowering import LoweringTimes, lower
from .poses import lowering, swelling
from .resting import hang, parted, rest, taken_in
from .sewing import Assembly, assemble, weld
from .solver import DRAG
from .steps import Step, Work, aside, otherwise, within
from .watch import refuse_bare, refuse_narrow, refuse_open, refuse_restless

FloatArray = NDArray[np.float64]

# The doll is dressed in cloth whose edges are doubled as long as they stay under a thirtieth of its height: a
# quarter of the triangles, and steps that are longer by as much. Found by trial.
DRESSED_PER_HEIGHT = 30.0
PARTED = 0.5  # of an edge: so far crossing cloth is pulled apart at the end
# Where a seam of a garment dressed in coarse, starched cloth under heavy drag stays open, the garment is tight: it is
# dressed once more in fine cloth whose threads are free to pull, with ties that hold the fronts.
LOOSE = Handling(halved=True, layer_room=0.19, stiffness=3.0, drag=DRAG, held=0.02, untied=True)
TIGHT = Handling(halved=False, layer_room=0.0, stiffness=0.0, drag=0.5, held=1.0, untied=False)
# A quick drape stays in the coarse cloth that the doll is dressed in, in fewer and longer steps.
QUICK = replace(LOOSE, halved=False, steps=3)
QUICK_PER_HEIGHT = 32.0  # its edge length: so many in the doll's height
QUICK_LAYERED = 45.0  # and over another garment: coarser layers are too thick for a robe's room
QUICK_DRESSING, QUICK_LOWERING = Timetable(14, 28, 40), LoweringTimes(21, 33)
# Of the work, about, until the sash is tied, the arms are down, and the cloth has come to rest.
SPREAD_SHARE, DRESSING_SHARE, RESTED_SHARE = 0.25, 0.5, 0.95


@dataclass(frozen=True)
class DrapeSettings:
    """What can be chosen of a drape.

    Attributes
    ----------
    edge_mm : float or None
        Edge length of the cloth's triangles; None for an eightieth of the doll's height, a sixtieth in stiff cloth.
    quick : bool
        Coarser cloth for a first look, where no edge length is asked for.
    settled_mm_s : float
        Settled when the fastest hundredth of the vertices is slower, doll millimetres per simulated second.
    most_frames : int
        The longest time to settle, in frames of 1/25 s.
    """

    edge_mm: float | None = None
    quick: bool = False
    settled_mm_s: float = 5.0
    most_frames: int = 220


def drape(
    body: Body,
    pattern: Pattern,
    garment: Garment,
    fabric: Fabric,
    settings: DrapeSettings | None = None,
    beneath: Beneath | None = None,
) -> Work[Draped]:
    """Sews and drapes a garment on a doll.

    Parameters
    ----------
    beneath : Beneath, optional
        What is worn under it; both are draped together, with the garment's sash over them.

    Yields
    ------
    Step
        After each frame of the solver.

    Returns
    -------
    Draped
        The settled garment, in the body's frame.

    Raises
    ------
    DrapeError
        The cloth exploded, a seam stayed open, or it never came to rest; each says what to try.
    """
    settings = settings or DrapeSettings()
    cloths = Cloths(body.height_mm, fabric, beneath.fabric if beneath else None)
    quick = settings.quick and settings.edge_mm is None
    coarse = body.height_mm / (QUICK_LAYERED if beneath else QUICK_PER_HEIGHT)
    usual = max(coarse, cloths.least_edge) if quick else cloths.usual_edge
    edge_mm = settings.edge_mm or usual
    _refuse_coarse(body.height_mm, edge_mm)
    refuse_unbendable(cloths, edge_mm)
    worn = Layered(garment, beneath, layer_mm(body.height_mm)) if beneath else garment
    outfit = worn.over(pattern) if isinstance(worn, Layered) else pattern
    refuse_narrow(outfit, body)

    def by(handling: Handling) -> Work[Draped]:
        return drape_by(handling, body, outfit, worn, cloths, settings, edge_mm)

    return (yield from otherwise(by(QUICK if quick else LOOSE), DrapeError, lambda: by(TIGHT)))


def halvings(height_mm: float, edge_mm: float) -> int:
    """How often the edges of the cloth that a doll is dressed in are halved until they are as asked."""
    longest = height_mm / DRESSED_PER_HEIGHT
    return max(0, int(np.floor(np.log2(longest / edge_mm))))


def drape_by(
    handling: Handling,
    body: Body,
    pattern: Pattern,
    garment: Garment,
    cloths: Cloths,
    settings: DrapeSettings,
    edge_mm: float,
    whole_skin: bool = False,
) -> Work[Draped]:
    """One attempt at a drape, in one way of handling the cloth; see `drape`.

    Parameters
    ----------
    whole_skin : bool
        The solver is given all of the doll's skin, not a lighter copy.
    """
    table, times = (QUICK_DRESSING, QUICK_LOWERING) if handling == QUICK else (Timetable(), LoweringTimes())
    left = halvings(body.height_mm, edge_mm) if handling.halved else 0
    edge = edge_mm * 2**left
    assembly = yield from aside("cutting the cloth", 0.0, lambda: assemble(pattern, garment, edge))
    up = yield from aside("posing the doll", 0.0, lambda: swelling(body, table.sewn, table.swollen))
    down = yield from aside("posing the doll", 0.0, lambda: lowering(body, times.lowered))
    with bridge.workroom("dummy") as room:
        dummy = whole(body.skin) if whole_skin else (yield from lightening(room, body.skin))
    yield Step("laying the cloth out", 0.0)
    cloth = cloths.settings(edge)
    starched = cloths.settings(edge, min(handling.stiffness * edge, 0.1 * body.height_mm))
    room_mm = min(handling.layer_room * edge, 0.9 * layer_mm(body.height_mm))  # they start so far apart
    roomy = replace(starched, self_gap_mm=max(cloth.self_gap_mm, room_mm * cloth.magnified))
    dressed_apart = roomy.self_gap_mm / cloth.magnified
    dressing = dress(body, pattern, garment, assembly, dummy, up, table, handling, roomy)
    dressed = yield from within(dressing, 0.0, SPREAD_SHARE)
    refuse_bare(dressed.positions, assembly, body, up[-1][1])
    if handling is not TIGHT:
        refuse_open(dressed.positions, assembly, edge)
    dressed = untied(dressed) if handling.untied else dressed
    dressed = yield from within(
        lower(body, dressed, dummy, down, times, handling.drag, roomy), SPREAD_SHARE, DRESSING_SHARE
    )
    if handling is not TIGHT:
        refuse_open(dressed.positions, assembly, edge)
    dressed = yield from aside("looking for tangles", DRESSING_SHARE, partial(parted, dressed))
    while left:
        left -= 1
        edge /= 2
        cloth = cloths.settings(edge)
        dressed = _halved(pattern, dressed)
        if left:
            dressed = yield from within(hang(body, dressed, dummy, cloth), DRESSING_SHARE, DRESSING_SHARE)
    dressed = taken_in(dressed, dressed_apart - cloth.self_gap_mm / cloth.magnified)
    resting = rest(body, dressed, dummy, cloth, settings.settled_mm_s, settings.most_frames)
    dressed, speed = yield from within(resting, DRESSING_SHARE, RESTED_SHARE)
    if knotted(dressed, PARTED * edge):
        loose = yield from aside("looking for tangles", RESTED_SHARE, partial(parted, dressed))
        resting = rest(body, loose, dummy, cloth, settings.settled_mm_s, settings.most_frames)
        dressed, speed = yield from within(resting, RESTED_SHARE, 1.0)
    assembly = dressed.assembly
    refuse_open(dressed.positions, assembly)
    refuse_restless(speed, settings.settled_mm_s, dressed.frames)
    refuse_bare(dressed.positions, assembly, body, body.skin.vertices)
    sewn, widest = weld(assembly, dressed.positions)
    sewn, parting = pulled_apart(sewn, PARTED * edge)
    closure = SeamClosure(len(assembly.seams), 0.0, widest, assembly.mismatch_mm)
    quick = settings.quick and settings.edge_mm is None
    lap = upper_front(assembly, dressed.positions)
    outer = of_pieces(sewn, {piece.name: piece.name for piece in assembly.pieces if not is_under(piece)})
    under = {piece.name: own_name(piece.name) for piece in assembly.pieces if is_under(piece)}
    beneath = of_pieces(sewn, under) if under else None
    return Draped(outer, closure, speed, edge_mm, dressed.frames, dressed.seconds, lap, quick, parting, beneath)


def knotted(dressed: Dressed, most_mm: float) -> bool:
    """Whether cloth crosses cloth farther than it may be pulled apart at the end: it is to rest once more then."""
    cloth, _ = pulled_apart(weld(dressed.assembly, dressed.positions)[0], most_mm)
    return len(crossing_pairs(cloth.vertices, cloth.faces)) > 0


def _halved(pattern: Pattern, dressed: Dressed) -> Dressed:
    assembly, parents = finer(pattern, dressed.assembly)
    sash = np.array([piece.panel.role == "sash" for piece in assembly.pieces])[assembly.piece]
    tight = np.where(sash[:, None], dressed.tight[parents].mean(axis=1), assembly.flat)
    return replace(dressed, assembly=assembly, tight=tight, positions=dressed.positions[parents].mean(axis=1))


def upper_front(assembly: Assembly, positions: FloatArray) -> str:
    """Which front lies uppermost where the fronts cross: the one whose lap is in front of the other's cloth."""
    fronts = [
        (index, piece)
        for index, piece in enumerate(assembly.pieces)
        if piece.panel.role == "trunk"
        and piece.panel.cut == 2
        and not is_under(piece)
        and assembly.flat[assembly.piece == index, 0].min() < 0.0
    ]
    if len(fronts) != 2:
        return ""
    (left, left_piece), (right, right_piece) = fronts
    lap = positions[(assembly.piece == left) & (assembly.flat[:, 0] < 0.0)]
    other = positions[assembly.piece == right]
    beside = np.linalg.norm(lap[:, None, [0, 2]] - other[None, :, [0, 2]], axis=2).argmin(axis=1)
    ahead = np.median(lap[:, 1] - other[beside, 1])
    return left_piece.name if ahead < 0.0 else right_piece.name


def _refuse_coarse(height_mm: float, edge_mm: float) -> None:
    """Armholes and necks close only where they have some edges: with longer ones a robe's seams gape."""
    longest = height_mm / DRESSED_PER_HEIGHT
    if edge_mm > 1.001 * longest:
        raise DrapeError(
            f"Cloth of {edge_mm:.1f} mm from point to point is too coarse for a doll of {height_mm:.0f} mm: leave the "
            f"fineness empty, or give {longest:.1f} mm or less.",
            about=["edge"],
        )
