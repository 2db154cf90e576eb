"""How a drawing is cut and sewn: what a TOML file beside it says, and short lines of text in it."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ..errors import DraftError, LengthError
from ..units import parse_length
from .own_words import CUT, SEW, tidy

SIDES = ("left", "right")
ROLES = ("trunk", "sleeve", "band", "sash")
GRAIN = {"up": 90.0, "across": 0.0}
PANEL_KEYS = ("cut", "edges", "grain", "role", "order")
SEAM_KEYS = ("sew", "ease", "swap")
ALL_KEYS = ("garment", "panels", "seams")


@dataclass(frozen=True)
class Address:
    """An edge, as "front.side", or on one copy of a panel cut twice, as "front.left.side"."""

    panel: str
    edge: str
    side: str = ""

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
    """Everything that is said about a drawing."""

    garment: str = ""
    panels: Mapping[str, PanelPlan] = field(default_factory=dict)
    seams: tuple[SeamPlan, ...] = ()


def read_plan(path: Path) -> Plan:
    """What a TOML file says.

    Raises
    ------
    DraftError
        It cannot be read, or says something that is not understood; names it.
    """
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise DraftError(f"Cannot read {path}: {error}. Write it as the README shows, or take it away.") from error
    _known(table, ALL_KEYS, path.name)
    panels = _typed(table, "panels", dict, {}, path.name)
    seams = _typed(table, "seams", list, [], path.name)
    return Plan(
        _typed(table, "garment", str, "", path.name),
        {tidy(name): _panel(panel, f"[panels.{name}] in {path.name}") for name, panel in panels.items()},
        tuple(_seam(seam, f"seam {i} in {path.name}") for i, seam in enumerate(seams, 1)),
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
            seams.append(SeamPlan(_address(a, text), _address(b, text), _length(ease or "0", text), bool(swap)))
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
    _known(table, PANEL_KEYS, where)
    edges = _typed(table, "edges", list, [], where)
    if not all(isinstance(edge, str) for edge in edges):
        raise DraftError(f'{where}: edges is a list of names, such as ["hem", "side", "neck"].')
    role = _typed(table, "role", str, "trunk", where)
    if role not in ROLES:
        raise DraftError(f"{where}: role is {role!r}; it may be {', '.join(ROLES)}.")
    order = _typed(table, "order", int, None, where)
    return PanelPlan(_typed(table, "cut", int, None, where), tuple(edges), _grain(table, where), role, order)


def _grain(table: Mapping[str, Any], where: str) -> float | None:
    grain = table.get("grain")
    if grain is None or (isinstance(grain, int | float) and not isinstance(grain, bool)):
        return grain
    if grain not in GRAIN:
        raise DraftError(f"{where}: grain is {grain!r}; it may be up, across, or degrees such as 45.")
    return GRAIN[str(grain)]


def _seam(table: Any, where: str) -> SeamPlan:
    _known(table, SEAM_KEYS, where)
    ends = _typed(table, "sew", list, [], where)
    if len(ends) != 2 or not all(isinstance(end, str) for end in ends):
        raise DraftError(f'{where}: sew names two edges, such as ["front.side", "back.side"].')
    a, b = (_address(end, where) for end in ends)
    ease = table.get("ease", 0)
    return SeamPlan(a, b, _length(str(ease), where), _typed(table, "swap", bool, False, where))


def _address(text: str, where: str) -> Address:
    parts = text.strip().split(".")
    if len(parts) == 2 and all(parts):
        return Address(tidy(parts[0]), tidy(parts[1]))
    if len(parts) == 3 and all(parts) and parts[1] in SIDES:
        return Address(tidy(parts[0]), tidy(parts[2]), parts[1])
    raise DraftError(f'{where}: "{text}" is no edge. Write panel.edge, or panel.left.edge for one of two copies.')


def _length(text: str, where: str) -> float:
    try:
        return parse_length(text)
    except LengthError as error:
        raise DraftError(f"{where}: {error}") from error


def _known(table: Any, keys: tuple[str, ...], where: str) -> None:
    if not isinstance(table, dict):
        raise DraftError(f"{where} is {table!r}; it must be a table with {', '.join(keys)}.")
    if strange := sorted(set(table) - set(keys)):
        raise DraftError(f"{where} says {strange[0]!r}, which is not known; it may say {', '.join(keys)}.")


def _typed(table: Mapping[str, Any], key: str, kind: type, otherwise: Any, where: str) -> Any:
    value = table.get(key, otherwise)
    if value is not otherwise and (not isinstance(value, kind) or (kind is int and isinstance(value, bool))):
        words = {dict: "a table", list: "a list", str: "a text", int: "a whole number", bool: "true or false"}
        raise DraftError(f"{where}: {key} is {value!r}; it must be {words[kind]}.")
    return value
