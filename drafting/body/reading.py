"""From the triangles of a scan to the skin of the doll alone, upright and true to size."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..errors import LengthError, ScanError
from .body import Doubt, FloatArray, IntArray, Skin
from .debris import without_needles, without_scraps
from .ground import find_ground, without_ground
from .mend import above, is_closed, shells, unfolded
from .pieces import Alone, the_doll
from .scan import LEAST_TRIANGLES, Scan
from .size import Scale, doubted, scale_for
from .skin import clean_skin
from .upright import AS_FOUND, Turned, find_stance
from .weld import compact

UPRIGHT = np.cos(np.radians(25))
"""She stands on what is level within this angle to her; else it is no ground but a thing that she wears or holds."""
HELD = 0.005
"""A skin whose height has come to differ by more than this share from the height given is sized again."""
ROUNDS = 3
"""A stand's height in mm and a size by girths depend on each other; so often one is found from the other."""
HIDDEN = "What she stands on was cut off, and hid her soles; tape her feet by hand."
LOOSE = "A piece that floats near her without touching was left out; if it is hers, join it to her in the scan."
Sizer = Callable[[Skin], Scale]
Said = Callable[[float], str]


@dataclass(frozen=True)
class Asked:
    """What the maker says about a scan; lengths in mm, None where it is found from the scan."""

    height_mm: float | None = None
    unit: str | None = None
    up: str | None = None
    front: str | None = None
    cut_below_mm: float | None = None
    turned: Turned = AS_FOUND

    @property
    def sized(self) -> bool:
        """Whether height or unit say how large she is."""
        return self.height_mm is not None or self.unit is not None


@dataclass(frozen=True)
class Standing:
    """The doll's own triangles, upright, in the scan's unit.

    Attributes
    ----------
    whole : bool
        Whether she is one closed shell.
    said : tuple of callables
        What was left out, each given how many mm a unit is.
    doubts : tuple of Doubt
        What was left out that may be hers, or was hidden.
    axes : (str, str)
        The scan's own, as `Stance` says.
    """

    vertices: FloatArray
    faces: IntArray
    whole: bool
    said: tuple[Said, ...]
    doubts: tuple[Doubt, ...] = ()
    axes: tuple[str, str] = ("", "")

    @property
    def tall(self) -> float:
        """Crown above soles."""
        return float(np.ptp(self.vertices[:, 2]))


def skin_of(scan: Scan, asked: Asked, by_girths: Sizer | None = None) -> Skin:
    """The doll's skin, upright and true to size.

    Parameters
    ----------
    by_girths : callable, optional
        Of a skin in the scan's unit, its size by the girths that the maker taped.

    Raises
    ------
    ScanError, LengthError, OptionError
    """
    cut = asked.cut_below_mm or 0.0
    if cut < 0 or not np.isfinite(cut):
        raise LengthError(f"cannot cut below {cut} mm: expected a height above the lowest point of the scan")
    standing = stood_up(scan, asked)
    scale = (
        _by_girths(standing, cut, by_girths)
        if by_girths
        else scale_for(standing.tall, asked.height_mm, asked.unit, scan.unit, cut)
    )
    if cut:
        if not cut < 0.5 * standing.tall * scale.mm:
            raise LengthError(
                f"cutting below {cut:g} mm leaves less than half of a doll of {standing.tall * scale.mm:.0f} mm"
            )
        standing = cut_off(standing, cut / scale.mm)
    notes = [*scan.notes, *(tell(scale.mm) for tell in standing.said), *([scale.note] if scale.note else [])]
    skin = clean_skin(standing.vertices * scale.mm, standing.faces, tuple(notes), standing.whole)
    skin = dataclasses.replace(skin, doubts=(*scale.doubts, *skin.doubts, *standing.doubts), axes=standing.axes)
    return _held(skin, asked.height_mm)


def _by_girths(standing: Standing, cut: float, sizer: Sizer) -> Scale:
    """The size by taped girths, with what stands below the cut left out."""
    scale = None
    for _ in range(ROUNDS if cut else 1):
        doll = cut_off(standing, cut / scale.mm) if scale and cut < 0.5 * standing.tall * scale.mm else standing
        scale = sizer(clean_skin(doll.vertices, doll.faces, (), doll.whole))
    assert scale is not None
    return dataclasses.replace(scale, doubts=(*scale.doubts, *doubted(standing.tall, standing.tall * scale.mm)))


