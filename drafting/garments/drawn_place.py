"""Where the panels of a drawing lie on the body: by their seams and shapes, and where these do not tell by her word.

A drawn panel's frame begins at the corner of its box. A worn one's is the frame of every `Panel`: x from the centre
line, y from the shoulder line; for a sleeve x from the armhole, y from its fold.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from ..errors import DraftError
from ..pattern.panel import Edge, FloatArray, Panel
from ..pattern.pattern import Pattern
from ..pattern.seam import Seam
from ..pattern.shape import farthest, mirrored
from .wear import FACES, Wear

EVEN = 0.1  # mm: the two halves of a panel may differ by this much and still have a middle; as a seam's partners may
STRAIGHT = 1e-3  # of its length: a band's sewn edge may be so much longer than the straight way


@dataclass(frozen=True)
class Place:
    """A panel's worn frame within its drawn one.

    Attributes
    ----------
    origin : (2,) float
        mm.
    turn : (2, 2) float
        The worn frame's axes, one a row.
    reason : str
        What told it.
    """

    origin: FloatArray
    turn: FloatArray = field(default_factory=lambda: np.eye(2))
    reason: str = ""

    def worn(self, points: FloatArray) -> FloatArray:
        """Points of the drawn frame in the worn one."""
        return (points - self.origin) @ self.turn.T

    def of(self, panel: Panel) -> Panel:
        """The panel in its worn frame."""
        edges = tuple(Edge(edge.name, self.worn(edge.points)) for edge in panel.edges)
        return Panel(panel.name, edges, panel.cut, panel.role, self.worn(panel.grain), panel.order)


def faces(pattern: Pattern, wear: Wear) -> dict[str, str]:
    """Which face of the body every trunk panel lies on: "front" or "back".

    As the maker says, else as a panel's name says; else a panel lies on the same face as one that it is sewn to side by
    side, and on the other face than one that it is sewn to lying on it.

    Raises
    ------
    DraftError
        Names a panel for which nothing tells.
    """
    trunk = [panel for panel in pattern.panels if panel.role == "trunk"]
    told = {panel.name: wear.of(panel.name).lies or _named(panel.name) for panel in trunk}
    found = {name: face for name, face in told.items() if face}
    seams = _between(pattern, trunk)
    grown = -1
    while grown < len(found):
        grown = len(found)
        for seam in seams:
            for one, other in ((seam.a[0], seam.b[0]), (seam.b[0], seam.a[0])):
                if one in found and other not in found:
                    found[other] = FACES[FACES.index(found[one]) ^ _lies_over(seam)]
    if lost := [name for name in told if name not in found]:
        raise DraftError(
            f'{wear.called(lost[0])}: does it lie in front or at the back? Write lies = "front" in [panels.{lost[0]}].'
        )
    return found


def place_trunk(pattern: Pattern, wear: Wear, drop: float) -> dict[str, Place]:
    """The places of all trunk panels.

    Parameters
    ----------
    drop : float
        How far below the shoulder line the garment's highest point lies, mm.

    Raises
    ------
    DraftError
        Names a panel whose centre line nothing tells.
    """
    trunk = [panel for panel in pattern.panels if panel.role == "trunk"]
    centres = {panel.name: _centre(pattern, panel, wear) for panel in trunk}
    places: dict[str, Place] = {}
    while left := [panel for panel in trunk if panel.name not in places]:
        first = next((panel for panel in left if centres[panel.name] is not None), None)
        if first is None:
            raise DraftError(
                f'{wear.called(left[0].name)}: where is its centre line? Write centre = "left", "middle" or how far it '
                f'is from its left side, such as "30mm", in [panels.{left[0].name}].'
            )
        joined = _grown(pattern, first, trunk, centres)
        level = _level(joined, trunk, wear, drop)
        places |= {
            name: Place(place.origin + np.array([0.0, level]), reason=place.reason) for name, place in joined.items()
        }
    return places


def place_sleeve(pattern: Pattern, sleeve: Panel, face: dict[str, str], wear: Wear) -> Place:
    """A sleeve's place: its origin where both armhole edges meet, x square to them, its front half at y < 0.

    Raises
    ------
    DraftError
        It is not sewn to a front and a back beside each other, or was drawn as the right one.
    """
    sewn = armhole(pattern, sleeve.name, face)
    for before, after in zip(sleeve.edges[-1:] + sleeve.edges[:-1], sleeve.edges, strict=True):
        way = (sewn.get(before.name), sewn.get(after.name))
        if way == ("back", "front"):
            down = after.points[-1] - before.points[0]
            down = down / np.linalg.norm(down)
            axes = np.array([[-down[1], down[0]], -down])
            return Place(after.points[0], axes, "its armhole edges")
        if way == ("front", "back"):
            raise DraftError(
                f"{wear.called(sleeve.name)} is drawn as the right one: its front half comes before its back half, "
                "seen counter-clockwise. Mirror it in the drawing, or change the edges that it is sewn to."
            )
    raise DraftError(
        f"{wear.called(sleeve.name)} must be sewn to a front and to a back with two edges that meet at the shoulder. "
        'Part its armhole there and name both edges, or give it role = "trunk" if it lies flat.'
    )


def armhole(pattern: Pattern, sleeve: str, face: dict[str, str]) -> dict[str, str]:
    """The face that each edge of a sleeve is sewn to, by the edge's name."""
    ends = [(a, b) for seam in pattern.seams for a, b in ((seam.a, seam.b), (seam.b, seam.a))]
    return {a[1]: face[b[0]] for a, b in ends if a[0] == sleeve and b[0] in face}


