"""Which measures the garment is drafted by, so that the tape shows them first."""

from __future__ import annotations

from collections.abc import Sequence

import bpy

from drafting.body.body import Body
from drafting.errors import ToileError

from . import road, session
from .workshop import garment

_known: dict[str, frozenset[str]] = {}  # by the token of the body


def used(scene: bpy.types.Scene) -> frozenset[str]:
    """Names of the measures that the draft used; before there is one, that a draft by the rules would use."""
    pattern, body = session.get(scene, "pattern"), session.get(scene, "body")
    if pattern is not None:
        return frozenset(pattern.measures)
    return frozenset() if body is None else _by_the_rules(session.token(scene, "body"), body)


def _by_the_rules(token: str, body: Body) -> frozenset[str]:
    """Worked out once for each body, as a list draws it often."""
    if token not in _known:
        _known.clear()
        try:
            _known[token] = frozenset(road.pattern_of(body, garment(), {}).measures)
        except ToileError:  # a measure is missing: the draft itself will say which
            _known[token] = frozenset()
    return _known[token]


def order(names: Sequence[str], first: frozenset[str]) -> list[int]:
    """The place of each name in the list: those named first before the others, each kind in its own order."""
    ranks = sorted(range(len(names)), key=lambda index: (names[index] not in first, index))
    places = [0] * len(names)
    for place, index in enumerate(ranks):
        places[index] = place
    return places