def _held(skin: Skin, height_mm: float | None) -> Skin:
    """Mending may take something off the crown: the height is what was given."""
    tall = float(np.ptp(skin.vertices[:, 2]))
    if height_mm is None or abs(tall / height_mm - 1) < HELD:
        return skin
    vertices = (skin.vertices - [0, 0, skin.vertices[:, 2].min()]) * (height_mm / tall)
    return dataclasses.replace(skin, vertices=vertices)


def stood_up(scan: Scan, asked: Asked) -> Standing:
    """The doll alone, without debris and what she stands on, upright in the scan's unit."""
    doll, whole, said = _tidied(scan.vertices, scan.faces)
    grounded = False
    ground = find_ground(doll.vertices, doll.faces) if asked.cut_below_mm is None else None
    if ground is not None:
        free, free_whole, more = _tidied(*without_ground(doll.vertices, doll.faces, ground))
        stance = find_stance(free.vertices, free.faces, asked.up, asked.front, asked.turned)
        if stance.turn[2] @ ground.normal > UPRIGHT:
            wide = ground.wide
            more.append(
                lambda mm: f"Ground: what she stands on, {wide * mm:.0f} mm wide, was cut off at the level of its top."
            )
            doll, whole, said, grounded = free, free_whole, [*said, *more], True
    if not grounded:
        stance = find_stance(doll.vertices, doll.faces, asked.up, asked.front, asked.turned)
    note = stance.note
    doubts = [Doubt(about, HIDDEN) for about in ("foot_length", "heel_ankle_girth")] if grounded else []
    if doll.loose and not grounded:
        doubts.append(Doubt("body", LOOSE))
    return Standing(
        stance.place(doll.vertices), doll.faces, whole, (lambda mm: note, *said), tuple(doubts), stance.axes
    )


def cut_off(standing: Standing, level: float) -> Standing:
    """What of her is above a level, soles at 0 again."""
    vertices, faces = above(standing.vertices, standing.faces, level)
    doll, whole, said = _tidied(vertices, faces)
    low = doll.vertices[:, 2].min()
    return dataclasses.replace(
        standing, vertices=doll.vertices - [0, 0, low], faces=doll.faces, whole=whole, said=(*standing.said, *said)
    )


def _tidied(vertices: FloatArray, faces: IntArray) -> tuple[Alone, bool, list[Said]]:
    """The doll alone, whether she is one closed shell, and what to say about it."""
    said: list[Said] = []
    closed = is_closed(faces, len(vertices))
    scraps = 0
    if not closed:
        vertices, faces = compact(vertices, unfolded(faces))
        closed = is_closed(faces, len(vertices))
    if not closed:
        vertices, faces, scraps = without_scraps(vertices, faces)
        closed = is_closed(faces, len(vertices))
    shell = shells(vertices, faces, closed) if len(faces) else np.zeros(0, np.int64)
    doll = the_doll(vertices, faces, shell) if shell.any() else Alone(vertices, faces)
    if len(doll.faces) < LEAST_TRIANGLES:
        raise ScanError("the scan is made of loose crumbs only; join its points into one mesh and export it again")
    points, needles, highest = without_needles(doll.vertices, doll.faces)
    if scraps:
        said.append(lambda mm: f"Skin: {scraps} loose triangles and ragged scraps were left out.")
    if doll.specks:
        said.append(lambda mm: f"Skin: {doll.specks} floating specks were left out.")
    if doll.others:
        longest, count = doll.others[-1], len(doll.others)
        said.append(lambda mm: f"Pieces: {count} beside her were left out, the largest {longest * mm:.0f} mm long.")
    if needles:
        said.append(
            lambda mm: (
                f"Skin: {needles} points that stood out like needles, by up to {highest * mm:.1f} mm, were laid down."
            )
        )
    whole = closed and not (shell.any() and len(np.unique(shells(doll.vertices, doll.faces, closed))) > 1)
    return dataclasses.replace(doll, vertices=points), whole, said
