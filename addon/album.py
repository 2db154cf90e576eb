"""The pictures of a fit, for the verbs and the window: views from all sides, the room, a listing, variants compared."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np

from drafting.body.body import Body
from drafting.cloth.draped import Draped
from drafting.cloth.mesh import ClothMesh
from drafting.fit.surface import SEEN, read_surface
from drafting.scratch import scratch

from . import bridge
from .bridge import FloatArray, Pixels
from .lettering import lettered
from .shades import Scale, mark_text, scale_of, shades
from .steps import Step, Work, finish
from .studio import colour as colours
from .studio import engine
from .studio.covered import drawn_in
from .studio.movie import movie
from .studio.stage import FORM, INDIGO, RESIN, WALL, Doll, Dress, Stage, View, framing, stage

TURNS = {"front": 0.0, "back": 180.0, "side": 90.0}
LISTING_RAYS = 6  # for each pixel; the smoothing afterwards does the rest
INK = (0.13, 0.13, 0.15)
WHITE, PALER = (1.0, 1.0, 1.0), 0.7  # an under-robe is shown so far on the way from the robe's colour to white
SHAPES = {"square": (1, 1), "portrait": (4, 5), "banner": (3, 1)}


@dataclass(frozen=True)
class Cloth:
    """How the cloth looks: a colour, or a picture of printed cloth and how wide it is in truth."""

    colour: colours.Colour = INDIGO
    thickness_mm: float = 0.2
    printed: Pixels | None = None
    printed_width_mm: float = 0.0

    @property
    def under(self) -> Cloth:
        """What an under-garment is shown in: plain, and paler."""
        return Cloth(colours.mix(self.colour, WHITE, PALER), self.thickness_mm)

    def dress(self, mesh: ClothMesh) -> Dress:
        """The same on a mesh."""
        if self.printed is None:
            return Dress(colour=self.colour, thickness_mm=self.thickness_mm)
        high, wide, _ = self.printed.shape
        size = np.array([self.printed_width_mm, self.printed_width_mm * high / wide])
        uv = on_the_bolt(mesh) / size
        return Dress(thickness_mm=self.thickness_mm, image=self.printed, uv=uv, seams=False)


def on_the_bolt(mesh: ClothMesh) -> FloatArray:
    """(m, 3, 2) float: where each face corner is cut from the cloth, mm; the second of two pieces is cut mirrored."""
    mirrored = np.array([name.endswith(".right") for name in mesh.pieces])[mesh.piece]
    return mesh.flat * np.where(mirrored[:, None, None], [-1.0, 1.0], [1.0, 1.0])


@dataclass(frozen=True)
class Setting:
    """How pictures for showing are taken.

    Attributes
    ----------
    shape : {"square", "portrait", "banner"}
        1:1, 4:5 and 3:1.
    backdrop : Colour or None
        SRGB; None leaves the ground transparent.
    plain_form : bool
        Show a plain dress form's colour instead of skin.
    """

    shape: str = "square"
    backdrop: colours.Colour | None = WALL
    plain_form: bool = False

    def sides(self, size: int) -> tuple[int, int]:
        """Width and height in pixels, the longer of them `size`."""
        wide, high = SHAPES[self.shape]
        return round(size * wide / max(wide, high)), round(size * high / max(wide, high))


def fit_pictures(body: Body, draped: Draped, cloth: Cloth, size: int) -> dict[str, bytes]:
    """front.png, back.png, side.png in the cloth's colour; room.png, room_back.png, pull.png, touch.png in colours."""
    return finish(fit_shots(body, draped, cloth, size))


