"""What each button of steps 1 to 5 does, as plain functions over a scene; the operators only call these and report.

What takes a while is a generator (`opening`, `measuring`, `draping`); the function of the plain name runs it to an end.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import bpy
import numpy as np

from drafting.body.body import Body
from drafting.body.doll import measure as measure_skin
from drafting.cloth.draped import Draped
from drafting.cloth.fabric import FABRICS, Fabric
from drafting.errors import OptionError, ScanError
from drafting.fit.expected import Expected, expected_ease
from drafting.fit.stiffness import read_stiffness
from drafting.garments import GARMENTS
from drafting.garments.garment import Garment
from drafting.garments.layered import Beneath
from drafting.garments.robe_ease import ADULT_HEIGHT_MM
from drafting.pattern.pattern import Pattern
from drafting.units import format_length

from . import bridge, marks, own_cloth, preferences, rack, road, session, sheets, table
from .album import Cloth
from .asked import how_to_read, length_of, taped
from .drape import DrapeSettings, drape
from .properties import GARMENT, NO_CLOTH, cloths_of, option_texts
from .steps import Work, aside, finish

SAMPLES = "sample_meshes"
_expected: dict[tuple[str, str], tuple[Expected, ...]] = {}  # by the tokens of body and pattern
MOVED_MM = 0.01  # a point that lies farther than this from where it was found has been moved


def samples() -> dict[str, Path]:
    """The sample dolls by name: beside the add-on where it is installed, else the repository's."""
    here = Path(__file__).parent
    folder = next((place / SAMPLES for place in (here, here.parent) if (place / SAMPLES).is_dir()), None)
    if folder is None:
        return {}
    found = (path for path in sorted(folder.iterdir()) if path.suffix in {".glb", ".stl", ".ply"})
    return {path.stem: path for path in found}


def open_doll(scene: bpy.types.Scene, scan: Path) -> Body:
    """Read a scan, lay the doll and the tape on the table, and start anew from it."""
    return finish(opening(scene, scan))


def opening(scene: bpy.types.Scene, scan: Path) -> Work[Body]:
    """The same, a step at a time."""
    asked = how_to_read(scene)
    body = yield from aside("reading and measuring the doll", 0.0, lambda: asked.body(scan))
    yield from aside("keeping the doll", 0.9, lambda: session.ahead(body))
    settings = scene.toile
    preferences.start_with(scene)
    settings.scan = str(scan)
    settings.by_hand.clear()
    settings.lit = -1
    for name in [*body.measures, *(line.split(":")[0].split(" ")[0] for line in body.missing)]:
        settings.by_hand.add().name = name
    _on_the_table(scene, body, body, {})
    for other in ("earlier", "compared"):
        session.forget(scene, other)
    return body


def measure(scene: bpy.types.Scene) -> Body:
    """Measure the doll with what was changed since: her height or stance, points that were moved, the maker's tape."""
    return finish(measuring(scene))


def measuring(scene: bpy.types.Scene) -> Work[Body]:
    """The same, a step at a time."""
    scan, points = Path(bpy.path.abspath(scene.toile.scan)), {**given_points(scene), **moved_points(scene)}
    asked, by_hand = how_to_read(scene), taped(scene)
    scanned: Body = session.get(scene, "scanned")
    if not marks.holds(scene, "doll"):
        if not scan.is_file():
            raise ScanError(f"the scan {scan} is no longer there; open it again")
        points = {}  # they were of the doll as she was read before
        scanned = yield from aside("reading and measuring the doll", 0.0, lambda: asked.body(scan))
    elif points:
        skin = scanned.skin
        scanned = yield from aside("taking the tapes anew", 0.0, lambda: measure_skin(skin, points))
    body = road.with_tape(scanned, by_hand)
    yield from aside("keeping the doll", 0.9, lambda: session.ahead(scanned, body))
    _on_the_table(scene, scanned, body, points)
    return body


def tape_by_hand(scene: bpy.types.Scene) -> Body:
    """Take over what the maker's own tape says, without measuring anew; a draft that is there follows."""
    drafted = session.has(scene, "pattern")
    body = road.with_tape(session.get(scene, "scanned"), taped(scene))
    session.put(scene, "body", body)
    if drafted:
        draft(scene)
    return body


def _on_the_table(scene: bpy.types.Scene, scanned: Body, body: Body, points: Mapping[str, table.FloatArray]) -> None:
    """Keep and show a measured doll. The same skin stays where it is, and its draft follows the new measures."""
    before, drafted = session.get(scene, "scanned"), session.has(scene, "pattern")
    same = before is not None and before.skin.vertices is scanned.skin.vertices and table.doll_of(scene) is not None
    session.put(scene, "scanned", scanned)
    session.put(scene, "body", body)
    marks.keep(scene, "doll")
    scene["toile_points"] = {name: point.tolist() for name, point in points.items()}
    if not same:
        table.lay_doll(scene, body)
    table.lay_tape(scene, body)
    table.lay_landmarks(scene, body)
    if same and drafted:
        draft(scene)


def given_points(scene: bpy.types.Scene) -> dict[str, table.FloatArray]:
    """The points that the maker had moved before the tapes were last taken, mm."""
    kept = scene.get("toile_points")
    return {name: np.array(point) for name, point in kept.items()} if kept else {}


