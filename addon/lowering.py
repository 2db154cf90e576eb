"""Lowering the arms of a dressed doll, and letting the cloth hang out."""

from __future__ import annotations

from dataclasses import dataclass, replace

from drafting.body.body import Body

from . import bridge
from .dressing import WEIGHTLESS, Dressed
from .dummy import Dummy
from .poses import Poses, pose_at
from .resting import run_on
from .solver import Settings
from .steps import Seen, Step, Work
from .watch import refuse_exploded

WEIGHED = 10  # frames in which the cloth takes on its weight
SWINGLESS = 0.3  # share of the mass and of all forces at which the drag just stops a swinging skirt
SLUGGISH = 3.0  # times its mass: fewer steps, and the drag still rules


@dataclass(frozen=True)
class LoweringTimes:
    """Frames at which the arms are down, and the cloth has hung out."""

    lowered: int = 51
    hung: int = 91


def lower(
    body: Body, dressed: Dressed, dummy: Dummy, poses: Poses, times: LoweringTimes, drag: float, cloth: Settings
) -> Work[Dressed]:
    """Brings the arms down to the scanned pose.

    Raises
    ------
    DrapeError
        The cloth exploded.
    """
    faces = dressed.assembly.faces
    with bridge.workroom("drape") as room:
        path = [(frame, dummy.follow(skin)) for frame, skin in poses]
        run = run_on(room, dressed, dummy, path, replace(cloth, air_damping=drag), [(1, WEIGHTLESS), (WEIGHED, 1.0)])
        positions = dressed.positions
        while run.frame < times.hung:
            if run.frame == times.lowered:
                hanging = replace(cloth.at_rest(), sewing_force=cloth.sewing_force).lighter(SWINGLESS)
                run.tune(replace(hanging, inertia=SLUGGISH))
            positions = run.step()
            refuse_exploded(positions, body)
            stage = "lowering the arms" if run.frame <= times.lowered else "hanging out"
            seen = Seen(positions, faces, pose_at(poses, run.frame), body.skin.faces)
            yield Step(stage, run.frame / times.hung, seen)
        return replace(
            dressed, positions=positions, frames=dressed.frames + run.frame, seconds=dressed.seconds + run.seconds
        )
