"""Reading the tables of a TOML plan: each value checked, and told with its place where it is not understood."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..errors import DraftError, LengthError
from ..units import parse_length

WORDS = {dict: "a table", list: "a list", str: "a text", int: "a whole number", bool: "true or false"}


def known(table: Any, keys: tuple[str, ...], where: str) -> None:
    """Refuse what is no table, or holds a key that is not known."""
    if not isinstance(table, dict):
        raise DraftError(f"{where} is {table!r}; it must be a table with {', '.join(keys)}.")
    if strange := sorted(set(table) - set(keys)):
        raise DraftError(f"{where} says {strange[0]!r}, which is not known; it may say {', '.join(keys)}.")


def typed(table: Mapping[str, Any], key: str, kind: type, otherwise: Any, where: str) -> Any:
    """A value of a table if it is of that kind; another one where there is none."""
    value = table.get(key, otherwise)
    if value is not otherwise and (not isinstance(value, kind) or (kind is int and isinstance(value, bool))):
        raise DraftError(f"{where}: {key} is {value!r}; it must be {WORDS[kind]}.")
    return value


def length(text: str, where: str) -> float:
    """A length, mm."""
    try:
        return parse_length(text)
    except LengthError as error:
        raise DraftError(f"{where}: {error}") from error


def word_or_length(
    table: Mapping[str, Any], key: str, words: tuple[str, ...], otherwise: str, where: str
) -> str | float:
    """One of some words, or a length in mm."""
    value = typed(table, key, str, otherwise, where)
    if value in words or value == otherwise:
        return str(value)
    try:
        return parse_length(value)
    except LengthError as error:
        raise DraftError(f"{where}: {key} is {value!r}; it may be {', '.join(words)}, or a length: {error}") from error
