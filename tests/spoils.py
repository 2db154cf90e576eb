"""Sound dolls spoiled the way scans are: each class a generator of scans, the truth being the unspoiled doll.

A scan is a mesh in the doll's own frame (mm, upright, facing -Y) and how it is read; what is wrong is its class.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
import trimesh
from part_dolls import clipped

Points, Faces = np.ndarray, np.ndarray


@dataclass(frozen=True)
class Doll:
    """An upright doll, soles at 0: its mesh, its crotch, where its arms begin, and its height in mm."""

    points: Points
    faces: Faces
    crotch: float
    pit: np.ndarray

    @property
    def tall(self) -> float:
        """Crown above soles."""
        return float(np.ptp(self.points[:, 2]))


@dataclass(frozen=True)
class Spoiled:
    """One spoiled scan: what was done, its mesh, how it is read, and how many times the doll it is."""

    what: str
    points: Points
    faces: Faces
    asked: Mapping[str, object] = field(default_factory=dict)
    times: float = 1.0


Spoils = Callable[[Doll, np.random.Generator], Iterator[Spoiled]]


def both(doll: Doll, *others: trimesh.Trimesh) -> tuple[Points, Faces]:
    """The doll and other pieces in one mesh."""
    points, faces = [doll.points], [doll.faces]
    for other in others:
        faces.append(np.asarray(other.faces) + sum(map(len, points)))
        points.append(np.asarray(other.vertices))
    return np.vstack(points), np.vstack(faces)


def at(mesh: trimesh.Trimesh, x: float, y: float, z: float) -> trimesh.Trimesh:
    """A mesh moved."""
    mesh.apply_translation([x, y, z])
    return mesh


def with_height(doll: Doll, what: str, *others: trimesh.Trimesh, **asked: object) -> Spoiled:
    """The doll with other pieces, read by its true height."""
    return Spoiled(what, *both(doll, *others), {"height_mm": doll.tall, **asked})


def ball(size: float, fine: int = 1) -> trimesh.Trimesh:
    """A round speck."""
    return trimesh.creation.icosphere(fine, size / 2)


# --- loose pieces ---------------------------------------------------------------------------------------------------


def specks(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """Crumbs above the head, below the soles and beside, of all sizes; and a cloud of them."""
    tall = doll.tall
    for size in (0.002, 0.012, 0.03):
        for name, place in {
            "above": (0, 0, 1 + 0.15), "below": (0, 0, -0.12), "beside": (0.7, 0, 0.5), "before": (0, -0.6, 0.2),
            "far": (0.3, 2.5, 0.3),
        }.items():  # fmt: skip
            piece = at(ball(size * tall), *(tall * np.array(place)))
            yield with_height(doll, f"{100 * size:.1f} % {name}", piece)
    cloud = [at(ball(0.003 * tall), *(tall * chance.uniform(-0.8, 1.2, 3))) for _ in range(40)]
    away = [each for each in cloud if np.linalg.norm((each.centroid / tall - [0, 0, 0.5]) * [1, 2, 0.6]) > 0.55]
    yield with_height(doll, "cloud", *away)


def beside(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """What stands on the table with her: a cube, a turntable's board under her, a pole, a marker, two of them."""
    tall = doll.tall

    def box(*size: float) -> trimesh.Trimesh:
        return trimesh.creation.box(np.array(size) * tall)

    for size in (0.1, 0.25):
        yield with_height(doll, f"cube {size}", at(box(size, size, size), 0.6 * tall, 0, size * tall / 2))
    for gap in (0.004, 0.03):
        board = trimesh.creation.cylinder(0.5 * tall, 0.03 * tall, sections=64)
        yield with_height(doll, f"board {gap} below", at(board, 0, 0, -(0.015 + gap) * tall))
    board = at(trimesh.creation.cylinder(0.4 * tall, 0.03 * tall, sections=64), 0, 0, -0.014 * tall)
    yield with_height(doll, "board touching", board)
    pole = at(trimesh.creation.cylinder(0.015 * tall, 1.2 * tall, sections=24), 0.1 * tall, 0.35 * tall, 0.6 * tall)
    yield with_height(doll, "pole behind", pole)
    yield with_height(doll, "cubes", *(at(box(0.1, 0.1, 0.1), x * tall, y * tall, 0.05 * tall)
                                       for x, y in ((0.6, 0.3), (-0.6, 0.2), (0.5, -0.6))))  # fmt: skip
    grid = trimesh.creation.box([1.4 * tall, 1.2 * tall, 0.002 * tall]).subdivide().subdivide().subdivide()
    yield with_height(doll, "table top", at(grid, 0.1 * tall, 0, -0.02 * tall))


