"""Pictures taken by a second Blender in the background, so that the window stays alive and can stop it at any time.

The order is packed into a folder of its own; the other Blender opens no file, takes the pictures beside it, and says
how far it is in `told.txt`.
"""

from __future__ import annotations

import contextlib
import importlib.util
import os
import subprocess
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

import bpy

from drafting.body.body import Body
from drafting.cloth.draped import Draped
from drafting.errors import OutputError
from drafting.scratch import inside, scratch

from . import album, keep
from .album import Cloth, Setting
from .steps import Step, Work

TICK = 0.02  # s between two looks at how far it is
NO_WINDOW = getattr(subprocess, "CREATE_NO_WINDOW", 0)  # Windows would open a second one
ORDER, TOLD, DONE = "order.toile", "told.txt", "done"

# What the other Blender runs: it finds the core and the add-on where this one has them, under a name of its own.
_SCRIPT = """
import importlib.util, sys
sys.path.insert(0, {core!r})
spec = importlib.util.spec_from_file_location("toile_darkroom", {init!r}, submodule_search_locations=[{addon!r}])
sys.modules["toile_darkroom"] = package = importlib.util.module_from_spec(spec)
spec.loader.exec_module(package)
from toile_darkroom.darkroom import serve
serve({folder!r})
"""


@dataclass(frozen=True)
class Order:
    """Pictures that are wanted.

    Attributes
    ----------
    kind : {"fit", "listing", "turntable", "sheet"}
    draped : tuple of Draped
        One, or for a sheet each variant.
    lines : tuple of tuple of str
        The text below each variant.
    frames, film : int, bool
        Of a turntable: how many, and whether they are made into a film as well.
    """

    kind: str
    body: Body
    draped: tuple[Draped, ...]
    cloth: Cloth
    size: int
    setting: Setting = field(default_factory=Setting)
    frames: int = 0
    lines: tuple[tuple[str, ...], ...] = ()
    film: bool = False

    def shots(self) -> Work[dict[str, bytes]]:
        """Take them here."""
        if self.kind == "sheet":
            variants = list(zip(self.draped, self.lines, strict=True))
            return album.sheet_shots(self.body, variants, self.cloth, self.size)
        draped = self.draped[0]
        if self.kind == "fit":
            return album.fit_shots(self.body, draped, self.cloth, self.size)
        if self.kind == "listing":
            return album.listing_shots(self.body, draped, self.cloth, self.size, self.setting)
        return album.turntable_shots(self.body, draped, self.cloth, self.size, self.setting, self.frames, self.film)


def developing(order: Order) -> Work[dict[str, bytes]]:
    """Take pictures: with a window in another Blender, without one here."""
    return order.shots() if bpy.app.background else sent_out(order)


def sent_out(order: Order) -> Work[dict[str, bytes]]:
    """Take pictures in another Blender; stopping the work ends it.

    Raises
    ------
    OutputError
        It ended without pictures.
    """
    with scratch() as folder:
        (folder / ORDER).write_bytes(packed(order))
        with (folder / "log.txt").open("wb") as log:
            place, deaf = {**os.environ, **inside(folder)}, subprocess.DEVNULL
            other = subprocess.Popen(
                _words(folder), stdout=log, stderr=log, stdin=deaf, env=place, creationflags=NO_WINDOW
            )
        try:
            yield from _watched(other, folder)
        finally:
            if other.poll() is None:
                other.kill()
            other.wait()
        if not (folder / DONE).exists():
            last = (folder / "log.txt").read_text(errors="replace").strip().splitlines()[-1:] or ["it said nothing"]
            raise OutputError(f"The pictures could not be taken ({last[0][:200]}); try a smaller size")
        return {path.name: path.read_bytes() for path in sorted((folder / DONE).iterdir())}


def _watched(other: subprocess.Popen[bytes], folder: Path) -> Work[None]:
    """Tell how far it is until it ends."""
    step = Step("setting the lights up", 0.0)
    while other.poll() is None:
        with contextlib.suppress(OSError, ValueError):
            share, stage = (folder / TOLD).read_text(encoding="utf-8").split(" ", 1)
            step = Step(stage, float(share))
        yield step
        time.sleep(TICK)


def serve(folder: str) -> None:
    """In the other Blender: take what was ordered, as long as somebody waits for it."""
    place, asker = Path(folder), os.getppid()
    work = unpacked((place / ORDER).read_bytes()).shots()
    while place.exists() and os.getppid() == asker:
        try:
            step = next(work)
        except StopIteration as done:
            aside = place / "made"
            aside.mkdir()
            for name, data in done.value.items():
                (aside / name).write_bytes(data)
            aside.rename(place / DONE)
            return
        aside = place / "told.part"
        aside.write_text(f"{step.share} {step.stage}", encoding="utf-8")
        aside.replace(place / TOLD)


def packed(order: Order) -> bytes:
    """An order as bytes."""
    cloth, setting = order.cloth, order.setting
    looks = (cloth.colour, cloth.thickness_mm, cloth.printed, cloth.printed_width_mm)
    stands = (setting.shape, setting.backdrop, setting.plain_form)
    asked = (order.size, order.frames, order.film, order.lines)
    return keep.pack((order.kind, order.body, order.draped, looks, stands, asked))


def unpacked(data: bytes) -> Order:
    """The order that was packed."""
    kind, body, draped, looks, stands, (size, frames, film, lines) = keep.unpack(data)
    return Order(kind, body, draped, Cloth(*looks), size, Setting(*stands), frames, lines, film)


def _words(folder: Path) -> list[str]:
    """The command that starts the other Blender, or Python where bpy is a module."""
    addon = Path(__file__).parent
    core = importlib.util.find_spec("drafting")
    assert core is not None
    assert core.origin is not None
    script = _SCRIPT.format(
        core=str(Path(core.origin).parents[1]), init=str(addon / "__init__.py"), addon=str(addon), folder=str(folder)
    )
    (folder / "serve.py").write_text(script, encoding="utf-8")
    if bpy.app.binary_path:
        start = [bpy.app.binary_path, "--background", "--factory-startup", "--python-exit-code", "1"]
        return [*start, "--python", str(folder / "serve.py")]
    return [sys.executable, str(folder / "serve.py")]
