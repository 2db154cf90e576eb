"""The whole way from a file to a measured body."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from ..errors import MeasureError
from ..words import plain
from .body import SIDES, Body, Doubt, FloatArray, Measure, Skin
from .dimensions import TABLE, take_all
from .figure import Figure, figure_of
from .fineness import coarse
from .landmarks import find_landmarks
from .neck import neck_ring
from .parts import label_parts
from .plausible import improbable, misplaced, mistaken
from .reading import Asked, skin_of
from .scan import read_scan
from .size import Scale
from .upright import AS_FOUND, Turned

AGREE = 0.02
"""Taped measures that ask for scales farther apart than this are told."""
DIFFERS_MM, DIFFERS = 1.0, 0.02
"""Left and right that differ by more than either are told."""


def read_doll(
    path: str | Path,
    *,
    height_mm: float | None = None,
    unit: str | None = None,
    up: str | None = None,
    front: str | None = None,
    cut_below_mm: float | None = None,
    turned: Turned = AS_FOUND,
    known: Mapping[str, float] | None = None,
    landmarks: Mapping[str, FloatArray] | None = None,
    taped: Mapping[str, float] | None = None,
) -> Body:
    """Read a scan and measure the doll in it.

    Parameters
    ----------
    path : path
        STL, OBJ, PLY, OFF, 3MF, GLB or glTF.
    height_mm, unit : optional
        True height, or the scan's unit ("mm", "cm", "in", "m"); with neither the unit is guessed and doubtful.
    up, front : str, optional
        Axes of the scan ("+Z", "-Y" ...) where what the body shows is to be overruled.
    cut_below_mm : float, optional
        Leave out everything below this height above the lowest point, for a stand or base plate.
    turned : Turned
        What the maker turned since.
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
    asked, girths = Asked(height_mm, unit, up, front, cut_below_mm, turned), dict(known or {})
    sizer = None if asked.sized or not girths else lambda skin: _size_by(measure(skin), girths)
    skin = skin_of(read_scan(path), asked, sizer)
    body = measure(skin, landmarks, taped)
    return _compared(body, girths) if asked.sized and girths else body


def _size_by(body: Body, known: Mapping[str, float]) -> Scale:
    """The size of a skin in the scan's unit by measures that the maker has taped: the mean of what they ask for."""
    factors = _factors(body, known)
    mean, listed = float(np.mean(list(factors.values()))), _listed(factors)
    note = f"Size: set by taped measures, scan units to mm: {listed}; the mean {mean:.4g} is used."
    if max(factors.values()) <= (1 + AGREE) * min(factors.values()):
        return Scale(mean, note)
    said = f"The taped measures disagree about the size ({listed}); tape them again."
    return Scale(mean, note, (Doubt("size", said),))


def _compared(body: Body, known: Mapping[str, float]) -> Body:
    """A body of a given size, held against measures that the maker has taped."""
    factors = _factors(body, known)
    note = f"Size: kept as given; the taped measures would scale it by {_listed(factors)}."
    doubts = body.doubts
    if max(abs(factor - 1) for factor in factors.values()) > AGREE:
        off = f"The given size and the taped measures disagree: by these she is {_listed(factors)} times as large."
        doubts = (Doubt("size", f"{off} Tape them and her height again."), *doubts)
    skin = dataclasses.replace(body.skin, notes=(*body.skin.notes, note))
    return dataclasses.replace(body, skin=skin, doubts=doubts)


def _factors(body: Body, known: Mapping[str, float]) -> dict[str, float]:
    """By how much each taped measure would scale a body."""
    factors = {}
    for name, mm in known.items():
        wanted = _taped(name, mm).mm
        if name not in body.measures:
            raise MeasureError(f"the {plain(name)} cannot set the size: this doll does not show it", about=[name])
        factors[name] = wanted / body.measures[name].mm
    return factors


def _listed(factors: Mapping[str, float]) -> str:
    return ", ".join(f"{plain(name)} {factor:.4g}" for name, factor in factors.items())


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
    doubts = misplaced(figure, landmarks, find_landmarks(figure)) if landmarks else ()
    measures, missing = take_all(figure, marks)
    neck = neck_ring(figure, marks)
    parts = label_parts(figure.vertices, figure.arms, neck.level if neck else None, marks.get("crotch"))
    told = (*improbable(figure, marks, measures), *coarse(skin, measures))
    doubts += tuple(each for each in told if each.about not in (taped or {}))
    hands = {name: _taped(name, mm) for name, mm in (taped or {}).items()}
    doubts += mistaken(taped or {}, measures)
    measures |= hands
    missing = tuple(each for each in missing if each.split(":")[0] not in measures)
    arms = {side: limb.arm for side, limb in figure.limbs.items()}
    notes = tuple(dict.fromkeys((*skin.notes, *_stumps(figure), *_one_sided(figure, marks), *_uneven(measures))))
    return Body(dataclasses.replace(skin, notes=notes), parts, marks, measures, arms, missing, (*skin.doubts, *doubts))


def _stumps(figure: Figure) -> list[str]:
    """What to tell about arms without hands."""
    ends = [side for side, limb in figure.limbs.items() if not limb.hand]
    taken = "only the other is measured" if len(ends) < len(figure.limbs) else "its length is taken to its end"
    return [f"Arms: the {side} arm ends without a hand; {taken}." for side in ends]


def _one_sided(figure: Figure, marks: Mapping[str, FloatArray]) -> list[str]:
    """What to tell about a limb that has no fellow."""
    said = []
    for side, other in (SIDES, SIDES[::-1]):
        if other in figure.limbs and side not in figure.limbs:
            said.append(f"Arms: no {side} arm stands clear of the body; only the other is measured.")
        if f"toe_{other}" in marks and f"toe_{side}" not in marks:
            said.append(f"Legs: the {side} leg ends without a foot; only the other's is measured.")
    return said


def _uneven(measures: Mapping[str, Measure]) -> list[str]:
    """What to tell about sides that differ."""
    said = []
    for each in measures.values():
        if each.left is None or each.right is None:
            continue
        apart = abs(each.left - each.right)
        if apart > DIFFERS_MM or apart > DIFFERS * each.mm:
            said.append(
                f"Sides: {plain(each.name)} is {each.left:.1f} mm on the left and {each.right:.1f} mm on the right."
            )
    return said


def _taped(name: str, mm: float) -> Measure:
    if name not in {row.name for row in TABLE}:
        known = ", ".join(plain(row.name) for row in TABLE)
        raise MeasureError(f"there is no measure {plain(name)!r}: expected one of {known}", about=[name])
    if not np.isfinite(mm) or mm <= 0:
        raise MeasureError(f"the {plain(name)} cannot be {mm} mm: expected a length greater than 0", about=[name])
    return Measure(name, float(mm))
