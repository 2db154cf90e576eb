"""The whole way from a file to a measured body."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from ..errors import MeasureError
from .body import Body, FloatArray, Measure, Skin
from .dimensions import TABLE, take_all
from .figure import figure_of
from .landmarks import find_landmarks, neck_ring
from .parts import label_parts
from .scan import read_scan
from .size import scale_for
from .skin import clean_skin
from .upright import find_stance


def read_doll(
    path: str | Path,
    *,
    height_mm: float | None = None,
    unit: str | None = None,
    up: str | None = None,
    front: str | None = None,
    cut_below_mm: float | None = None,
    known: Mapping[str, float] | None = None,
    landmarks: Mapping[str, FloatArray] | None = None,
    taped: Mapping[str, float] | None = None,
) -> Body:
    """Read a scan and measure the doll in it.

    Parameters
    ----------
    path : path
        STL, OBJ, PLY, OFF, GLB or glTF.
    height_mm, unit : optional
        True height, or the scan's unit ("mm", "cm", "in", "m"); with neither the unit is guessed and the guess noted.
    up, front : str, optional
        Axes of the scan ("+Z", "-Y" ...) where what the body shows is to be overruled.
    cut_below_mm : float, optional
        Leave out everything below this height above the lowest point, for a stand or base plate.
    known : mapping, optional
        Taped measures in mm, by which the scan is sized where no height is given.
    landmarks : mapping, optional
        Points in the upright body's millimetres that overrule those found.
    taped : mapping, optional
        Measures in mm that overrule those taken.

    Raises
    ------
    ScanError, LengthError, MeasureError, OptionError
    """
    scan = read_scan(path)
    stance = find_stance(scan.vertices, scan.faces, up, front)
    standing = stance.place(scan.vertices)
    scale, size_note = scale_for(float(standing[:, 2].max()), height_mm, unit, scan.unit)
    return measure(clean_skin(standing * scale, scan.faces, (*scan.notes, stance.note, size_note)), landmarks, taped)


def measure(
    skin: Skin, landmarks: Mapping[str, FloatArray] | None = None, taped: Mapping[str, float] | None = None
) -> Body:
    """Measure a skin that stands upright at its true size.

    Parameters
    ----------
    landmarks : mapping of str to (3,) float, optional
        Points that overrule those found; the measures follow them.
    taped : mapping of str to float, optional
        Measures in mm that overrule those taken.
    """
    figure = figure_of(skin)
    marks = find_landmarks(figure, landmarks)
    measures, missing = take_all(figure, marks)
    neck = neck_ring(figure, marks)
    parts = label_parts(figure.vertices, figure.arms, neck.level if neck else None, marks.get("crotch"))
    measures |= {name: _taped(name, mm) for name, mm in (taped or {}).items()}
    missing = tuple(each for each in missing if each.split(":")[0] not in measures)
    arms = {side: limb.arm for side, limb in figure.limbs.items()}
    return Body(dataclasses.replace(skin, notes=(*skin.notes,)), parts, marks, measures, arms, missing)


def _taped(name: str, mm: float) -> Measure:
    if name not in {row.name for row in TABLE}:
        raise MeasureError(f"there is no measure {name!r}: expected one of {', '.join(row.name for row in TABLE)}")
    if not np.isfinite(mm) or mm <= 0:
        raise MeasureError(f"{name} cannot be {mm} mm: expected a length greater than 0")
    return Measure(name, float(mm))
