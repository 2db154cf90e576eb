"""The TOML file that goes with a pattern's own drawing, so that both can be changed by hand and read again."""

from __future__ import annotations

import json
from collections.abc import Iterator

import numpy as np

from ..pattern.panel import Panel
from ..pattern.pattern import Pattern
from ..pattern.seam import Seam
from .own import BOTH, face_alike
from .own_plan import SIDES


def plan_toml(pattern: Pattern) -> str:
    """What `read_plan` reads: how each panel is cut, its edges by name and length, and all seams.

    Seams of edges that are not drawn, those of a panel's worn part alone, are left out.
    """
    return "\n".join([f"garment = {_text(pattern.garment)}", *_panels(pattern), *_seams(pattern), ""])


def _panels(pattern: Pattern) -> Iterator[str]:
    for panel in pattern.panels:
        x, y = panel.grain[1] - panel.grain[0]
        yield f"\n[panels.{_text(panel.name)}]"
        yield f"cut = {panel.cut}"
        yield f"role = {_text(panel.role)}"
        yield f"order = {panel.order}"
        yield f"grain = {np.degrees(np.arctan2(y, x)):.6g}"
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


def _swapped(pattern: Pattern, seam: Seam, pair: tuple[str, str]) -> bool:
    edges = [pattern.panel(panel).edge(edge) for panel, edge in (seam.a, seam.b)]
    return seam.turned == (seam.a == seam.b or face_alike(edges, pair))


def _address(panel: Panel, edge: str, side: str) -> str:
    return ".".join(part for part in (panel.name, side if panel.cut == 2 else "", edge) if part)


def _text(words: str) -> str:
    return json.dumps(words)  # a TOML basic string has the escapes of a JSON string
