"""The TOML file that goes with a pattern's own drawing, so that both can be changed by hand and read again."""

from __future__ import annotations

import json
from collections.abc import Iterator

import numpy as np

from ..garments.wear import FRONTS, Wear
from ..pattern.panel import Panel
from ..pattern.pattern import Pattern
from ..pattern.seam import Seam
from ..pattern.shape import draped_outline
from .own import BOTH
from .own_ends import turned
from .own_plan import ALLOWANCES, SIDES


def plan_toml(pattern: Pattern, wear: Wear | None = None) -> str:
    """What `read_plan` reads: how each panel is cut and worn, its edges by name and length, all seams and ties.

    Seams of edges that are not drawn, those of a panel's worn part alone, are left out.
    """
    wear = wear or Wear(fronts=str(pattern.options.get("fronts", FRONTS[0])))
    return "\n".join([*_whole(pattern, wear), *_panels(pattern, wear), *_seams(pattern), *_ties(pattern), ""])


def _whole(pattern: Pattern, wear: Wear) -> Iterator[str]:
    yield f"garment = {_text(pattern.garment)}"
    yield f"hangs = {_word_or_length(wear.hangs)}"
    yield f"fronts = {_text(wear.fronts)}"
    for name in ALLOWANCES:
        mm = pattern.options.get(name)
        if isinstance(mm, float | int):
            yield f'{name} = "{mm:.4f}mm"'


def _panels(pattern: Pattern, wear: Wear) -> Iterator[str]:
    for panel in pattern.panels:
        x, y = panel.grain[1] - panel.grain[0]
        yield f"\n[panels.{_text(panel.name)}]"
        yield f"cut = {panel.cut}"
        yield f"role = {_text(panel.role)}"
        yield f"order = {panel.order}"
        yield f"grain = {np.degrees(np.arctan2(y, x)):.6g}"
        said = wear.of(panel.name)
        goes_round = float(np.ptp(draped_outline(panel)[:, 0])) if panel.role == "sash" and panel.worn else ""
        for name, value in (("lies", said.lies), ("centre", said.centre), ("worn", said.worn or goes_round)):
            if value != "":
                yield f"{name} = {_word_or_length(value)}"
        if said.top is not None:
            yield f"top = {_word_or_length(said.top)}"
        yield f"edges = [{', '.join(_text(f'{edge.name} {edge.length:.4f}mm') for edge in panel.edges)}]"


def _seams(pattern: Pattern) -> Iterator[str]:
    drawn = {(panel.name, edge.name) for panel in pattern.panels for edge in panel.edges}
    for seam in pattern.seams:
        if seam.a in drawn and seam.b in drawn:
            whole = seam.pairs in (BOTH, (SIDES,), (("one", "one"),))
            for pair in seam.pairs[:1] if whole else seam.pairs:
                sides = ("", "") if whole else pair
                ends = [
                    _address(pattern.panel(end[0]), end[1], side)
                    for end, side in zip((seam.a, seam.b), sides, strict=True)
                ]
                yield f"\n[[seams]]\nsew = [{_text(ends[0])}, {_text(ends[1])}]"
                yield from [f'ease = "{seam.ease_mm:.4f}mm"'] if seam.ease_mm else []
                yield from ["swap = true"] if _swapped(pattern, seam, pair) else []


def _ties(pattern: Pattern) -> Iterator[str]:
    panels = {piece.name: piece.panel for piece in pattern.pieces()}
    for tie in pattern.ties:
        ends = []
        for name, x, y in (tie.a, tie.b):
            left, top = panels[name].outline[:, 0].min(), panels[name].outline[:, 1].max()
            ends.append(_text(f"{name} {x - left:.4f}mm {top - y:.4f}mm"))
        yield f"\n[[ties]]\nhold = [{', '.join(ends)}]"


def _swapped(pattern: Pattern, seam: Seam, pair: tuple[str, str]) -> bool:
    return seam.turned != turned(pattern, seam.a, seam.b, pair, [(one.a, one.b) for one in pattern.seams])


def _address(panel: Panel, edge: str, side: str) -> str:
    return ".".join(part for part in (panel.name, side if len(panel.sides) == 2 else "", edge) if part)


def _word_or_length(value: str | float) -> str:
    return _text(value if isinstance(value, str) else f"{value:.4f}mm")


def _text(words: str) -> str:
    return json.dumps(words, ensure_ascii=False).replace(
        "\x7f", "\\u007f"
    )  # a TOML basic string has the escapes of a JSON string
