"""The road in plain steps, for the command line and for the window alike: scan -> body -> pattern."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from drafting.body.body import Body, FloatArray, Measure
from drafting.body.doll import read_doll
from drafting.body.upright import AS_FOUND, Turned
from drafting.cloth.fabric import Fabric
from drafting.errors import ScanError
from drafting.garments.garment import Garment
from drafting.garments.layered import Beneath
from drafting.garments.options import read_options
from drafting.garments.under import under_robe
from drafting.pattern.pattern import Pattern


def body_of(
    scan: Path,
    *,
    height_mm: float | None = None,
    unit: str | None = None,
    up: str | None = None,
    front: str | None = None,
    cut_below_mm: float | None = None,
    turned: Turned = AS_FOUND,
    known: Mapping[str, float] | None = None,
    landmarks: Mapping[str, FloatArray] | None = None,
    by_hand: Mapping[str, float] | None = None,
) -> Body:
    """Read and measure a doll; measures taken by hand replace those of the scan.

    Raises
    ------
    ScanError, MeasureError
        The file cannot be read, is not a body, or a measure by hand has an unknown name.
    """
    if not scan.is_file():
        raise ScanError(f"{scan} is not a file; give a scan as .stl, .obj, .ply, .3mf or .glb")
    return read_doll(
        scan,
        height_mm=height_mm,
        unit=unit,
        up=up,
        front=front,
        cut_below_mm=cut_below_mm,
        turned=turned,
        known=known,
        landmarks=landmarks,
        taped=by_hand,
    )


def with_tape(body: Body, by_hand: Mapping[str, float]) -> Body:
    """The same doll with measures by the maker's own tape, mm; where on the body each was taken is kept."""
    taken = {
        name: replace(body.measures[name], mm=mm, left=None, right=None) if name in body.measures else Measure(name, mm)
        for name, mm in by_hand.items()
    }
    missing = tuple(line for line in body.missing if line.split(":")[0] not in taken)
    return replace(body, measures={**body.measures, **taken}, missing=missing)


def pattern_of(body: Body, garment: Garment, options: Mapping[str, str]) -> Pattern:
    """Draft a garment for a body, options as written by the maker.

    Raises
    ------
    OptionError, MeasureError, DraftError
        With the name of what cannot be.
    """
    return garment.draft(_lengths(body), read_options(garment, options))


def beneath_of(
    body: Body, garment: Garment, outer: Pattern, cloths: tuple[Fabric, Fabric], options: Mapping[str, str]
) -> Beneath:
    """Draft what is worn beneath a garment that was drafted: its cloth is the second, `options` are what differs.

    Raises
    ------
    OptionError, MeasureError, DraftError
        With the name of what cannot be.
    """
    return Beneath(garment, under_robe(garment, _lengths(body), outer, cloths, options), cloths[1])


def _lengths(body: Body) -> dict[str, float]:
    return {name: measure.mm for name, measure in body.measures.items()}
