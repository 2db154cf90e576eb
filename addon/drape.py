"""The drape: sew the pieces round the doll, swell it, tie the sash, lower its arms, let the cloth settle.

A plain generator: one step of the solver at a time, so that a window stays alive and the work can be cancelled by
closing it. It happens in a scene of its own; the maker's scene is never touched.
"""

from __future__ import annotations

import itertools
from collections.abc import Generator
from dataclasses import astuple, dataclass, replace

import numpy as np
from numpy.typing import NDArray

from drafting.body.body import Body
from drafting.body.pose import pose, spread_of
from drafting.cloth.draped import Draped, SeamClosure
from drafting.cloth.fabric import Fabric
from drafting.cloth.law import bending_setting, finest_edge
from drafting.errors import DrapeError, MeasureError
from drafting.garments.garment import Garment
from drafting.pattern.pattern import Pattern

from . import bridge
from .dummy import dummy_of
from .sewing import Assembly, assemble, weld
from .solver import MAGNIFIED, ClothRun, Settings
from .steps import Seen, Step, aside

FloatArray = NDArray[np.float64]

EDGES_PER_HEIGHT = 80.0  # default edge length: an eightieth of the doll's height gives about 6,000 vertices
# Cloth that is stiff at this size makes no finer fold than a quarter of its bending length shows; the law of
# the hinges holds up to a third (drafting/cloth/law.py). Seams and openings want no edge longer than a
# sixtieth of the height: common practice, no source.
EDGES_PER_BENDING = 4.0
FEWEST_PER_HEIGHT = 60.0
QUICK = 1.7  # a quick drape's edges are longer by this
FRAMES_PER_SECOND = 25.0  # the solver's second, whatever the scene says
WEIGHTLESS = 0.03  # share of gravity until the sash is tied
LAYERS_PER_HEIGHT = 170.0  # layers of the flat lay stand this far apart
TIMED_AT = 420.0  # height of the doll that the timetable is made for, mm
GENTLE = 1.6  # a second try takes so much longer
TURNS = 6  # steps in which the arms come down
LOOSENED = 3  # a longer sash folds farther out, which asks for a longer sash: this often until its ends meet
FLATTENED = 0.08  # share of the doll's depth while it lies flat in the folded garment
# A drape that is this many times too fast after the longest time is no drape; below that its speed is told.
RESTLESS = 3.0
WELD_MM = 1.5  # the widest gap that the final weld may close
SASH_STRAIN = 0.004  # the sash is drawn until it is stretched by this share: a firm knot, not a cutting one
SUPPLE = 0.3  # share of the bending stiffness while the doll is dressed
# Steps a frame until the doll is swollen. With 3 the hands in the closing sleeves stretch the worst hundredth of a
# small doll's threads by 18 %, with 8 by 1 %, and what springs back tangles the sleeve.
SEWING_STEPS = 8
LIGHTER = 0.05  # the solver caps its drag: a twentieth of the mass, and of all forces, feels twenty times as much
SPEED_WINDOW = 25  # frames over which speed is taken: one simulated second, so that the tremble of contacts evens out


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
        The longest time to settle, in frames of 1/25 s; a doll taller than 420 mm is given more.
    """

    edge_mm: float | None = None
    quick: bool = False
    settled_mm_s: float = 5.0
    most_frames: int = 220


@dataclass(frozen=True)
class Timetable:
    """Frames at which the stages end.

    First the seams close round the flattened doll, whose hands reach out of the sleeves; then it swells to its depth,
    the sash is tied, its arms come down, the cloth hangs out under light drag, and then comes to rest under heavy
    drag. The garment weighs next to nothing until the sash holds it.
    """

    sewn: int = 14
    swollen: int = 44
    tied: int = 70
    lowered: int = 120
    hung: int = 160

    def slower(self, share: float) -> Timetable:
        """The same stages, each longer by a share."""
        return Timetable(*(round(share * frame) for frame in astuple(self)))


def drape(
    body: Body,
    pattern: Pattern,
    garment: Garment,
    fabric: Fabric,
    settings: DrapeSettings | None = None,
) -> Generator[Step, None, Draped]:
    """Sews and drapes a garment on a doll.

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
    edge_mm = settings.edge_mm or usual_edge(body.height_mm, fabric) * (QUICK if settings.quick else 1.0)
    _bendable(fabric, edge_mm)
    assembly = yield from aside("cutting the cloth", 0.0, lambda: assemble(pattern, garment, edge_mm))
    gentle = False
    while True:
        try:
            return (yield from _attempt(body, pattern, garment, fabric, settings, edge_mm, assembly, gentle))
        except DrapeError:
            if gentle:
                raise
            gentle = True


