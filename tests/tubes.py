"""Cloths and bodies of known shape: every length of theirs is a closed form."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from drafting.body.body import Arm, Body, Measure, Skin
from drafting.cloth.draped import Draped, SeamClosure
from drafting.cloth.mesh import ClothMesh
from drafting.pattern.panel import Edge, Panel
from drafting.pattern.pattern import Pattern, Rule

Curve = Callable[[np.ndarray], np.ndarray]


@dataclass
class Weaver:
    """Gathers pieces of cloth; vertices of the same key are one."""

    index: dict = field(default_factory=dict)
    vertices: list = field(default_factory=list)
    faces: list = field(default_factory=list)
    flat: list = field(default_factory=list)
    piece: list = field(default_factory=list)
    pieces: list = field(default_factory=list)
    roles: list = field(default_factory=list)
    edges: dict = field(default_factory=dict)

    def add(
        self,
        name: str,
        role: str,
        x: np.ndarray,
        y: np.ndarray,
        key: Callable[[np.ndarray], np.ndarray],
        place: Callable[[np.ndarray], np.ndarray],
        edges: Mapping[str, Callable[[np.ndarray], np.ndarray]] | None = None,
        mirrored: bool = False,
    ) -> None:
        """A grid of x by y; `key` joins vertices, `place` puts them into space, `edges` choose those along an edge.

        x may be (len(y), k): each row its own stations.
        """
        rows = np.broadcast_to(x, (len(y), np.shape(x)[-1]))
        flat = np.stack([rows, np.broadcast_to(y[:, None], rows.shape)], axis=2)
        points = flat.reshape(-1, 2)
        keys, where = key(points), place(points)
        index = np.zeros(len(points), dtype=int)
        for i, (k, spot) in enumerate(zip(keys, where, strict=True)):
            label = tuple(np.round(np.atleast_1d(k), 6) + 0.0)
            if label not in self.index:
                self.index[label] = len(self.vertices)
                self.vertices.append(spot)
            index[i] = self.index[label]
        n = rows.shape[1]
        low = (np.arange(len(y) - 1)[:, None] * n + np.arange(n - 1)).ravel()
        quad = np.concatenate([np.stack([low, low + 1, low + n + 1], 1), np.stack([low, low + n + 1, low + n], 1)])
        quad = quad[:, ::-1] if mirrored else quad
        self.faces.append(index[quad])
        self.flat.append(points[quad])
        self.piece.append(np.full(len(quad), len(self.pieces)))
        self.pieces.append(name)
        self.roles.append(role)
        for edge, choose in (edges or {}).items():
            self.edges[name, edge] = np.unique(index[choose(points)])

    def cloth(self) -> ClothMesh:
        return ClothMesh(
            np.array(self.vertices, dtype=float),
            np.concatenate(self.faces),
            np.concatenate(self.flat),
            np.concatenate(self.piece),
            tuple(self.pieces),
            tuple(self.roles),
            self.edges,
        )


def circle(radius: float) -> Curve:
    """Arc length from the centre front, counter-clockwise seen from above, to x, y."""
    return lambda s: radius * np.column_stack([np.sin(s / radius), -np.cos(s / radius)])


def wrap(
    curve: Curve,
    quarter: float,
    lap: float | Callable[[np.ndarray], np.ndarray],
    bottom: float,
    top: float,
    columns: int = 60,
    band: float = 0.0,
    weaver: Weaver | None = None,
) -> Weaver:
    """A robe without sleeves that lies on one curve at all heights.

    Two backs and two fronts, each a quarter wide, the fronts with a lap beyond the centre line; a lap that is a
    function of the height may slope. Flat y = z - top. A band of the given width goes on from each front's edge.
    """
    weaver = weaver or Weaver()
    y = np.linspace(bottom - top, 0.0, 41)
    past = np.broadcast_to(lap(y + top) if callable(lap) else lap, y.shape).astype(float)
    whole = np.broadcast_to(np.linspace(0, quarter, columns + 1), (len(y), columns + 1))
    front = -past[:, None] + np.linspace(0, 1, columns + 1) * (quarter + past)[:, None]
    strips = {
        "front.left": (front, lambda x: x),
        "back.left": (whole, lambda x: 2 * quarter - x),
        "back.right": (whole, lambda x: 2 * quarter + x),
        "front.right": (front, lambda x: 4 * quarter - x),
    }

    def put(name: str, role: str, x: np.ndarray, run: Callable[[np.ndarray], np.ndarray], mirrored: bool) -> None:
        weaver.add(
            name,
            role,
            x,
            y,
            lambda p: np.column_stack([run(p), p[:, 1] + top]),
            lambda p: np.column_stack([curve(run(p)), p[:, 1] + top]),
            {"hem": lambda p: np.isclose(p[:, 1], bottom - top)},
            mirrored,
        )

    for name, (x, along) in strips.items():
        put(name, "trunk", x, lambda p, along=along: along(p[:, 0]), name in ("back.left", "front.right"))
    if band:
        edge = lambda p: np.interp(p[:, 1], y, past)  # noqa: E731 - the front's edge at each height
        strip = np.linspace(0, band, 5)
        put("band.left", "band", strip, lambda p: -edge(p) - p[:, 0], True)
        put("band.right", "band", strip, lambda p: 4 * quarter + edge(p) + p[:, 0], False)
    return weaver


def tube_body(radius: float, height: float, arm: Arm | None = None, sides: int = 180) -> Body:
    """An upright cylinder with flat ends, measured at three levels; arms as given, mirrored on the right."""
    turn = np.linspace(0, 2 * np.pi, sides, endpoint=False)
    ring = radius * np.column_stack([np.cos(turn), np.sin(turn)])
    rows = [np.column_stack([ring, np.full(sides, z)]) for z in np.linspace(0, height, 31)]
    vertices = np.concatenate([*rows, [[0, 0, 0], [0, 0, height]]])
    i, j = np.arange(sides), np.roll(np.arange(sides), -1)
    faces = []
    for row in range(len(rows) - 1):
        a, b = row * sides, (row + 1) * sides
        faces += [np.stack([a + i, a + j, b + j], 1), np.stack([a + i, b + j, b + i], 1)]
    last = (len(rows) - 1) * sides
    faces += [np.stack([np.full(sides, len(vertices) - 2), j, i], 1)]
    faces += [np.stack([np.full(sides, len(vertices) - 1), last + i, last + j], 1)]
    girth = 2 * np.pi * radius
    measures = {
        f"{name}_girth": Measure(f"{name}_girth", girth, share * height)
        for name, share in (("bust", 0.7), ("waist", 0.6), ("hip", 0.5))
    }
    arms = {}
    if arm is not None:
        measures["wrist_girth"] = Measure("wrist_girth", 40.0)
        measures["upper_arm_girth"] = Measure("upper_arm_girth", 50.0, float(arm.axis[0, 2] - 0.3 * arm.wrist))
        mirror = np.array([-1.0, 1.0, 1.0])
        arms = {"left": arm, "right": Arm(arm.axis * mirror, arm.elbow, arm.wrist)}
    skin = Skin(vertices, np.concatenate(faces), ("The unit was not known; millimetres were guessed.",))
    return Body(skin, np.zeros(len(vertices), dtype=np.int64), {}, measures, arms)


def sleeve(weaver: Weaver, arm: Arm, side: str, start: float, end: float, drop: float, radius: float) -> None:
    """A sleeve folded over an arm: a half round of the radius above it, then straight down across the arm.

    x runs along the arm from `start` to `end`, mm from the joint; y from -drop to drop, its fold on top of the arm.
    """
    sign = 1.0 if side == "left" else -1.0
    along = arm.axis[-1] - arm.axis[0]
    along = along / np.linalg.norm(along) * [sign, 1, 1]
    joint = arm.axis[0] * [sign, 1, 1]
    front = np.array([0.0, -1.0, 0.0])
    down = np.cross(front, along) * sign
    down = down if down[2] < 0 else -down

    def place(p: np.ndarray) -> np.ndarray:
        y = np.abs(p[:, 1])
        turn = np.minimum(y / radius, np.pi / 2)
        hang = np.maximum(y - radius * np.pi / 2, 0.0)
        out = np.where(p[:, 1] < 0, 1.0, -1.0) * radius * np.sin(turn)
        return (
            joint
            + (start + p[:, 0])[:, None] * along
            + out[:, None] * front
            + (hang - radius * np.cos(turn))[:, None] * down
        )

    weaver.add(
        f"sleeve.{side}",
        "sleeve",
        np.linspace(0, end - start, 31),
        np.linspace(-drop, drop, 161),
        lambda p: np.column_stack([p, np.full(len(p), 1e5 * sign)]),
        place,
        {
            "bottom_front": lambda p: np.isclose(p[:, 1], -drop),
            "bottom_back": lambda p: np.isclose(p[:, 1], drop),
            "wrist_front": lambda p: np.isclose(p[:, 0], end - start) & (p[:, 1] <= 1e-9),
            "wrist_back": lambda p: np.isclose(p[:, 0], end - start) & (p[:, 1] >= -1e-9),
        },
        side == "right",
    )


def straight_arm(joint: np.ndarray, degrees: float, length: float) -> Arm:
    """A left arm lowered by so many degrees from the horizontal; the hand is the last fifth."""
    along = np.array([np.cos(np.radians(degrees)), 0.0, -np.sin(np.radians(degrees))])
    axis = np.asarray(joint, dtype=float) + np.linspace(0, length, 11)[:, None] * along
    return Arm(axis, 0.4 * length, 0.8 * length)


def pattern_of(cloth: ClothMesh, **options: object) -> Pattern:
    """A pattern that knows the cloth's panels by name and grain only: the warp runs along y."""
    names = sorted({name.removesuffix(".left").removesuffix(".right") for name in cloth.pieces})
    grain = np.array([[0.0, 0.0], [0.0, 1.0]])
    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    edges = tuple(Edge(f"e{i}", np.stack([square[i], square[(i + 1) % 4]])) for i in range(4))
    paired = {name.split(".")[0] for name in cloth.pieces if "." in name}
    panels = tuple(Panel(name, edges, 2 if name in paired else 1, "trunk", grain) for name in names)
    rules = (Rule("width", 75.0, "quarter of hip girth 286 mm = 71.5 mm, up to 75 mm"),)
    return Pattern("robe", panels, (), (), rules, {"hip_girth": 286.0}, options)


def draped(cloth: ClothMesh, open_mm: float = 0.0, lap: str = "front.left", quick: bool = False) -> Draped:
    return Draped(cloth, SeamClosure(8, open_mm, 0.4, 0.0), 2.5, 5.0, 120, 20.0, lap, quick)


class PlainRobe:
    """What the fit needs of a garment: its name and the ease it wants."""

    name = "robe"
    options = ()

    def __init__(self, low: float, high: float) -> None:
        self.low, self.high = low, high

    def wanted(self, level: str, body_girth_mm: float, scale: float, thickness_mm: float) -> tuple[float, float]:
        return self.low, self.high
