"""The sewing order: what is sewn, turned and closed, step by step, worked out from the pattern's panels and seams."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from ..pattern.panel import Edge, Panel
from ..pattern.pattern import Pattern
from ..pattern.seam import Seam
from ..units import format_length
from ..words import edge as edge_word
from .allowance import allowances_of
from .notches import sewn_edges

FIRST_TURN = 0.4  # of a hem's allowance is turned under first: common practice, no source
LOWEST = 0.1  # of a trunk panel's height: a free edge that lies within it is the hem
NARROWEST_MM = 4.0  # a narrower allowance is turned once only: common practice, no source


@dataclass(frozen=True)
class Step:
    """One step.

    Attributes
    ----------
    seams : tuple of Seam
        What is sewn.
    turned : tuple of (panel name, edge name)
        Free edges that are turned in.
    ties : bool
        The step at which ties or snaps are sewn on.
    """

    title: str
    text: str
    seams: tuple[Seam, ...] = ()
    turned: tuple[tuple[str, str], ...] = ()
    ties: bool = False

    @property
    def panels(self) -> tuple[str, ...]:
        """Names of the panels in hand, in order."""
        named = [end[0] for seam in self.seams for end in (seam.a, seam.b)] + [panel for panel, _ in self.turned]
        return tuple(dict.fromkeys(named))


def steps_of(pattern: Pattern, unit: str = "mm") -> list[Step]:
    """All steps in the order in which they are done; every seam and every free edge is in exactly one of them."""
    roles = {panel.name: panel.role for panel in pattern.panels}
    sewn = {panel.name: sewn_edges(pattern, panel) for panel in pattern.panels}
    seams = [seam for seam in pattern.seams if seam.a[1] in sewn[seam.a[0]] and seam.b[1] in sewn[seam.b[0]]]
    left = [(panel, edge) for panel in pattern.panels for edge in panel.edges if edge.name not in sewn[panel.name]]
    left = [(panel, edge) for panel, edge in left if panel.role != "band"]
    steps: list[Step] = []

    def turn(chosen: Sequence[tuple[Panel, Edge]], title: str) -> None:
        if chosen:
            steps.append(_turning(pattern, chosen, title, unit))
            left[:] = [one for one in left if one not in chosen]

    groups = [list(group) for _, group in groupby(seams, key=lambda seam: _kind(seam, roles))]
    for number, group in enumerate(groups):
        if "band" in {roles[end[0]] for seam in group for end in (seam.a, seam.b)}:
            turn(
                [one for one in left if one[0].role == "trunk" and _beside_band(pattern, *one)], "Turn the front edges"
            )
        steps.append(_sewing(pattern, group, unit))
        done = {end[0] for later in groups[number + 1 :] for seam in later for end in (seam.a, seam.b)}
        for role, title in (("trunk", "Turn in the slits"), ("sleeve", "Turn in the sleeve's openings")):
            turn(
                [one for one in left if one[0].role == role and one[0].name not in done and _runs_on(pattern, *one)],
                title,
            )
    turn([one for one in left if one[0].role != "sash"], "Turn up the hem")
    if pattern.ties:
        steps.append(_closing(pattern))
    turn(left, "Hem the sash")
    return steps


def _kind(seam: Seam, roles: dict[str, str]) -> tuple[str, ...]:
    """Seams of one kind, one after another, are one step."""
    pair = {roles[seam.a[0]], roles[seam.b[0]]}
    if len(pair) == 2:
        return tuple(sorted(pair))
    return seam.a[0], seam.b[0]


def _neighbours(panel: Panel, edge: Edge) -> list[Edge]:
    place = panel.edges.index(edge)
    return [panel.edges[place - 1], panel.edges[(place + 1) % len(panel.edges)]]


def _beside_band(pattern: Pattern, panel: Panel, edge: Edge) -> bool:
    """Whether an edge ends where the neckband begins: it must be turned before the band covers its end."""
    bands = {one.name for one in pattern.panels if one.role == "band"}
    ends = [(a, b) for seam in pattern.seams for a, b in ((seam.a, seam.b), (seam.b, seam.a))]
    banded = {a[1] for a, b in ends if a[0] == panel.name and b[0] in bands}
    return any(other.name in banded for other in _neighbours(panel, edge))


def _runs_on(pattern: Pattern, panel: Panel, edge: Edge) -> bool:
    """Whether a free edge is an opening in a seam, and not the hem."""
    sewn = sewn_edges(pattern, panel)
    low, tall = panel.outline[:, 1].min(), np.ptp(panel.outline[:, 1])
    is_hem = panel.role == "trunk" and edge.points[:, 1].max() < low + LOWEST * tall
    return not is_hem and any(other.name in sewn for other in _neighbours(panel, edge))


def _sewing(pattern: Pattern, group: list[Seam], unit: str) -> Step:
    first, second = group[0].a[0], group[0].b[0]
    roles = {pattern.panel(end[0]).role for seam in group for end in (seam.a, seam.b)}
    edges = _listed(_whole(seam.a[1]) for seam in group)
    if "band" in roles:
        return _banding(pattern, group, unit)
    if roles == {"sleeve"}:
        text = (
            f"Fold each {first} along its fold, right sides facing. Sew {edges} in one go, round the corner. "
            f"{_openings(pattern, group)}Cut the corner off beyond the stitches, press, turn the {first} to the right "
            "side and push the corner out."
        )
        return Step(f"Close the {first}s", text, tuple(group))
    if roles == {"sleeve", "trunk"}:
        sleeve = second if pattern.panel(second).role == "sleeve" else first
        text = (
            f"Lay a {sleeve} on the body, right sides facing, the notch at its fold on the shoulder seam. Sew from one "
            f"end of the armhole to the other. {_openings(pattern, group)}Do the same on the other side. Press the "
            f"allowances towards the {sleeve}."
        )
        return Step(f"Set in the {sleeve}s", text, tuple(group))
    both, where = (
        ("both " + first + "s", "") if first == second else (f"the {first} and the {second}", ", left and right")
    )
    text = (
        f"Lay {both} together, right sides facing, notch on notch. Sew the {edges}{where}. "
        f"{_openings(pattern, group)}Press the allowances open."
    )
    return Step(f"Sew the {edges} seam" + ("" if first == second else "s"), text, tuple(group))


def _banding(pattern: Pattern, group: list[Seam], unit: str) -> Step:
    ends = [end for seam in group for end in (seam.a, seam.b)]
    band = next(pattern.panel(name) for name, _ in ends if pattern.panel(name).role == "band")
    allowances = allowances_of(pattern, band)
    free = [edge.name for edge in band.edges if edge.name not in sewn_edges(pattern, band)]
    turned = next((allowances[name].mm for name in free if "end" in name), 0.0)
    inside = next((allowances[name].mm for name in free if "end" not in name), 0.0)
    text = (
        f"Press the long edge without notches in by {format_length(inside, unit)}, and both ends by "
        f"{format_length(turned, unit)}. Pin the notched edge to the neckline, right sides facing: the middle notch on "
        "the centre back, the notches beside it on the shoulder seams, the pressed ends at the neckline's lower ends. "
        "Sew it, and clip the curve of the back neck to 1 mm before the stitches. Fold the band along its fold to the "
        "inside, so that it covers the seam, and sew it down by hand."
    )
    return Step(f"Sew on the {band.name}", text, tuple(group))


def _turning(pattern: Pattern, chosen: Sequence[tuple[Panel, Edge]], title: str, unit: str) -> Step:
    wide = max(allowances_of(pattern, panel)[edge.name].mm for panel, edge in chosen)
    if all(panel.role == "sash" for panel, _ in chosen):
        names = "all edges of the sash, the long ones first"
    else:
        edges = dict.fromkeys(_whole(edge.name) for _, edge in chosen)
        panels = {edge: [panel.name for panel, each in chosen if _whole(each.name) == edge] for edge in edges}
        names = _listed(f"the {edge} edge of {_listed(panels[edge])}" for edge in edges)
    first = format_length(round(FIRST_TURN * wide), unit)
    once = f"Turn under {first} of the raw edge, then turn it once more along the sew line"
    how = once if wide >= NARROWEST_MM else "Turn the raw edge in along the sew line"
    text = f"{how}: {names}. Press, and stitch close to the inner fold, or by hand with small hidden stitches."
    return Step(title, text, turned=tuple((panel.name, edge.name) for panel, edge in chosen))


def _closing(pattern: Pattern) -> Step:
    said = _listed(f"{_piece(tie.a[0])} above, {_piece(tie.b[0])} below" for tie in pattern.ties)
    text = (
        f"Try the {pattern.garment} on the doll: the marked points meet; move them where the cloth lies best. "
        f"Then sew on {len(pattern.ties)} small snaps or pairs of thin ribbons ({said})."
    )
    return Step("Sew on ties or snaps", text, ties=True)


def _openings(pattern: Pattern, group: Sequence[Seam]) -> str:
    """Where to stop, if an opening runs on from a seam."""
    for name, edge in (end for seam in group for end in (seam.a, seam.b)):
        panel = pattern.panel(name)
        beside = [one for one in _neighbours(panel, panel.edge(edge)) if one.name not in sewn_edges(pattern, panel)]
        if any(_runs_on(pattern, panel, one) for one in beside):
            return "Stop at the notch where the opening begins, and secure the end with three stitches back. "
    return ""


def _whole(name: str) -> str:
    """An edge's name in words, without the half that it is on."""
    for end in ("_front", "_back", "_left", "_right"):
        name = name.removesuffix(end)
    return edge_word(name)


def _piece(name: str) -> str:
    panel, _, side = name.partition(".")
    return f"the {side} {panel}" if side in ("left", "right") else f"the {panel}"


def _listed(words: Iterable[str]) -> str:
    """Such as "neck, shoulder and side"."""
    found = list(dict.fromkeys(words))
    return " and ".join([", ".join(found[:-1]), found[-1]] if len(found) > 1 else found)