def moved_points(scene: bpy.types.Scene) -> dict[str, table.FloatArray]:
    """The points that the maker has dragged since the tapes were taken, where they lie now, mm."""
    body = session.get(scene, "scanned")
    if body is None:
        return {}
    lie = table.landmarks(scene)
    return {
        name: point
        for name, point in lie.items()
        if name in body.landmarks and abs(point - body.landmarks[name]).max() > MOVED_MM
    }


def draft(scene: bpy.types.Scene) -> Pattern:
    """Draft the garment for the doll on the table and lay its panels beside it."""
    body = session.get(scene, "body")
    pattern = road.pattern_of(body, garment(), option_texts(scene.toile))
    session.put(scene, "pattern", pattern)
    sheets.lay_panels(scene, body, pattern)
    marks.keep(scene, "draft")
    return pattern


def draping(scene: bpy.types.Scene) -> Work[Draped]:
    """Sew and drape, a step at a time; the scene changes only when it is done.

    Raises
    ------
    OptionError, ClothError
        Before the work: a cloth or a print that cannot be used.
    """
    body, pattern, look = session.get(scene, "body"), session.get(scene, "pattern"), cloth(scene)
    with marks.made(scene, "drape"):
        below = beneath(scene, pattern)
        draped = yield from drape(body, pattern, garment(), fabric(scene), settings_of(scene), below)
    yield from aside("keeping the drape", 1.0, lambda: session.ahead(draped))
    session.put(scene, "drape", draped)
    rack.lay_robe(scene, draped, look)
    scene.toile.picture = plain_picture(scene)
    return draped


def settings_of(scene: bpy.types.Scene) -> DrapeSettings:
    """What was chosen of the drape."""
    return DrapeSettings(length_of(scene.toile.edge), scene.toile.quality == "quick")


def colour_robe(scene: bpy.types.Scene) -> None:
    """Show the robe in the cloth that is chosen; a print without its true width waits for that."""
    settings = scene.toile
    if settings.printed and not settings.printed_width.strip():
        return
    draped, chosen = session.get(scene, "drape"), cloth(scene)
    for robe in table.ours(scene, "robe"):
        rack.dress(robe, draped.cloth if draped else None, chosen)
    if settings.picture in {"plain", "print"}:
        settings.picture = plain_picture(scene)


def plain_picture(scene: bpy.types.Scene) -> str:
    """What the robe shows when it shows no numbers: its print where it has one."""
    return "print" if scene.toile.printed else "plain"


def garment() -> Garment:
    """The garment that is drafted."""
    return GARMENTS[GARMENT]


def fabric(scene: bpy.types.Scene) -> Fabric:
    """The cloth that is chosen, with its lining."""
    return cloths_of(scene.toile)[0] or own_cloth.chosen_in(scene)


def beneath(scene: bpy.types.Scene, pattern: Pattern) -> Beneath | None:
    """The under-robe that is chosen, drafted to a robe; None where there is none."""
    if scene.toile.under == NO_CLOTH:
        return None
    cloths = (fabric(scene), FABRICS[scene.toile.under])
    return road.beneath_of(session.get(scene, "body"), garment(), pattern, cloths, {})


def expected(scene: bpy.types.Scene) -> tuple[Expected, ...]:
    """The ease that the draft promises at each level, in the cloths that are chosen; empty where nothing is drafted.
    Worked out once for each draft, as a panel draws it often.
    """
    body, pattern = session.get(scene, "body"), session.get(scene, "pattern")
    if body is None or pattern is None:
        return ()
    of = (session.token(scene, "body"), session.token(scene, "pattern"))
    if of not in _expected:
        thickness, beneath = (float(pattern.options.get(name, 0.0)) for name in ("cloth_thickness", "cloth_beneath"))
        _expected.clear()
        _expected[of] = expected_ease(body, pattern, garment(), thickness, beneath)
    return _expected[of]


def words_of(cloth: Fabric, height_mm: float, unit: str) -> str:
    """What a cloth does on a doll of this size, in words and one number; a robe may be as long as the doll is high."""
    stiff = read_stiffness(cloth, height_mm, height_mm / ADULT_HEIGHT_MM)
    return f"{stiff.behaviour} at this size: {format_length(stiff.hangs_mm, unit)} must hang free to fall straight down"


def cloth(scene: bpy.types.Scene) -> Cloth:
    """How the cloth looks: its colour, or its print.

    Raises
    ------
    OptionError
        The picture cannot be read, or its true width is missing.
    """
    settings, thickness = scene.toile, fabric(scene).thickness_mm
    if not settings.printed:
        return Cloth(tuple(settings.colour), thickness)
    path, wide = bpy.path.abspath(settings.printed), print_width(scene)
    try:
        return Cloth(tuple(settings.colour), thickness, bridge.load_png(path), wide)
    except RuntimeError as error:
        raise OptionError(f"{path} cannot be read as a picture; choose a PNG or JPEG file") from error


def print_width(scene: bpy.types.Scene) -> float:
    """How wide the print's picture is in cloth, mm.

    Raises
    ------
    OptionError, LengthError
        It is missing, or is no length.
    """
    wide = length_of(scene.toile.printed_width)
    if wide is None:
        raise OptionError("Give the print's true width, such as 200mm: how wide the picture is in cloth")
    return wide
