"""Kept values and patterns that were damaged: one error of ours with one line, never a traceback, little memory."""

from __future__ import annotations

import io
import json
import random
import zipfile

import numpy as np
import pytest

from addon import keep
from drafting.body.body import Skin
from drafting.cloth.mesh import ClothMesh
from drafting.errors import DraftError
from drafting.pattern.panel import Edge, Panel
from drafting.pattern.pattern import Pattern
from drafting.pattern.record import pattern_record, read_record

CORNERS = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]])
FACES = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
CLOTH = ClothMesh(CORNERS, FACES, CORNERS[FACES][:, :, :2], np.zeros(4, int), ("front",), ("trunk",), {})
KEPT = (Skin(CORNERS, FACES, ("said",)), CLOTH, {"a": (1, 2.5, None, True)})


def _parts() -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(keep.pack(KEPT))) as pack:
        return {name: pack.read(name) for name in pack.namelist()}


def _npy(value: object) -> bytes:
    held = io.BytesIO()
    np.save(held, np.asarray(value))
    return held.getvalue()


def _zipped(**changed: bytes) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, data in {**_parts(), **{f"{name}.npy": data for name, data in changed.items()}}.items():
            pack.writestr(name, data)
    return held.getvalue()


def _said(old: str, new: str) -> bytes:
    text = str(np.load(io.BytesIO(_parts()["plain.npy"])))
    assert old in text
    return _zipped(plain=_npy(text.replace(old, new)))


def _bomb() -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as pack, pack.open("plain.npy", "w") as part:
        for _ in range(keep.MOST_BYTES // 10_000_000 + 1):
            part.write(bytes(10_000_000))
    return held.getvalue()


DAMAGED = {
    "empty": lambda: b"",
    "cut": lambda: keep.pack(KEPT)[:-40],
    "points that are no numbers": lambda: _zipped(a0=_npy(np.full((4, 3), np.nan))),
    "points in one row": lambda: _zipped(a0=_npy(CORNERS.ravel())),
    "triangles without points": lambda: _zipped(a1=_npy(FACES + 9)),
    "triangles of four": lambda: _zipped(a1=_npy(np.zeros((4, 4), int))),
    "texts for points": lambda: _zipped(a0=_npy("abc")),
    "a header that is none": lambda: _zipped(a0=_npy(CORNERS).replace(b"(4, 3)", b"(4, x)")),
    "a number for a table": lambda: _said('"said"', "7"),
    "a missing field": lambda: _said('"faces"', '"other"'),
    "another module": lambda: _said("drafting.body.body", "subprocess"),
    "another thing of ours": lambda: _said('"Skin"', '"np"'),
    "deep brackets": lambda: _zipped(plain=_npy("[" * 100_000)),
    "an array that is not there": lambda: _said('"array": 0', '"array": 99'),
}


@pytest.mark.parametrize("name", DAMAGED)
def test_damaged_bytes_are_one_line(name: str) -> None:
    with pytest.raises(keep.KeptError) as told:
        keep.unpack(DAMAGED[name]())
    assert "\n" not in str(told.value)
    assert "make the fit again" in str(told.value)


def test_a_bomb_is_refused_by_what_it_declares() -> None:
    with pytest.raises(keep.KeptError, match="would unpack to more than"):
        keep.unpack(_bomb())


def test_what_is_kept_comes_back_the_same() -> None:
    skin, cloth, table = keep.unpack(keep.pack(KEPT))
    assert np.array_equal(skin.vertices, CORNERS)
    assert np.array_equal(cloth.flat, CLOTH.flat)
    assert table == KEPT[2]


@pytest.mark.faults
def test_thousands_of_changed_bytes_are_read_or_told() -> None:
    whole, dice, said = keep.pack(KEPT), random.Random(17), []
    for _ in range(3000):
        data = bytearray(whole)
        for _ in range(dice.randint(1, 4)):
            data[dice.randrange(len(data))] = dice.randrange(256)
        try:
            keep.unpack(bytes(data[: dice.randint(0, 2 * len(data))]))
        except keep.KeptError as told:
            said.append(str(told))
    assert len(said) > 1000
    assert not any("\n" in one for one in said)


def _record() -> dict:
    square = np.array([[0.0, 0], [50, 0], [50, 50], [0, 50]])
    edges = tuple(Edge(f"e{i}", np.array([square[i], square[(i + 1) % 4]])) for i in range(4))
    panel = Panel("front", edges, 1, "trunk", np.array([[25.0, 10], [25, 40]]), 1)
    return pattern_record(Pattern("robe", (panel,), (), (), (), {}, {}))


def test_thousands_of_changed_patterns_are_read_or_told() -> None:
    text, dice = json.dumps(_record()), random.Random(18)
    strange = ("null", "[]", "{}", "1e999", "NaN", "-1", '"x"', "[[1]]", "[[[1, 2]]]")
    places = [i for i, letter in enumerate(text) if letter in ":,["]
    read = 0
    for _ in range(2000):
        at = dice.choice(places) + 1
        end = min((i for i in (text.find(c, at) for c in ",]}") if i >= 0), default=at)
        try:
            record = json.loads(text[:at] + dice.choice(strange) + text[end:])
        except ValueError:
            continue
        try:
            read_record(record)
        except DraftError:
            continue
        read += 1
    assert read < 1500


def test_a_pattern_of_too_many_points_is_refused_at_once() -> None:
    record = _record()
    record["panels"][0]["edges"][0]["points"] = [[i / 1e4, 0.0] for i in range(200_000)]
    with pytest.raises(DraftError, match="more than 5000 points"):
        read_record(record)
