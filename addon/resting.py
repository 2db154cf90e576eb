"""Coming to rest: dressed cloth, halved as often as it is to be finer, hangs out and is stilled."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from drafting.body.body import Body
from drafting.cloth.crossing import crossing_pairs
from drafting.cloth.untangle import untangled

from . import bridge
from .dressing import Dressed, between, draw_sash
from .dummy import Dummy
from .sewing import weld
from .solver import ClothRun, Path, Settings
from .steps import Seen, Step, Work, aside
from .watch import SPEED_WINDOW, WELD_MM, refuse_exploded, seam_gaps, speed_p99

FloatArray = NDArray[np.float64]

STAGE = "settling"
HUNG = 8  # frames in which finer cloth hangs out before it is stilled
DRAWN = 40  # frames in which the sash is drawn once more
SLUGGISH = 4.0  # times its mass: half the steps, while drag rules all motion
LAYERS = 2  # under a sash, about: one at the back and two at the lap, each with room to the next
STEPS_AT_ONCE = 5  # of the solver, between which a window lives
LIGHTER = 0.05  # the solver caps its drag: a twentieth of the mass, and of all forces, feels twenty times as much


def hang(body: Body, dressed: Dressed, dummy: Dummy, cloth: Settings) -> Work[Dressed]:
    """Lets the cloth hang out for a while, neither held nor stilled.

    Raises
    ------
    DrapeError
        The cloth exploded.
    """
    dressed, _ = yield from _worn(body, dressed, dummy, cloth.at_rest(), 0, lambda frame, _: frame > HUNG, 0)
    return dressed


def taken_in(dressed: Dressed, thinner_mm: float) -> Dressed:
    """A sash that is to be drawn once more only by what the layers under it lose: each takes 2 pi of its thickness.

    Drawn wholly, as one that is tied tight is, it presses the pleats under it flat: fine cloth crumples there.
    """
    if dressed.tie == "tight":
        return dressed
    flat, tight = dressed.assembly.flat, dressed.tight
    left = 2.0 * np.abs(flat - tight).max()  # the strip shortens towards its middle
    layers = LAYERS * (2 if len(dressed.assembly.under) else 1)
    share = min(1.0, 2.0 * np.pi * layers * max(0.0, thinner_mm) / left) if left else 0.0
    return replace(dressed, tight=between(flat, tight, share))


def rest(
    body: Body, dressed: Dressed, dummy: Dummy, cloth: Settings, settled_mm_s: float, most_frames: int
) -> Work[tuple[Dressed, float]]:
    """Lets the cloth hang out and then stills it by heavy drag, until it is at rest and its seams are closed.

    The sash is drawn once more at first: layers lie closer than while the doll was dressed, and it would slide down.
    Cloth that has slipped through cloth is pulled apart before it is stilled.

    Parameters
    ----------
    settled_mm_s : float
        At rest when the fastest hundredth of the vertices is slower, doll millimetres per simulated second.
    most_frames : int
        No longer than this.

    Returns
    -------
    Dressed
        The cloth at rest, or after the longest time.
    float
        The speed of its fastest hundredth, doll mm/s.

    Raises
    ------
    DrapeError
        The cloth exploded.
    """
    begun, last = dressed.frames, dressed.frames + most_frames

    def hung(frame: int, _: list[FloatArray]) -> bool:
        return frame >= min(HUNG, most_frames)

    def still(frame: int, recent: list[FloatArray]) -> bool:
        slow = frame > SPEED_WINDOW and speed_p99(recent) <= settled_mm_s
        closed = slow and seam_gaps(recent[-1], dressed.assembly).max() <= WELD_MM
        return closed or dressed.frames + frame >= last

    dressed, recent = yield from _worn(body, dressed, dummy, cloth.at_rest(), DRAWN, hung, 0)
    stilled = replace(cloth.lighter(LIGHTER).at_rest(), inertia=SLUGGISH)
    if dressed.frames < last:
        gone = dressed.frames - begun
        dressed = yield from aside(STAGE, _share(gone), partial(parted, dressed))
        dressed, recent = yield from _worn(body, dressed, dummy, stilled, DRAWN - HUNG, still, gone)
    return dressed, speed_p99(recent)


def parted(dressed: Dressed) -> Dressed:
    """Cloth that has slipped through cloth pulled apart, its seams closed; nothing is changed where nothing crosses."""
    cloth, _ = weld(dressed.assembly, dressed.positions)
    if not len(crossing_pairs(cloth.vertices, cloth.faces)):
        return dressed
    positions = dressed.positions.copy()
    positions[dressed.assembly.faces] = untangled(cloth.vertices, cloth.faces)[cloth.faces]
    return replace(dressed, positions=positions)


def _worn(
    body: Body,
    dressed: Dressed,
    dummy: Dummy,
    cloth: Settings,
    drawn_in: int,
    done: Callable[[int, list[FloatArray]], bool],
    gone: int,
) -> Work[tuple[Dressed, list[FloatArray]]]:
    """The cloth on the standing doll, its sash drawn in so many frames, until it is done; and where it was last.

    After so many frames that have `gone` before.
    """
    with bridge.workroom("drape") as room:
        run = run_on(room, dressed, dummy, _standing(body, dummy), replace(cloth, most_steps=STEPS_AT_ONCE))
        recent, drawn, loose = [dressed.positions], 0.0, dressed.assembly.flat
        while not done(run.frame, recent):
            if 1 < run.frame < drawn_in:  # drawn at the first frame, the cloth would begin as its flat layout
                flat = between(loose, dressed.tight, drawn)
                drawn = draw_sash(run, dressed.assembly, flat, recent[-1], drawn, 1.0 / drawn_in, dressed.tie)
            for _ in run.parts():
                yield Step(STAGE, _share(gone + run.frame))
            recent = [*recent[-SPEED_WINDOW:], run.positions()]
            refuse_exploded(recent[-1], body)
            yield Step(STAGE, _share(gone + run.frame), _seen(recent[-1], dressed, body))
        frames, seconds = dressed.frames + run.frame, dressed.seconds + run.seconds
        assembly = replace(dressed.assembly, flat=between(loose, dressed.tight, drawn))
        return replace(dressed, assembly=assembly, positions=recent[-1], frames=frames, seconds=seconds), recent


def run_on(
    room: bridge.Room,
    dressed: Dressed,
    dummy: Dummy,
    path: Path,
    cloth: Settings,
    weight: Sequence[tuple[int, float]] = ((1, 1.0),),
) -> ClothRun:
    """The cloth from where it is, on a doll that moves along a path."""
    assembly = dressed.assembly
    return ClothRun(
        room,
        bridge.polygons(assembly.faces, assembly.squares),
        [dressed.positions, *(np.insert(flat, 1, 0.0, axis=1) for flat in (assembly.flat, dressed.tight))],
        np.concatenate([assembly.sewn, assembly.tied]),
        dummy.faces,
        path,
        weight,
        cloth,
        under=assembly.under,
    )


def _share(frames: int) -> float:
    """Of coming to rest, about: nobody knows how long it takes."""
    return frames / (frames + DRAWN)


def _standing(body: Body, dummy: Dummy) -> Path:
    return [(1, dummy.follow(body.skin.vertices))]


def _seen(positions: FloatArray, dressed: Dressed, body: Body) -> Seen:
    return Seen(positions, dressed.assembly.faces, body.skin.vertices, body.skin.faces)
