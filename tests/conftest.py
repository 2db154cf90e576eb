"""What every test stands on: Blender's module with an empty extension folder, and the pure core where it is absent."""

from __future__ import annotations

import importlib.util
import os
import re
import sys
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("toile", deadline=None)  # no test asserts on time
settings.load_profile("toile")

ROOT = Path(__file__).resolve().parent.parent

# Before the first `import bpy`: whatever the person at this machine has installed stays out of the tests.
EXTENSIONS = tempfile.TemporaryDirectory(prefix="toile-extensions-")  # kept as long as the tests run
os.environ["BLENDER_USER_EXTENSIONS"] = EXTENSIONS.name
os.environ["BLENDER_USER_SCRIPTS"] = f"{EXTENSIONS.name}/scripts"  # presets are saved there

ENDED = pytest.StashKey[int]()
HAS_BLENDER = importlib.util.find_spec("bpy") is not None


def pytest_ignore_collect(collection_path: Path) -> bool | None:
    """Without Blender's module only the tests of drafting/ are collected."""
    if HAS_BLENDER or collection_path.suffix != ".py" or collection_path.name == "conftest.py":
        return None
    return True if imports(collection_path, "bpy|addon") else None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The tests of files that call Blender itself are marked: a second version of Blender needs only those."""
    asking = {path for path in {item.path for item in items} if imports(path, "bpy")}
    for item in items:
        if item.path in asking:
            item.add_marker("blender")


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Remember how it went, for the end."""
    session.config.stash[ENDED] = int(exitstatus)


@pytest.hookimpl(trylast=True)
def pytest_unconfigure(config: pytest.Config) -> None:
    """Blender 4.2 as a module crashes at exit while a class still names a property with an update function, and 4.5 may
    wait at exit for ever for a thread of its own (its GlobalState is destroyed while delayed_close_thread_run waits).
    """
    properties = sys.modules.get("addon.properties")
    for cls in properties.CLASSES if properties else ():
        cls.__annotations__.clear()
    blender = sys.modules.get("bpy")
    if blender is not None and blender.app.version[:2] == (4, 5) and not hasattr(config, "workerinput"):
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(config.stash.get(ENDED, 1))


def imports(path: Path, modules: str) -> bool:
    """True if a file imports one of these modules, as written there."""
    return re.search(rf"^\s*(?:import|from) (?:{modules})\b", path.read_text(), re.MULTILINE) is not None


@pytest.fixture
def root() -> Path:
    """The repository."""
    return ROOT
