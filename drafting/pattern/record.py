"""A pattern as plain data for pattern.json, and back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from ..errors import DraftError
from .check import check
from .panel import Edge, Panel
from .pattern import Pattern, Rule
from .seam import Seam, Tie

MOST_POINTS = 5000  # of one panel; every two stretches of an outline are held against each other
DIGITS = 4  # of a millimetre: a tenth of a thousandth is finer than any cutter and keeps the file readable


def pattern_record(pattern: Pattern) -> dict[str, Any]:
    """The pattern as lists, numbers and strings; millimetres, panels at their sew lines."""
    return {
        "garment": pattern.garment,
        "unit": "mm",
        "measures": {name: round(mm, DIGITS) for name, mm in pattern.measures.items()},
        "options": dict(pattern.options),
        "panels": [_panel_record(panel) for panel in pattern.panels],
        "seams": [_seam_record(pattern, seam) for seam in pattern.seams],
        "ties": [{"a": list(tie.a), "b": list(tie.b)} for tie in pattern.ties],
        "rules": [{"name": r.name, "mm": round(r.mm, DIGITS), "reason": r.reason} for r in pattern.rules],
    }


def read_record(record: Mapping[str, Any]) -> Pattern:
    """The pattern that a record was made of, checked.

    Raises
    ------
    DraftError
        If the record is not a pattern, or one that cannot be sewn.
    """
    try:
        pattern = Pattern(
            garment=str(record["garment"]),
            panels=tuple(_read_panel(panel) for panel in record["panels"]),
            seams=tuple(_read_seam(seam) for seam in record["seams"]),
            ties=tuple(Tie(_read_point(tie["a"]), _read_point(tie["b"])) for tie in record["ties"]),
            rules=tuple(Rule(rule["name"], float(rule["mm"]), rule["reason"]) for rule in record["rules"]),
            measures={name: float(mm) for name, mm in record["measures"].items()},
            options=dict(record["options"]),
        )
        return check(pattern)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, OverflowError) as error:
        raise DraftError(f"This is not a pattern of ours: {error!r}. Draft it again.") from error


def _panel_record(panel: Panel) -> dict[str, Any]:
    record = {
        "name": panel.name,
        "cut": panel.cut,
        "role": panel.role,
        "order": panel.order,
        "outline": _rows(panel.outline),
        "grain": _rows(panel.grain),
        "edges": _edge_records(panel.edges),
    }
    return record | ({"worn": _edge_records(panel.worn)} if panel.worn else {})


def _edge_records(edges: tuple[Edge, ...]) -> list[dict[str, Any]]:
    return [{"name": e.name, "points": _rows(e.points), "length_mm": round(e.length, DIGITS)} for e in edges]


def _seam_record(pattern: Pattern, seam: Seam) -> dict[str, Any]:
    length_a, length_b = (pattern.panel(panel).edge(edge).length for panel, edge in (seam.a, seam.b))
    return {
        "a": list(seam.a),
        "b": list(seam.b),
        "length_a_mm": round(length_a, DIGITS),
        "length_b_mm": round(length_b, DIGITS),
        "ease_mm": seam.ease_mm,
        "pairs": [list(pair) for pair in seam.pairs],
        "turned": seam.turned,
    }


def _read_panel(record: Mapping[str, Any]) -> Panel:
    edges, worn = (
        tuple(Edge(edge["name"], np.array(edge["points"], dtype=float)) for edge in record.get(part, ()))
        for part in ("edges", "worn")
    )
    grain = np.array(record["grain"], dtype=float)
    if grain.shape != (2, 2) or any(e.points.ndim != 2 or e.points.shape[1] != 2 for e in (*edges, *worn)):
        raise ValueError("its lines are no points")
    if sum(len(e.points) for e in (*edges, *worn)) > MOST_POINTS or not np.isfinite(grain).all():
        raise ValueError(f"a panel has more than {MOST_POINTS} points, or no grain")
    return Panel(record["name"], edges, int(record["cut"]), record["role"], grain, int(record["order"]), worn)


def _read_seam(record: Mapping[str, Any]) -> Seam:
    (panel_a, edge_a), (panel_b, edge_b) = record["a"], record["b"]
    pairs = tuple((side_a, side_b) for side_a, side_b in record["pairs"])
    return Seam((panel_a, edge_a), (panel_b, edge_b), pairs, bool(record["turned"]), float(record["ease_mm"]))


def _read_point(point: list[Any]) -> tuple[str, float, float]:
    name, x, y = point
    return str(name), float(x), float(y)


def _rows(points: np.ndarray) -> list[list[float]]:
    # Adding 0.0 turns -0.0 into 0.0.
    return (np.round(points, DIGITS) + 0.0).tolist()
