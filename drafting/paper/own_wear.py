"""What the plan beside a drawing says about how the garment is worn."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..errors import DraftError
from ..garments.wear import CENTRES, FACES, FOLDED, FRONTS, LINES, NOT_WORN, WHOLE, PanelWear, Wear
from .own_table import length, typed, word_or_length
from .own_words import tidy

WEAR_KEYS = ("hangs", "fronts")
WORN_KEYS = ("lies", "centre", "top", "worn")


def read_wear(table: Mapping[str, Any], file: str) -> Wear:
    """How the garment of a whole plan is worn.

    Raises
    ------
    DraftError
        A word that is not known; names it, its place and the known ones.
    """
    return Wear(
        word_or_length(table, "hangs", LINES, LINES[0], file),
        _word(table, "fronts", FRONTS, FRONTS[0], file),
        {
            tidy(name): _panel_wear(panel, f"[panels.{name}] in {file}")
            for name, panel in table.get("panels", {}).items()
        },
    )


def _panel_wear(table: Mapping[str, Any], where: str) -> PanelWear:
    top = typed(table, "top", str, None, where)
    return PanelWear(
        _word(table, "lies", FACES, "", where),
        word_or_length(table, "centre", CENTRES, "", where),
        None if top is None else length(top, where),
        word_or_length(table, "worn", (FOLDED, WHOLE, NOT_WORN), "", where),
    )


def _word(table: Mapping[str, Any], key: str, words: tuple[str, ...], otherwise: str, where: str) -> str:
    value = typed(table, key, str, otherwise, where)
    if value not in (*words, otherwise):
        raise DraftError(f"{where}: {key} is {value!r}; it may be {', '.join(words)}.")
    return str(value)