def fit_shots(body: Body, draped: Draped, cloth: Cloth, size: int) -> Work[dict[str, bytes]]:
    """The same, a picture at a time."""
    doll = _doll(body, draped, cloth)
    centre, span = framing([doll])
    shots: dict[str, Pixels] = {}
    with shown(doll) as set_up:
        for count, (name, turn) in enumerate(TURNS.items()):
            yield Step(f"taking {name}", 0.5 * count / len(TURNS))
            shots[name] = on_wall(set_up.shoot(View(turn, centre, span), size, size))
    above = centre - [0.0, 0.0, 0.035 * span]  # room for the scale below the feet
    yield Step("taking the room", 0.5)
    surface = read_surface(draped.cloth, body.skin, cloth.thickness_mm)
    for count, name in enumerate(SEEN):
        yield Step(f"taking {name}", 0.6 + 0.4 * count / len(SEEN))
        turns = {name: 0.0} | ({f"{name}_back": 180.0} if name == "room" else {})
        views = {view: View(turn, above, span) for view, turn in turns.items()}
        shots |= _coloured(doll, shades(surface, body.height_mm)[name], views, size)
        scale = scale_of(name, body.height_mm, surface.contact_mm)
        shots |= {view: _with_scale(shots[view], scale) for view in views}
    return {f"{name}.png": png(shot) for name, shot in shots.items()}


def listing(body: Body, draped: Draped, cloth: Cloth, size: int) -> dict[str, bytes]:
    """listing_front.png, _three_quarter, _back and _detail, as for a shop's page: a long lens and soft lamps.

    Rays are traced, so that the doll stands on its own shadow.
    """
    return finish(listing_shots(body, draped, cloth, size))


def listing_shots(
    body: Body, draped: Draped, cloth: Cloth, size: int, setting: Setting | None = None
) -> Work[dict[str, bytes]]:
    """The same, a picture at a time, in a setting of choice."""
    setting = setting or Setting()
    doll = _doll(body, draped, cloth, setting.plain_form)
    centre, span = framing([doll])
    wide, high = setting.sides(size)
    span *= max(wide, high) / high if wide > high else 1.0  # a banner shows the whole doll in its lower side
    collar = np.array([0.0, 0.0, 0.72 * body.height_mm])
    views = {
        "front": View(0.0, centre, span, pitch=4.0, lens_mm=85.0),
        "three_quarter": View(35.0, centre, span, pitch=6.0, lens_mm=85.0),
        "back": View(180.0, centre, span, pitch=4.0, lens_mm=85.0),
        "detail": View(18.0, collar, 0.3 * span, pitch=6.0, lens_mm=85.0),
    }
    taken = {}
    with stage([doll], which=engine.CYCLES, samples=LISTING_RAYS) as set_up:
        for count, (name, view) in enumerate(views.items()):
            yield Step(f"taking {name.replace('_', ' ')}", count / len(views))
            taken[f"listing_{name}.png"] = png(before(set_up.shoot(view, wide, high), setting.backdrop))
    return taken


def turntable_shots(
    body: Body, draped: Draped, cloth: Cloth, size: int, setting: Setting, frames: int, film: bool = False
) -> Work[dict[str, bytes]]:
    """turn_001.png and on: once round the doll in even turns; and turn.mp4 where it is wanted and Blender can."""
    doll = _doll(body, draped, cloth, setting.plain_form)
    centre, span = framing([doll])
    wide, high = setting.sides(size)
    span *= max(wide, high) / high if wide > high else 1.0
    taken = {}
    with shown(doll) as set_up:
        for frame in range(frames):
            yield Step("taking the turntable", frame / frames)
            shot = set_up.shoot(View(360.0 * frame / frames, centre, span), wide, high)
            taken[f"turn_{frame + 1:03d}.png"] = png(before(shot, setting.backdrop))
    yield Step("putting the film together", 0.99)
    made = movie(taken, wide, high) if film else None
    return taken if made is None else {**taken, "turn.mp4": made}


def compare_sheet(
    body: Body, variants: Sequence[tuple[Draped, Sequence[str]]], cloth: Cloth, size: int
) -> dict[str, bytes]:
    """compare.png: each variant from the front, same camera and light, with its lines of text below it."""
    return finish(sheet_shots(body, variants, cloth, size))


