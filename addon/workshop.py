"""What each button does, as plain functions over a scene; the operators only call these and report."""

from __future__ import annotations

from collections.abc import Generator
from pathlib import Path

import bpy

from drafting.body.body import Body
from drafting.cloth.draped import Draped
from drafting.cloth.fabric import FABRICS, Fabric
from drafting.errors import LengthError, ScanError
from drafting.files import write_files
from drafting.fit.fit import Fit, read_fit
from drafting.garments import GARMENTS
from drafting.garments.garment import Garment
from drafting.pattern.pattern import Pattern
from drafting.units import parse_length

from . import preferences, road, session, table
from .album import Cloth, fit_pictures
from .drape import DrapeSettings, Step, drape
from .properties import GARMENT, option_texts

SAMPLES = "sample_meshes"


def samples() -> dict[str, Path]:
    """The sample dolls by name: beside the add-on where it is installed, else the repository's."""
    here = Path(__file__).parent
    folder = next((place / SAMPLES for place in (here, here.parent) if (place / SAMPLES).is_dir()), None)
    if folder is None:
        return {}
    found = (path for path in sorted(folder.iterdir()) if path.suffix in {".glb", ".stl", ".ply"})
    return {path.stem: path for path in found}


def open_doll(scene: bpy.types.Scene, scan: Path) -> Body:
    """Read a scan, lay the doll on the table, and start anew from it."""
    settings = scene.toile
    body = road.body_of(scan, height_mm=_length(settings.height))
    preferences.start_with(scene)
    settings.scan = str(scan)
    settings.by_hand.clear()
    for name in [*body.measures, *(line.split(":")[0].split(" ")[0] for line in body.missing)]:
        settings.by_hand.add().name = name
    session.put(scene, "body", body)
    table.lay_doll(scene, body)
    return body


def measure(scene: bpy.types.Scene) -> Body:
    """Read the doll again with the height and the measures given by hand, and lay the tape on it."""
    settings = scene.toile
    scan = Path(bpy.path.abspath(settings.scan))
    if not scan.is_file():
        raise ScanError(f"the scan {scan} is no longer there; open it again")
    by_hand = {row.name: length for row in settings.by_hand if (length := _length(row.by_hand))}
    body = road.body_of(scan, height_mm=_length(settings.height), by_hand=by_hand)
    session.put(scene, "body", body)
    table.lay_doll(scene, body)
    table.lay_tape(scene, body)
    return body


def draft(scene: bpy.types.Scene) -> Pattern:
    """Draft the garment for the doll on the table and lay its panels beside it."""
    body = session.get(scene, "body")
    pattern = road.pattern_of(body, garment(), option_texts(scene.toile))
    session.put(scene, "pattern", pattern)
    table.lay_panels(scene, body, pattern)
    return pattern


def draping(scene: bpy.types.Scene) -> Generator[Step, None, Draped]:
    """Sew and drape, a step at a time; the scene changes only when it is done."""
    settings = scene.toile
    body, pattern = session.get(scene, "body"), session.get(scene, "pattern")
    draped = yield from drape(body, pattern, garment(), fabric(scene), DrapeSettings(edge_mm=_length(settings.edge)))
    session.put(scene, "drape", draped)
    table.lay_robe(scene, draped, tuple(settings.colour))
    return draped


def fit(scene: bpy.types.Scene) -> Fit:
    """Read how the draped garment fits."""
    body, pattern, draped = (session.get(scene, step) for step in ("body", "pattern", "drape"))
    result = read_fit(body, draped, pattern, garment(), fabric(scene), {})
    session.put(scene, "fit", result)
    return result


def pictures(scene: bpy.types.Scene) -> list[Path]:
    """Take the fit's pictures and write them into the chosen folder."""
    settings = scene.toile
    body, draped = session.get(scene, "body"), session.get(scene, "drape")
    taken = fit_pictures(body, draped, Cloth(tuple(settings.colour), fabric(scene).thickness_mm), settings.size)
    return write_files(bpy.path.abspath(settings.folder), taken)


def garment() -> Garment:
    """The garment that is drafted."""
    return GARMENTS[GARMENT]


def fabric(scene: bpy.types.Scene) -> Fabric:
    """The cloth that is chosen."""
    return FABRICS[scene.toile.fabric]


def _length(text: str) -> float | None:
    """A length in mm, None where the field is empty.

    Raises
    ------
    LengthError
        Not a length, or not above zero.
    """
    if not text.strip():
        return None
    value = parse_length(text)
    if value <= 0.0:
        raise LengthError(f"{text}: a length above 0 is expected")
    return value
