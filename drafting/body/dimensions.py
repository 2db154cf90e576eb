"""Every body dimension in one table: what it is, by which standard, and how the tape takes it.

Terms and definitions after ISO 8559-1:2017 and EN 13402-1:2001, adapted where a doll has no bones to feel for. The item
numbers of ISO 8559-1 are named where known; a rule that no standard gives is marked "common practice, no source".
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..errors import MeasureError
from . import length_rows, limb_rows, trunk_rows
from .body import SIDES, Measure
from .figure import Figure
from .neck import Marks
from .taking import Taken, Taking


@dataclass(frozen=True)
class Dimension:
    """One row of the table.

    Attributes
    ----------
    rule : str
        The definition, with the standard it follows.
    take : callable
        Of a `Taking`; of a `Taking` and a side where `sided`.
    """

    name: str
    rule: str
    take: Callable[..., Taken]
    sided: bool

    @classmethod
    def of(cls, take: Callable[..., Taken]) -> Dimension:
        """The row of a function, whose docstring is the definition."""
        rule = " ".join((inspect.getdoc(take) or "").split())
        return cls(take.__name__, rule, take, "side" in inspect.signature(take).parameters)


ROWS: tuple[Callable[..., Taken], ...] = (
    trunk_rows.height,
    trunk_rows.head_girth,
    trunk_rows.neck_girth,
    trunk_rows.neck_width,
    trunk_rows.shoulder_width,
    trunk_rows.shoulder_length,
    trunk_rows.chest_girth,
    trunk_rows.bust_girth,
    trunk_rows.underbust_girth,
    trunk_rows.waist_girth,
    trunk_rows.hip_girth,
    trunk_rows.upper_hip_girth,
    trunk_rows.rise,
    limb_rows.thigh_girth,
    limb_rows.knee_girth,
    limb_rows.calf_girth,
    limb_rows.ankle_girth,
    limb_rows.foot_length,
    limb_rows.heel_ankle_girth,
    limb_rows.upper_arm_girth,
    limb_rows.elbow_girth,
    limb_rows.wrist_girth,
    limb_rows.hand_girth,
    limb_rows.arm_length,
    length_rows.scye_depth,
    length_rows.back_waist_length,
    length_rows.front_waist_length,
    length_rows.bust_point_distance,
    length_rows.waist_height,
    length_rows.inside_leg,
    length_rows.shoulder_height,
    length_rows.span,
)
TABLE = [Dimension.of(take) for take in ROWS]
"""All dimensions, in the order in which a maker works down the body."""


def take_all(figure: Figure, marks: Marks) -> tuple[dict[str, Measure], tuple[str, ...]]:
    """All dimensions that this doll has, and the names of the missing ones with the reason."""
    on, found, missing = Taking(figure, marks), {}, []
    for row in TABLE:
        try:
            found[row.name] = _both(on, row) if row.sided else _once(on, row)
        except MeasureError as why:
            missing.append(f"{row.name}: {why}")
    return found, tuple(missing)


def _once(on: Taking, row: Dimension) -> Measure:
    mm, level, path = row.take(on)
    return Measure(row.name, float(mm), level, path=path)


def _both(on: Taking, row: Dimension) -> Measure:
    """A dimension that exists twice: the mean of both sides, or the one there is."""
    taken: dict[str, Taken] = {}
    why: MeasureError | None = None
    for side in SIDES:
        try:
            taken[side] = row.take(on, side)
        except MeasureError as error:
            why = error
    if not taken:
        raise why or MeasureError("neither side shows it")
    levels = [each[1] for each in taken.values() if each[1] is not None]
    shown = next(iter(taken.values()))
    left, right = (taken[side][0] if side in taken else None for side in SIDES)
    mean = float(np.mean([each[0] for each in taken.values()]))
    return Measure(row.name, mean, float(np.mean(levels)) if levels else None, left, right, shown[2])
