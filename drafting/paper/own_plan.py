"""How a drawing is cut and sewn: what a TOML file beside it says, and short lines of text in it."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ..errors import DraftError
from ..garments.wear import Wear
from ..pattern.seam import Tie
from .own_table import known, length, typed
from .own_wear import WEAR_KEYS, WORN_KEYS, read_wear
from .own_words import CUT, SEW, tidy

SIDES = ("left", "right")
ROLES = ("trunk", "sleeve", "band", "sash")
MOST_DEGREES = 360
GRAIN = {"up": 90.0, "across": 0.0}
PANEL_KEYS = ("cut", "edges", "grain", "role", "order", *WORN_KEYS)
SEAM_KEYS = ("sew", "ease", "swap")
TIE_KEYS = ("hold",)
ALLOWANCES = ("seam_allowance", "hem_allowance", "band_hem", "trimming_allowance")
ALL_KEYS = ("garment", "panels", "seams", "ties", *WEAR_KEYS, *ALLOWANCES)


@dataclass(frozen=True)
class Address:
    """An edge, as "front.side", or on one copy of a panel cut twice, as "front.left.side"."""

    panel: str
    edge: str
    side: str = ""

    @property
    def end(self) -> tuple[str, str]:
        """Panel and edge, as a seam names them."""
        return self.panel, self.edge

    def __str__(self) -> str:
        return ".".join(part for part in (self.panel, self.side, self.edge) if part)


@dataclass(frozen=True)
class SeamPlan:
    """Two edges to sew together; `a` is longer by `ease_mm`. `swap`: the other ends meet than those that face alike."""

    a: Address
    b: Address
    ease_mm: float = 0.0
    swap: bool = False


@dataclass(frozen=True)
class PanelPlan:
    """What is said about a panel; None where nothing is.

    Attributes
    ----------
    grain : float or None
        Direction of the warp, degrees counter-clockwise from the right.
    """

    cut: int | None = None
    edges: tuple[str, ...] = ()
    grain: float | None = None
    role: str = "trunk"
    order: int | None = None


@dataclass(frozen=True)
class Plan:
    """Everything that is said about a drawing.

    Attributes
    ----------
    ties : tuple of Tie
        Each point as mm from its panel's left, to the right, and from its top, upwards: so below 0.
    allowances : mapping of str to float
        mm, by the names that a draft's options have.
    """

    garment: str = ""
    panels: Mapping[str, PanelPlan] = field(default_factory=dict)
    seams: tuple[SeamPlan, ...] = ()
    ties: tuple[Tie, ...] = ()
    wear: Wear = field(default_factory=Wear)
    allowances: Mapping[str, float] = field(default_factory=dict)


def read_plan(path: Path) -> Plan:
    """What a TOML file says.

    Raises
    ------
    DraftError
        It cannot be read, or says something that is not understood; names it.
    """
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        raise DraftError(f"Cannot read {path}: {error}. Write it as the README shows, or take it away.") from error
    known(table, ALL_KEYS, path.name)
    panels = typed(table, "panels", dict, {}, path.name)
    seams = typed(table, "seams", list, [], path.name)
    ties = typed(table, "ties", list, [], path.name)
    return Plan(
        typed(table, "garment", str, "", path.name),
        {tidy(name): _panel(panel, f"[panels.{name}] in {path.name}") for name, panel in panels.items()},
        tuple(_seam(seam, f"seam {i} in {path.name}") for i, seam in enumerate(seams, 1)),
        tuple(_tie(tie, f"tie {i} in {path.name}") for i, tie in enumerate(ties, 1)),
        read_wear(table, path.name),
        {name: length(str(table[name]), f"{path.name}, {name}") for name in ALLOWANCES if name in table},
    )


def words_plan(words: Iterable[str]) -> tuple[SeamPlan, ...]:
    """The seams that lines of text tell: "sew front.side to back.side", "sew a.2 to b.1 ease 3mm, swap".

    Raises
    ------
    DraftError
        A line begins with "sew" and is not understood.
    """
    seams = []
    for text in words:
        if match := SEW.fullmatch(text):
            a, b, ease, swap = match.groups()
            seams.append(SeamPlan(_address(a, text), _address(b, text), length(ease or "0", text), bool(swap)))
        elif text.lower().startswith("sew "):
            raise DraftError(
                f'The text "{text}" is not understood. Write it like: sew front.side to back.side ease 3mm, swap'
            )
    return tuple(seams)


def words_cut(text: str) -> int | None:
    """How many to cut, where a line of text says so: "cut 2", "cut 2 (1 mirrored)"."""
    match = CUT.fullmatch(text)
    return int(match[1]) if match else None


def _panel(table: Any, where: str) -> PanelPlan:
    known(table, PANEL_KEYS, where)
    edges = typed(table, "edges", list, [], where)
    if not all(isinstance(edge, str) for edge in edges):
        raise DraftError(f'{where}: edges is a list of names, such as ["hem", "side", "neck"].')
    role = typed(table, "role", str, "trunk", where)
    if role not in ROLES:
        raise DraftError(f"{where}: role is {role!r}; it may be {', '.join(ROLES)}.")
    order = typed(table, "order", int, None, where)
    return PanelPlan(typed(table, "cut", int, None, where), tuple(edges), _grain(table, where), role, order)


def _grain(table: Mapping[str, Any], where: str) -> float | None:
    grain = table.get("grain")
    if grain is None or (isinstance(grain, int | float) and not isinstance(grain, bool) and abs(grain) <= MOST_DEGREES):
        return grain
    if not isinstance(grain, str) or grain not in GRAIN:
        raise DraftError(f"{where}: grain is {grain!r}; it may be up, across, or degrees such as 45.")
    return GRAIN[str(grain)]


def _seam(table: Any, where: str) -> SeamPlan:
    known(table, SEAM_KEYS, where)
    ends = typed(table, "sew", list, [], where)
    if len(ends) != 2 or not all(isinstance(end, str) for end in ends):
        raise DraftError(f'{where}: sew names two edges, such as ["front.side", "back.side"].')
    a, b = (_address(end, where) for end in ends)
    ease = table.get("ease", 0)
    return SeamPlan(a, b, length(str(ease), where), typed(table, "swap", bool, False, where))


def _tie(table: Any, where: str) -> Tie:
    known(table, TIE_KEYS, where)
    ends = typed(table, "hold", list, [], where)
    if len(ends) != 2 or not all(isinstance(end, str) for end in ends):
        raise DraftError(
            f'{where}: hold names two points, the upper first: ["front.left 0mm 80mm", "front.right ..."].'
        )
    upper, under = (_point(end, where) for end in ends)
    return Tie(upper, under)


def _point(text: str, where: str) -> tuple[str, float, float]:
    """A point of a piece, "front.left 12mm 40mm": so far from its panel's left and from its top."""
    name, *sides = text.split()
    if len(sides) != 2:
        raise DraftError(
            f'{where}: "{text}" is no point. Write the piece, how far from its left and how far from its top: '
            '"front.left 12mm 40mm".'
        )
    panel, _, side = name.partition(".")
    if side not in ("", *SIDES):
        raise DraftError(f'{where}: "{name}" is no piece. Write front.left or front.right, or front if it is cut once.')
    across, down = (length(one, where) for one in sides)
    return ".".join(part for part in (tidy(panel), side) if part), across, -down


def _address(text: str, where: str) -> Address:
    parts = text.strip().split(".")
    if len(parts) == 2 and all(parts):
        return Address(tidy(parts[0]), tidy(parts[1]))
    if len(parts) == 3 and all(parts) and parts[1] in SIDES:
        return Address(tidy(parts[0]), tidy(parts[2]), parts[1])
    raise DraftError(f'{where}: "{text}" is no edge. Write panel.edge, or panel.left.edge for one of two copies.')
