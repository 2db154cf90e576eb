"""Keeps the road's own values (a body, a pattern, a drape, a fit) as bytes, in a file or inside a .blend.

A zip of one JSON text and plain arrays. Nothing in it is run when it is read, and only dataclasses of `drafting`
come out of it.
"""

from __future__ import annotations

import collections.abc
import dataclasses
import io
import json
import types
import typing
import zipfile
from collections.abc import Mapping
from functools import cache
from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drafting.errors import ToileError

MOST_BYTES = 1_000_000_000
"""What kept values may unpack to: a fit of the finest cloth and skin is a tenth of this, and half a computer of 4 GB
holds it twice."""
MOST_ENTRIES = 10_000
"""Arrays at most; a fit has some hundreds."""


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
        _declared(data)
        with np.load(io.BytesIO(data), allow_pickle=False) as kept:
            return _value(json.loads(str(kept["plain"])), _Once(kept))
    except Exception as why:
        reason = " ".join(str(why).split())[:160] or type(why).__name__
        raise KeptError(f"the kept results cannot be read ({reason}): make the fit again") from why


def _declared(data: bytes) -> None:
    """Refuse what would unpack to more than fits, by the zip's own list; its reader stops at what that promises."""
    with zipfile.ZipFile(io.BytesIO(data)) as pack:
        entries = pack.infolist()
    if len(entries) > MOST_ENTRIES or sum(entry.file_size for entry in entries) > MOST_BYTES:
        raise ValueError(f"they would unpack to more than {MOST_BYTES // 1_000_000} MB")


class _Once(dict[str, NDArray[Any]]):
    """Each array unpacked once, however often it is named."""

    def __init__(self, kept: Mapping[str, NDArray[Any]]) -> None:
        super().__init__()
        self.kept = kept

    def __missing__(self, name: str) -> NDArray[Any]:
        self[name] = array = self.kept[name]
        return array


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
    kind = _kind(*plain["type"])
    fields = {name: _value(item, kept) for name, item in plain["fields"].items()}
    for name, hint in _hints(kind).items():
        if name in fields and not _fits(fields[name], hint):
            raise TypeError(f"{kind.__name__}.{name} is not of its kind")
    return _sound(kind(**fields))


@cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _fits(value: Any, hint: Any) -> bool:
    """Whether a value is what its field is declared to be; looks into tuples and mappings."""
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if hint is Any or hint is object:
        return True
    if hint is float:
        return isinstance(value, float | int) and not isinstance(value, bool)
    if hint is int:
        return isinstance(value, int) and not isinstance(value, bool)
    if origin in (typing.Union, types.UnionType):
        return any(_fits(value, one) for one in inner)
    if origin is np.ndarray:
        return isinstance(value, np.ndarray) and value.dtype.kind in "biufUS"
    if origin is tuple and not (len(inner) == 2 and inner[1] is ...):
        return isinstance(value, tuple) and len(value) == len(inner) and all(map(_fits, value, inner))
    if origin in (tuple, list, collections.abc.Sequence):
        return isinstance(value, tuple) and all(_fits(item, inner[0]) for item in value)
    if origin in (dict, collections.abc.Mapping):
        pairs = value.items() if isinstance(value, dict) else [(None, None)]
        return all(_fits(key, inner[0]) and _fits(item, inner[1]) for key, item in pairs)
    return isinstance(value, hint) if isinstance(hint, type) and not getattr(hint, "_is_protocol", False) else True


def _sound(value: Any) -> Any:
    """The value, if the triangles that it may have are some: finite points, three numbers of points each."""
    points, faces = getattr(value, "vertices", None), getattr(value, "faces", None)
    if points is None or faces is None:
        return value
    if points.ndim != 2 or faces.ndim != 2 or faces.shape[1] != 3 or not np.isfinite(points).all():
        raise ValueError("its points or triangles are none")
    if len(faces) and not (faces.dtype.kind in "iu" and 0 <= faces.min() <= faces.max() < len(points)):
        raise ValueError("triangles name points that are not there")
    return value


def _kind(module: str, name: str) -> type:
    """A dataclass of drafting by its name, and nothing else."""
    kind = getattr(import_module(module), name) if module.startswith("drafting.") else None
    if not (isinstance(kind, type) and dataclasses.is_dataclass(kind)):
        raise KeyError(f"{module}.{name} is not kept")
    return kind
