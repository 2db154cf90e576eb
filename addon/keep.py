"""Keeps the road's own values (a body, a pattern, a drape, a fit) as bytes, in a file or inside a .blend.

A zip of one JSON text and plain arrays. Nothing in it is run when it is read, and only dataclasses of `drafting`
come out of it.
"""

from __future__ import annotations

import dataclasses
import io
import json
from collections.abc import Mapping
from importlib import import_module
from typing import Any
from zipfile import BadZipFile

import numpy as np
from numpy.typing import NDArray

from drafting.errors import ToileError


class KeptError(ToileError):
    """Kept values cannot be read back."""


def pack(value: object) -> bytes:
    """Any value built of drafting's dataclasses, numbers, texts, tuples, mappings and arrays, as bytes."""
    arrays: list[NDArray[Any]] = []
    plain = _plain(value, arrays)
    held = io.BytesIO()
    np.savez_compressed(held, plain=np.array(json.dumps(plain)), **{f"a{i}": array for i, array in enumerate(arrays)})
    return held.getvalue()


def unpack(data: bytes) -> Any:
    """The value that was packed.

    Raises
    ------
    KeptError
        The bytes are damaged, or were written by a version with other types.
    """
    try:
        with np.load(io.BytesIO(data), allow_pickle=False) as kept:
            return _value(json.loads(str(kept["plain"])), kept)
    except (ValueError, KeyError, TypeError, AttributeError, ImportError, OSError, EOFError, BadZipFile) as error:
        raise KeptError(f"the kept results cannot be read ({error}): make the fit again") from error


def _plain(value: object, arrays: list[NDArray[Any]]) -> Any:
    """JSON's own kinds, with arrays set aside and their numbers in their place."""
    if isinstance(value, np.ndarray):
        arrays.append(value)
        return {"array": len(arrays) - 1}
    if isinstance(value, np.generic):
        return value.item()
    if dataclasses.is_dataclass(value) and type(value).__module__.startswith("drafting."):
        fields = {field.name: _plain(getattr(value, field.name), arrays) for field in dataclasses.fields(value)}
        return {"type": [type(value).__module__, type(value).__name__], "fields": fields}
    if isinstance(value, Mapping):
        return {"items": [[_plain(key, arrays), _plain(item, arrays)] for key, item in value.items()]}
    if isinstance(value, tuple | list):
        return [_plain(item, arrays) for item in value]
    if value is None or isinstance(value, str | int | float | bool):
        return value
    raise TypeError(f"{type(value).__name__} is not a kind of value that is kept")


def _value(plain: Any, kept: Mapping[str, NDArray[Any]]) -> Any:
    """The other way round; lists come back as the tuples they were."""
    if isinstance(plain, list):
        return tuple(_value(item, kept) for item in plain)
    if not isinstance(plain, dict):
        return plain
    if "array" in plain:
        return kept[f"a{plain['array']}"]
    if "items" in plain:
        return {_value(key, kept): _value(item, kept) for key, item in plain["items"]}
    return _kind(*plain["type"])(**{name: _value(item, kept) for name, item in plain["fields"].items()})


def _kind(module: str, name: str) -> type:
    """A dataclass of drafting by its name, and nothing else."""
    kind = getattr(import_module(module), name) if module.startswith("drafting.") else None
    if not (isinstance(kind, type) and dataclasses.is_dataclass(kind)):
        raise KeyError(f"{module}.{name} is not kept")
    return kind