def sheet_shots(
    body: Body, variants: Sequence[tuple[Draped, Sequence[str]]], cloth: Cloth, size: int
) -> Work[dict[str, bytes]]:
    """The same, a variant at a time."""
    dolls = [_doll(body, draped, cloth) for draped, _ in variants]
    centre, span = framing(dolls)
    columns: list[Pixels] = []
    for doll, (_, lines) in zip(dolls, variants, strict=True):
        yield Step("taking the variants", len(columns) / len(dolls))
        with shown(doll) as set_up:
            shot = on_wall(set_up.shoot(View(0.0, centre, span), size, size))
        columns.append(np.concatenate([shot, lettered(lines, size, size // 3, INK, WALL)]))
    return {"compare.png": png(np.concatenate(columns, axis=1))}


def _doll(body: Body, draped: Draped, cloth: Cloth, plain_form: bool = False) -> Doll:
    skin = FORM if plain_form else RESIN
    under = Dress() if draped.under is None else cloth.under.dress(draped.under)
    worn = [draped.cloth] if draped.under is None else [draped.under, draped.cloth]
    vertices = drawn_in(body.skin.vertices, body.skin.faces, worn)
    return Doll(vertices, body.skin.faces, draped.cloth, cloth.dress(draped.cloth), skin, draped.under, under)


def _coloured(doll: Doll, values: FloatArray, views: Mapping[str, View], size: int) -> dict[str, Pixels]:
    """Shots of the cloth in colours by vertex, from dark blue at 0 to yellow at 1."""
    dress = Dress(vertex_colours=colours.cividis(values), seams=False)
    with shown(Doll(doll.vertices, doll.faces, doll.cloth, dress)) as set_up:
        return {name: on_wall(set_up.shoot(view, size, size)) for name, view in views.items()}


def _with_scale(shot: Pixels, scale: Scale) -> Pixels:
    """A shot with a bar of the colours below, and what they mean at its marks."""
    size = len(shot)
    wide, thick, top = 2 * (size // 3), max(2, size // 60), size - size // 15
    left = (size - wide) // 2
    shot = shot.copy()
    along = np.linspace(0.0, 1.0, wide)
    bar = np.rint(colours.cividis(np.round(along) if scale.two else along) * 255.0)
    shot[top : top + thick, left : left + wide, :3] = bar
    room, high = wide // len(scale.marks), size // 26
    for share, value in scale.marks:
        text = mark_text(value, "mm", share == 1.0)
        middle = left + round(share * (wide - 1))
        shot[top - thick // 2 : top + thick, middle : middle + max(1, size // 900), :3] = np.array(INK) * 255.0
        at, under = min(middle - room // 2, size - room), top + thick + 1
        shot[under : under + high, at : at + room] = lettered([text], room, high, INK, WALL)[: size - under]
    return shot


@contextmanager
def shown(doll: Doll) -> Iterator[Stage]:
    """A doll on the stage in soft light, its cloth in a colour, in colours by vertex, or printed."""
    with stage([doll]) as set_up:
        shading = set_up.room.scene.display.shading
        if doll.dress.image is not None:
            shading.color_type = "TEXTURE"
        elif doll.dress.vertex_colours is not None:
            shading.color_type = "VERTEX"  # of everything: what has no such colours would be white
            for thing in set_up.room.collection.all_objects:
                if thing.type == "MESH" and not thing.data.color_attributes:
                    skin = np.tile(colours.paint(doll.colour), (len(thing.data.vertices), 1))
                    bridge.colour_attribute(thing.data, "skin", skin)
        yield set_up


def on_wall(shot: Pixels) -> Pixels:
    """A shot before a plain wall."""
    return before(shot, WALL)


def before(shot: Pixels, backdrop: colours.Colour | None) -> Pixels:
    """A shot before a plain colour, or before nothing."""
    height, width, _ = shot.shape
    return shot if backdrop is None else colours.over(shot, colours.plain(width, height, backdrop))


def png(pixels: Pixels) -> bytes:
    """(h, w, 4) uint8 as a PNG file's bytes."""
    with scratch() as folder:
        return bridge.save_png(pixels, folder / "picture.png").read_bytes()