def place_band(pattern: Pattern, band: Panel, wear: Wear) -> tuple[Place, int, int]:
    """A band's place, y = 0 its sewn edges and x = 0 their middle; the first of these edges, and how many they are.

    Raises
    ------
    DraftError
        Its sewn edges do not follow one another in one straight line.
    """
    sewn = [
        any((band.name, edge.name) in (seam.a, seam.b) for seam in _to_others(pattern, band)) for edge in band.edges
    ]
    starts = [i for i in range(len(sewn)) if sewn[i] and not sewn[i - 1]]
    count = sum(sewn)
    if len(starts) == 1:
        run = [band.edges[(starts[0] + k) % len(sewn)] for k in range(count)]
        along = run[-1].points[-1] - run[0].points[0]
        length = float(np.linalg.norm(along))
        if sum(edge.length for edge in run) <= (1 + STRAIGHT) * length:
            x = along / length
            middle = (run[0].points[0] + run[-1].points[-1]) / 2
            return Place(middle, np.array([x, [-x[1], x[0]]]), "its sewn edges"), starts[0], count
    raise DraftError(
        f"{wear.called(band.name)}: a band is a strip whose sewn edges follow one another in one straight line. Draw "
        'it so, or give it another role, such as role = "trunk".'
    )


def place_sash(sash: Panel) -> Place:
    """A sash's place: x along it, the origin in its middle."""
    low, high = sash.outline.min(axis=0), sash.outline.max(axis=0)
    across = high[0] - low[0] >= high[1] - low[1]
    return Place((low + high) / 2, np.eye(2) if across else np.array([[0.0, 1.0], [-1.0, 0.0]]), "its middle")


def _named(name: str) -> str:
    return next((face for face in FACES if face in name.lower()), "")


def _between(pattern: Pattern, panels: Sequence[Panel]) -> list[Seam]:
    names = {panel.name for panel in panels}
    return [seam for seam in pattern.seams if {seam.a[0], seam.b[0]} <= names and seam.a[0] != seam.b[0]]


def _to_others(pattern: Pattern, panel: Panel) -> list[Seam]:
    return [seam for seam in pattern.seams if seam.a[0] != seam.b[0] and panel.name in (seam.a[0], seam.b[0])]


def _lies_over(seam: Seam) -> bool:
    """Whether one panel lies on the other when the seam is closed flat: both run along it on the same side."""
    return seam.turned == (sum(side == "right" for side in seam.pairs[0]) == 1)


def _centre(pattern: Pattern, panel: Panel, wear: Wear) -> float | None:
    """x of a panel's centre line, as it is said, else of the seam that joins its two copies, else of its middle."""
    low, high = panel.outline[:, 0].min(), panel.outline[:, 0].max()
    said = wear.of(panel.name).centre
    if isinstance(said, float):
        return low + said
    if said:
        return low if said == "left" else (low + high) / 2
    for seam in pattern.seams:
        if seam.a == seam.b and seam.a[0] == panel.name and set(seam.pairs[0]) == {"left", "right"}:
            x = float(panel.edge(seam.a[1]).points[:, 0].mean())
            if x > (low + high) / 2:
                raise DraftError(
                    f"{wear.called(panel.name)} has its centre, {seam.a[1]}, on its right: that is the wearer's right "
                    "half. Mirror it in the drawing, so that its centre is on its left."
                )
            return x
    middle = float(low + high) / 2
    even = panel.cut == 1 and farthest(mirrored(panel.outline, 0, middle), panel.outline) < EVEN
    return middle if even else None


def _grown(
    pattern: Pattern, first: Panel, trunk: Sequence[Panel], centres: dict[str, float | None]
) -> dict[str, Place]:
    """The first panel, and all that are sewn to it and to one another: each laid by its highest seam."""
    x = centres[first.name] or 0.0
    places = {first.name: Place(np.array([x, 0.0]), reason="its centre line")}
    seams = _between(pattern, trunk)
    while True:
        ways = [
            (seam, a, b, k)
            for seam in seams
            for a, b, k in ((seam.a, seam.b, 0), (seam.b, seam.a, 1))
            if a[0] in places and b[0] not in places
        ]
        if not ways:
            return places
        height = [float(places[a[0]].worn(pattern.panel(a[0]).edge(a[1]).points)[:, 1].mean()) for _, a, _, _ in ways]
        seam, a, b, k = ways[int(np.argmax(height))]
        origin = _origin_by_seam(pattern, seam, a, b, k, places)
        known = centres[b[0]]
        if known is not None:
            origin[0] = known
        places[b[0]] = Place(origin, reason=f"its seam with the {a[0]}, {b[1]} to {a[1]}")


def _origin_by_seam(
    pattern: Pattern, seam: Seam, a: tuple[str, str], b: tuple[str, str], k: int, places: dict[str, Place]
) -> FloatArray:
    """Where b's worn frame begins in its drawn one, when its edge lies along a's."""
    mirror = [np.array([-1.0 if side == "right" else 1.0, 1.0]) for side in (seam.pairs[0][k], seam.pairs[0][1 - k])]
    there = places[a[0]].worn(pattern.panel(a[0]).edge(a[1]).points[[0, -1]]) * mirror[0]
    here = pattern.panel(b[0]).edge(b[1]).points[[0, -1]]
    there = there[::-1] if seam.turned else there
    return np.asarray((here - there * mirror[1]).mean(axis=0))


def _level(joined: dict[str, Place], trunk: Sequence[Panel], wear: Wear, drop: float) -> float:
    """How far the origins of joined panels must be raised: so that their highest point, or a top said, lies right."""
    tops = {p.name: joined[p.name].worn(p.outline)[:, 1].max() for p in trunk if p.name in joined}
    for name, top in tops.items():
        said = wear.of(name).top
        if said is not None:
            return float(top + drop + said)
    return float(max(tops.values()) + drop)