# --- the ground -----------------------------------------------------------------------------------------------------


def sheet(
    chance: np.random.Generator, reach: float, rough: float, level: Callable[[Points], Points]
) -> trimesh.Trimesh:
    """A scanned patch of ground with a ragged rim: an open sheet."""
    x, y = np.meshgrid(np.linspace(-1, 1, 61), np.linspace(-1, 1, 61))
    flat = np.stack([x.ravel(), y.ravel()], axis=1) * reach
    corner = np.arange(61 * 61).reshape(61, 61)
    a, b, c, d = (each.ravel() for each in (corner[:-1, :-1], corner[:-1, 1:], corner[1:, 1:], corner[1:, :-1]))
    faces = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    angle = np.arctan2(flat[:, 1], flat[:, 0])
    phase = chance.uniform(0, 2 * np.pi, 5)
    rim = reach * (0.8 + 0.04 * sum(np.sin((2 * i + 3) * angle + p) for i, p in enumerate(phase)))
    inside = (np.linalg.norm(flat, axis=1) < rim)[faces].all(axis=1)
    height = level(flat) + chance.normal(0, rough, len(flat))
    return trimesh.Trimesh(np.column_stack([flat, height]), faces[inside], process=True)


def ground(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """A patch of the table, a fold of cloth or a bowl at the soles."""
    tall = doll.tall
    for reach in (0.2, 0.5):
        yield with_height(
            doll, f"patch {reach}", sheet(chance, reach * tall, 0.0005 * tall, lambda p: 0.001 * tall + 0 * p[:, 0])
        )
    yield with_height(doll, "slope", sheet(chance, 0.4 * tall, 0.0005 * tall, lambda p: 0.002 * tall + 0.01 * p[:, 0]))
    yield with_height(
        doll,
        "cloth",
        sheet(chance, 0.5 * tall, 0.0005 * tall, lambda p: 0.004 * tall * (1 + np.sin(25 * p[:, 0] / tall))),
    )
    yield with_height(
        doll, "bowl", sheet(chance, 0.4 * tall, 0.0005 * tall,
                            lambda p: 0.001 * tall + 0.25 * np.clip(np.linalg.norm(p, axis=1) - 0.22 * tall, 0, None)),
    )  # fmt: skip


def stands(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """Round and square stands of several heights, grown together with the soles."""
    tall = doll.tall
    foot = doll.points[doll.points[:, 2] < 0.02 * tall]
    middle = (foot.min(axis=0) + foot.max(axis=0)) / 2
    for high in (0.012, 0.03, 0.06):
        round_ = trimesh.creation.cylinder(0.2 * tall, high * tall, sections=96)
        yield with_height(doll, f"round {high}", at(round_, middle[0], middle[1], (0.004 - high / 2) * tall))
        square = trimesh.creation.box([0.42 * tall, 0.36 * tall, high * tall])
        yield with_height(doll, f"square {high}", at(square, middle[0], middle[1], (0.004 - high / 2) * tall))


def on_the_head(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """A hat, ears, a bow, a bun grown together with the head."""
    tall = doll.tall
    crown = doll.points[doll.points[:, 2].argmax()]
    hat = trimesh.creation.cone(0.08 * tall, 0.2 * tall, sections=48)
    yield with_height(doll, "hat", at(hat, crown[0], crown[1], 0.96 * tall))
    brim = trimesh.util.concatenate(
        [at(trimesh.creation.cylinder(0.1 * tall, 0.01 * tall), crown[0], crown[1], 0.955 * tall),
         at(trimesh.creation.cylinder(0.05 * tall, 0.08 * tall), crown[0], crown[1], 0.985 * tall)]
    )  # fmt: skip
    yield with_height(doll, "brim", brim)
    ears = [trimesh.creation.capsule(0.1 * tall, 0.012 * tall) for _ in range(2)]
    yield with_height(
        doll,
        "ears",
        *(at(ear, crown[0] + x * tall, crown[1], 0.97 * tall) for ear, x in zip(ears, (-0.03, 0.03), strict=True)),
    )
    yield with_height(doll, "bun", at(ball(0.08 * tall, 3), crown[0], crown[1], 1.02 * tall))


# --- the pose -------------------------------------------------------------------------------------------------------


def turned(points: Points, mask: np.ndarray, pivot: np.ndarray, axis: np.ndarray, degrees: float) -> Points:
    """Points turned about a pivot by a share of an angle each."""
    axis = np.asarray(axis, float) / np.linalg.norm(axis)
    off, angle = points - pivot, np.radians(degrees) * mask[:, None]
    along = (off @ axis)[:, None] * axis
    return pivot + along + np.cos(angle) * (off - along) + np.sin(angle) * np.cross(axis, off)


def _soft(value: np.ndarray, wide: float) -> np.ndarray:
    """From 0 to 1 over so much."""
    share = np.clip(value / wide + 0.5, 0, 1)
    return share * share * (3 - 2 * share)


def _legs(doll: Doll) -> np.ndarray:
    """1 on the legs, 0 on trunk and arms."""
    arm = np.abs(doll.points[:, 0]) > 0.17 * doll.tall
    return np.where(arm, 0, _soft(doll.crotch + 0.03 * doll.tall - doll.points[:, 2], 0.08 * doll.tall))


def _arm(doll: Doll, side: int) -> np.ndarray:
    """1 on one arm, 0 elsewhere."""
    out = side * doll.points[:, 0]
    low = doll.points[:, 2] < doll.pit[2] - 0.08 * doll.tall
    return np.where(low & (out < 0.15 * doll.tall), 0, _soft(out - doll.pit[0], 0.05 * doll.tall))


def grounded(points: Points) -> Points:
    """Lowest point at 0."""
    return points - [0, 0, points[:, 2].min()]


def sitting(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """Thighs forward, knees bent; straight legs before her; kneeling."""
    tall, legs = doll.tall, _legs(doll)
    hip, knee = np.array([0, 0, doll.crotch + 0.03 * tall]), np.array([0, 0, 0.55 * doll.crotch])
    shin = _soft(0.55 * doll.crotch - doll.points[:, 2], 0.06 * tall)
    for name, bend, fold in (("chair", 85, -85), ("floor", 88, 0), ("kneeling", 0, 120), ("crouching", 100, -110)):
        points = turned(doll.points, shin, knee, np.array([1, 0, 0]), fold * -1.0)
        points = turned(points, legs, hip, np.array([1, 0, 0]), -1.0 * bend)
        yield Spoiled(name, grounded(points), doll.faces, {"height_mm": doll.tall})


def bending(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """Bent over at the waist, or to the side; lying on her side; walking."""
    tall = doll.tall
    waist = np.array([0, 0, doll.crotch + 0.14 * tall])
    up = _soft(doll.points[:, 2] - waist[2], 0.12 * tall)
    arm = np.abs(doll.points[:, 0]) > 0.17 * tall
    up = np.where(arm, 1, up)
    for name, axis, degrees in (("bow", (1, 0, 0), 40), ("deep bow", (1, 0, 0), 85), ("aside", (0, 1, 0), 30)):
        yield Spoiled(
            name, grounded(turned(doll.points, up, waist, np.array(axis), degrees)), doll.faces, {"height_mm": tall}
        )
    legs, hip = _legs(doll), np.array([0, 0, doll.crotch + 0.03 * tall])
    for degrees in (20, 40):
        points = doll.points
        for side in (1, -1):
            mine = legs * _soft(side * doll.points[:, 0], 0.01 * tall)
            points = turned(points, mine, hip, np.array([1, 0, 0]), side * degrees)
        yield Spoiled(f"walking {degrees}", grounded(points), doll.faces, {"height_mm": tall})


def raised(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """Arms level, and up beside and above the head."""
    tall = doll.tall
    for degrees in (90, 125):
        points = doll.points
        for side in (1, -1):
            pivot = np.array([side * doll.pit[0], doll.pit[1], doll.pit[2] + 0.03 * tall])
            points = turned(points, _arm(doll, side), pivot, np.array([0, 1, 0]), -side * degrees)
        yield Spoiled(f"raised {degrees}", points, doll.faces, {"height_mm": tall})
    pivot = np.array([doll.pit[0], doll.pit[1], doll.pit[2] + 0.03 * tall])
    one = turned(doll.points, _arm(doll, 1), pivot, np.array([0, 1, 0]), -125)
    yield Spoiled("one raised", one, doll.faces, {"height_mm": tall})


def hair(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """Hair bunched at the neck, a fall of it down the back, a pony's tail, two bunches."""
    tall = doll.tall
    back = float(doll.points[np.abs(doll.points[:, 2] - doll.pit[2]) < 0.02 * tall, 1].max())
    yield with_height(doll, "bunch", at(ball(0.12 * tall, 3), 0, back, 0.86 * tall))
    fall = trimesh.creation.capsule(0.3 * tall, 0.05 * tall, count=[32, 32])
    fall.apply_scale([1.3, 0.5, 1])
    yield with_height(doll, "long", at(fall, 0, back, 0.6 * tall))
    for side in (0.06,):
        pair = [
            at(trimesh.creation.capsule(0.2 * tall, 0.03 * tall), x * tall, 0.01 * tall, 0.72 * tall)
            for x in (-side, side)
        ]
        yield with_height(doll, "two bunches", *pair)


def wings(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """Wings on the back, a tail, a thing held, a bag at the hip."""
    tall = doll.tall
    back = float(doll.points[np.abs(doll.points[:, 2] - doll.pit[2]) < 0.02 * tall, 1].max())
    wing = [trimesh.creation.box([0.4 * tall, 0.01 * tall, 0.4 * tall]).subdivide().subdivide() for _ in range(2)]
    yield with_height(
        doll, "wings", *(at(each, x * 0.21 * tall, back, 0.75 * tall) for each, x in zip(wing, (-1, 1), strict=True))
    )
    hand = doll.points[doll.points[:, 0].argmax()]
    yield with_height(
        doll, "sword", at(trimesh.creation.box([0.01 * tall, 0.7 * tall, 0.02 * tall]).subdivide().subdivide(), *hand)
    )
    yield with_height(
        doll, "staff", at(trimesh.creation.cylinder(0.01 * tall, 1.1 * tall), hand[0], hand[1], 0.56 * tall)
    )
    hip = float(doll.points[np.abs(doll.points[:, 2] - doll.crotch) < 0.05 * tall, 1].max())
    yield with_height(
        doll,
        "bag",
        at(trimesh.creation.box([0.2 * tall, 0.1 * tall, 0.15 * tall]).subdivide(), 0, hip, doll.crotch + 0.05 * tall),
    )


def two(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """A second doll: hand in hand, back to back, smaller beside, far away."""
    other = trimesh.Trimesh(doll.points, doll.faces, process=False)
    wide = float(np.ptp(doll.points[:, 0]))
    yield with_height(doll, "hand in hand", at(other.copy(), 0.98 * wide, 0, 0))
    small = other.copy()
    small.apply_scale(0.6)
    yield with_height(doll, "small beside", at(small, wide, 0, 0))
    yield with_height(doll, "behind", at(other.copy(), 0, 0.12 * doll.tall, 0))


def parts(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """Half a doll: without legs, without feet, head, an arm, a hand; read by the height of the whole one."""
    tall, points = doll.tall, doll.points
    out = points[:, 0]
    low = points[:, 2] < doll.crotch
    span = float(out.max())
    kept = {
        "above the waist": points[:, 2] - (doll.crotch + 0.14 * tall),
        "above the thighs": points[:, 2] - 0.8 * doll.crotch,
        "no feet": points[:, 2] - 0.06 * tall,
        "no head": 0.85 * tall - points[:, 2],
        "no head or neck": doll.pit[2] + 0.07 * tall - points[:, 2],
        "left hand": np.where(low & (out < 0.15 * tall), 1, 0.85 * span - out),
        "left forearm": np.where(low & (out < 0.15 * tall), 1, 0.6 * span - out),
        "left arm": np.where(low & (out < 0.15 * tall), 1, doll.pit[0] + 0.03 * tall - out),
        "left foot": np.where(out > 0, points[:, 2] - 0.05 * tall, 1),
        "left leg": np.where((out > 0) & (points[:, 2] < doll.crotch + 0.05 * tall) & (out < 0.16 * tall),
                             points[:, 2] - 0.9 * doll.crotch, 1),
    }  # fmt: skip
    for name, value in kept.items():
        mesh = clipped(doll.points, doll.faces, np.asarray(value, float) + 1e-9)
        yield Spoiled(name, *mesh, {"height_mm": tall})


# --- the mesh -------------------------------------------------------------------------------------------------------


def rough(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """Noise, spikes, stray triangles, a second shell of noise, coarse triangles."""
    import fast_simplification

    tall, points = doll.tall, doll.points
    for share in (0.0005, 0.001, 0.0025, 0.004):
        moved = points + chance.normal(0, share * tall, points.shape)
        yield Spoiled(f"noise {100 * share:.2f} %", moved, doll.faces, {"height_mm": tall})
    for name, place, way in (
        ("crown", points[:, 2].argmax(), (0, 0, 1)), ("sole", points[:, 2].argmin(), (0, 0, -1)),
        ("bust", np.abs(points - [0.03 * tall, -0.2 * tall, doll.pit[2]]).sum(axis=1).argmin(), (0, -1, 0)),
        ("hip", np.abs(points - [0.15 * tall, 0, doll.crotch + 0.03 * tall]).sum(axis=1).argmin(), (1, 0, 0)),
    ):  # fmt: skip
        moved = points.copy()
        moved[place] += 0.1 * tall * np.array(way)
        yield Spoiled(f"spike {name}", moved, doll.faces, {"height_mm": tall})
    for count in (30, 300):
        corner = doll.points[chance.integers(0, len(points), count)]
        stray = np.repeat(corner, 3, axis=0) + chance.normal(0, 0.03 * tall, (3 * count, 3))
        faces = np.vstack([doll.faces, np.arange(3 * count).reshape(-1, 3) + len(points)])
        yield Spoiled(f"{count} stray", np.vstack([points, stray]), faces, {"height_mm": tall})
        near = chance.integers(0, len(points), (count, 3))
        yield Spoiled(
            f"{count} webs", points, np.vstack([doll.faces, near[np.ptp(near, axis=1) > 0]]), {"height_mm": tall}
        )
    normals = trimesh.Trimesh(points, doll.faces, process=False).vertex_normals
    shell = points + normals * chance.uniform(-0.002, 0.006, (len(points), 1)) * tall
    some = doll.faces[chance.random(len(doll.faces)) < 0.4] + len(points)
    yield Spoiled("second shell", np.vstack([points, shell]), np.vstack([doll.faces, some]), {"height_mm": tall})
    for count in (3000, 800, 300):
        coarse = fast_simplification.simplify(points.astype("f4"), doll.faces.astype("i4"), target_count=count)
        yield Spoiled(f"{count} triangles", *(np.asarray(each) for each in coarse), {"height_mm": tall})


def sizes(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """Files in inches, centimetres and metres without a word of it; heights and girths mistaken by a unit."""
    for tall in (200, 270, 420, 520, 600, 750):
        for unit, mm in (("in", 25.4), ("cm", 10.0), ("mm", 1.0), ("m", 1000.0)):
            yield Spoiled(f"{tall} in {unit}", doll.points * (tall / doll.tall / mm), doll.faces, {}, tall / doll.tall)
    for factor in (2.54, 10.0, 1 / 10.0, 25.4, 1 / 2.54):
        asked = {"height_mm": doll.tall * factor}
        yield Spoiled(f"height x {factor:.3g}", doll.points, doll.faces, asked)
        yield Spoiled(f"known x {factor:.3g}", doll.points, doll.faces, {"known": {"waist_girth": factor}})
        yield Spoiled(
            f"taped x {factor:.3g}", doll.points, doll.faces, {"height_mm": doll.tall, "taped": {"waist_girth": factor}}
        )
    for unit in ("cm", "in"):
        yield Spoiled(f"unit {unit}", doll.points, doll.faces, {"unit": unit})


def points_given(doll: Doll, chance: np.random.Generator) -> Iterator[Spoiled]:
    """Landmarks in centimetres, of a doll of another size, nowhere."""
    crotch, waist = np.array([0, 0, doll.crotch]), np.array([0, -20, doll.crotch + 0.15 * doll.tall])
    factors = {"cm": 0.1, "in": 1 / 25.4, "a larger doll's": 1.6, "a smaller doll's": 0.7, "nowhere": 1e9}
    for name, factor in factors.items():
        marks = {"crotch": factor * crotch, "waist_front": factor * waist}
        yield Spoiled(name, doll.points, doll.faces, {"height_mm": doll.tall, "landmarks": marks})


CLASSES: Mapping[str, Spoils] = {
    each.__name__: each
    for each in (specks, beside, ground, stands, on_the_head, sitting, bending, raised, hair, wings, two, parts, rough,
                 sizes, points_given)
}  # fmt: skip