def usual_edge(height_mm: float, fabric: Fabric) -> float:
    """The edge length of a doll's cloth where none is asked for, mm."""
    longest = min(fabric.bending_mm / EDGES_PER_BENDING, height_mm / FEWEST_PER_HEIGHT)
    return max(height_mm / EDGES_PER_HEIGHT, longest)


def _attempt(
    body: Body,
    pattern: Pattern,
    garment: Garment,
    fabric: Fabric,
    settings: DrapeSettings,
    edge_mm: float,
    assembly: Assembly,
    gentle: bool,
) -> Generator[Step, None, Draped]:
    scale = MAGNIFIED / 1000.0
    # A larger doll's cloth falls and swings more slowly: by the root of the height, as a pendulum.
    pace = max(1.0, (body.height_mm / TIMED_AT) ** 0.5)
    table = Timetable().slower(pace * (GENTLE if gentle else 1.0))
    poses = yield from aside("posing the doll", 0.0, lambda: _dressing(body, table))
    loose, start = _lay_out(body, pattern, garment, assembly, poses[0][1])
    solver = _solver_settings(fabric, edge_mm, scale, gentle)
    stitches = np.concatenate([assembly.sewn, assembly.tied])
    layouts = [_upright(flat) for flat in (loose, assembly.flat)]
    with bridge.workroom("drape") as room:
        dummy = dummy_of(room, body.skin)
        yield Step("laying the cloth out", 0.0)
        supple = replace(solver, bending=solver.bending * SUPPLE)
        run = ClothRun(
            room,
            bridge.polygons(assembly.faces, assembly.squares),
            [start, *layouts],
            stitches,
            dummy.faces,
            [(frame, dummy.follow(skin)) for frame, skin in poses],
            [(1, WEIGHTLESS), (table.tied, WEIGHTLESS), (table.tied + 10, 1.0)],
            scale,
            replace(supple, quality=max(SEWING_STEPS, supple.quality)),
        )
        yield Step("laying the cloth out", 0.0)
        recent = [start]
        last = table.hung + round(pace * settings.most_frames)
        speed, drawn = np.inf, 0.0
        while run.frame < last:
            drawn = _tie(run, table, assembly, _between(loose, assembly.flat, drawn), recent[-1], drawn)
            if run.frame == table.swollen:
                run.tune(supple)
            if run.frame == table.lowered:
                run.tune(solver.at_rest())
            if run.frame == table.hung:
                run.tune(solver.lighter(LIGHTER).at_rest())
            recent = [*recent[-SPEED_WINDOW:], run.step()]
            _whole(recent[-1], body, assembly)
            speed = _speed_p99(recent)
            seen = Seen(recent[-1], assembly.faces, _pose_at(poses, run.frame), body.skin.faces)
            yield Step(_stage(run.frame, table), min(run.frame / last, 0.99), seen)
            at_rest = run.frame > table.hung + SPEED_WINDOW and speed <= settings.settled_mm_s
            if at_rest and _seam_gaps(recent[-1], assembly).max() <= WELD_MM:
                break
        frames, seconds = run.frame, run.seconds
    positions = recent[-1]
    assembly = replace(assembly, flat=_between(loose, assembly.flat, drawn))
    _closed(positions, assembly)
    if speed > RESTLESS * settings.settled_mm_s:
        raise DrapeError(
            f"The cloth had not come to rest after {frames} frames: its fastest hundredth still moves {speed:.1f} mm/s "
            f"and {settings.settled_mm_s:g} mm/s was asked. Try a longer edge length or a stiffer fabric."
        )
    cloth, widest = weld(assembly, positions)
    closure = SeamClosure(len(assembly.seams), 0.0, widest, assembly.mismatch_mm)
    quick = settings.quick and settings.edge_mm is None
    return Draped(cloth, closure, speed, edge_mm, frames, seconds, upper_front(assembly, positions), quick)


def upper_front(assembly: Assembly, positions: FloatArray) -> str:
    """Which front lies uppermost where the fronts cross: the one whose lap is in front of the other's cloth."""
    fronts = [
        (index, piece)
        for index, piece in enumerate(assembly.pieces)
        if piece.panel.role == "trunk" and assembly.flat[assembly.piece == index, 0].min() < 0.0
    ]
    if len(fronts) != 2:
        return ""
    (left, left_piece), (right, right_piece) = fronts
    lap = positions[(assembly.piece == left) & (assembly.flat[:, 0] < 0.0)]
    other = positions[assembly.piece == right]
    beside = np.linalg.norm(lap[:, None, [0, 2]] - other[None, :, [0, 2]], axis=2).argmin(axis=1)
    ahead = np.median(lap[:, 1] - other[beside, 1])
    return left_piece.name if ahead < 0.0 else right_piece.name


def _dressing(body: Body, table: Timetable) -> list[tuple[int, FloatArray]]:
    """The body's path: flat and spread, then swollen, then arms lowered in small turns to the scanned skin."""
    spread = spread_of(body)
    flat, swollen = pose(body, spread, 1.0, FLATTENED), pose(body, spread, 1.0)
    path = [(1, flat), (table.sewn, flat), (table.swollen, swollen), (table.tied, swollen)]
    span = table.lowered - table.tied
    lowered = [
        (table.tied + span * turn // TURNS, pose(body, spread, 1.0 - turn / TURNS)) for turn in range(1, TURNS + 1)
    ]
    return [*path, *lowered]


def _pose_at(path: list[tuple[int, FloatArray]], frame: int) -> FloatArray:
    """(n, 3) float: the body at a frame, straight lines between the poses."""
    for (begin, before), (end, after) in itertools.pairwise(path):
        if frame < end:
            return before + (frame - begin) / (end - begin) * (after - before)
    return path[-1][1]


def _lay_out(
    body: Body, pattern: Pattern, garment: Garment, assembly: Assembly, flattened: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Flat points with the sash still so long that its ends meet, and where all lies round the flattened doll."""
    flat, laid = assembly.flat.copy(), assembly.laid.copy()
    for index, piece in enumerate(assembly.pieces):
        if piece.panel.role != "sash":
            continue
        own = assembly.piece == index
        ends = [assembly.edges[piece.name, end] for end in ("end_left", "end_right")]
        for _ in range(LOOSENED):
            short = abs(np.subtract(*(laid[end, 0].mean() for end in ends)))
            flat[own, 0] *= 1.0 + short / np.ptp(flat[own, 0])
            laid[own] = garment.lay(pattern, piece, flat[own])
    middle, half = _depth_range(flattened)
    layer = body.height_mm / LAYERS_PER_HEIGHT
    shoulder = _shoulder_top(body, flattened) + layer
    depth = np.sign(laid[:, 2]) * (half + layer * np.abs(laid[:, 2]))
    start = np.column_stack([laid[:, 0], middle - depth, shoulder + laid[:, 1]])
    return flat, start


def _between(loose: FloatArray, tight: FloatArray, share: float) -> FloatArray:
    """Flat points with the sash drawn by a share of the way."""
    return loose + share * (tight - loose)


def _tie(
    run: ClothRun, table: Timetable, assembly: Assembly, flat: FloatArray, positions: FloatArray, drawn: float
) -> float:
    """Draws the sash a little tighter, until it has its drafted length or resists; returns the share drawn."""
    if not table.swollen <= run.frame < table.tied or drawn >= 1.0:
        return drawn
    sash = np.flatnonzero([piece.panel.role == "sash" for piece in assembly.pieces])
    own = assembly.faces[np.isin(assembly.piece[assembly.faces[:, 0]], sash)]
    if not len(own):
        return 1.0
    ends = np.concatenate([own[:, [0, 1]], own[:, [1, 2]], own[:, [2, 0]]])
    along = np.abs(flat[ends[:, 0], 0] - flat[ends[:, 1], 0]) > np.abs(flat[ends[:, 0], 1] - flat[ends[:, 1], 1])
    ends = ends[along]
    length = np.linalg.norm(positions[ends[:, 0]] - positions[ends[:, 1]], axis=1)
    drafted = np.linalg.norm(flat[ends[:, 0]] - flat[ends[:, 1]], axis=1)
    if length.sum() > (1.0 + SASH_STRAIN) * drafted.sum():
        return drawn
    drawn = min(1.0, drawn + 1.0 / (table.tied - table.swollen))
    run.draw_tight(drawn)
    return drawn


def _depth_range(points: FloatArray) -> tuple[float, float]:
    """Middle and half of the extent from front to back."""
    low, high = points[:, 1].min(), points[:, 1].max()
    return float(0.5 * (low + high)), float(0.5 * (high - low))


def _shoulder_top(body: Body, flattened: FloatArray) -> float:
    """Height that the shoulder line must clear: the shoulder at the neck, and the arms when spread."""
    if "shoulder_height" not in body.measures:
        raise MeasureError("The shoulder height is missing; give it by hand, e.g. --measure shoulder_height=340mm.")
    arms = flattened[body.parts >= 2]
    arms = arms[body.parts[body.parts >= 2] <= 3]
    top = body.measures["shoulder_height"].mm
    return float(max(top, arms[:, 2].max(initial=top)))


def _upright(flat: FloatArray) -> FloatArray:
    """(n, 3) float: flat points as they stand in the XZ plane."""
    return np.column_stack([flat[:, 0], np.zeros(len(flat)), flat[:, 1]])


def _solver_settings(fabric: Fabric, edge_mm: float, scale: float, gentle: bool) -> Settings:
    """The fabric in the solver's terms."""
    plain = Settings()
    bending = bending_setting(fabric.bending_mm * scale, edge_mm * scale, plain.vertex_mass)
    return replace(plain, bending=bending, quality=plain.quality * (2 if gentle else 1))


def _bendable(fabric: Fabric, edge_mm: float) -> None:
    """The solver's stiffness has an upper limit: a stiff cloth cannot be meshed as finely as one likes."""
    scale = MAGNIFIED / 1000.0
    least = finest_edge(fabric.bending_mm * scale, Settings().vertex_mass) / scale
    if edge_mm < least:
        raise DrapeError(
            f"{fabric.name} of {fabric.bending_mm:.0f} mm bending length is too stiff for a mesh of {edge_mm:.1f} mm "
            f"edges: leave --edge out, or give {least:.1f} mm or more."
        )


def _stage(frame: int, table: Timetable) -> str:
    stages = (
        (table.sewn, "sewing the seams"),
        (table.swollen, "dressing the doll"),
        (table.tied, "tying the sash"),
        (table.lowered, "lowering the arms"),
        (table.hung, "hanging out"),
    )
    return next((name for end, name in stages if frame < end), "settling")


def _speed_p99(recent: list[FloatArray]) -> float:
    """99th percentile of vertex speed over the last frames, doll millimetres per simulated second."""
    moved = np.linalg.norm(recent[-1] - recent[0], axis=1)
    return float(np.percentile(moved, 99)) / (len(recent) - 1) * FRAMES_PER_SECOND


def _whole(positions: FloatArray, body: Body, assembly: Assembly) -> None:
    """Stops at once when the cloth has exploded: a number that is none, or cloth far from the doll."""
    reach = 2.0 * body.height_mm
    if not np.isfinite(positions).all() or np.abs(positions - [0.0, 0.0, body.height_mm / 2.0]).max() > reach:
        raise DrapeError(
            "The cloth exploded while it was sewn. Try a longer edge length (--edge) or check that the garment is not "
            "far too small for this doll."
        )


def _seam_gaps(positions: FloatArray, assembly: Assembly) -> FloatArray:
    """(k,) float: how far apart sewn partners are, mm."""
    return np.linalg.norm(positions[assembly.sewn[:, 0]] - positions[assembly.sewn[:, 1]], axis=1)


def _closed(positions: FloatArray, assembly: Assembly) -> None:
    """All seams must have closed so far that the weld is honest."""
    gaps = _seam_gaps(positions, assembly)
    worst = int(gaps.argmax())
    if gaps[worst] > WELD_MM:
        raise DrapeError(
            f"The seam {assembly.seams[assembly.seam[worst]]} stays {gaps[worst]:.1f} mm open, more than {WELD_MM} mm. "
            "The garment may be too tight there: give it more ease, or try a longer edge length (--edge)."
        )
