"""What every test stands on: Blender's module with an empty extension folder, and the pure core where it is absent."""

from __future__ import annotations

import importlib.util
import os
import re
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

HAS_BLENDER = importlib.util.find_spec("bpy") is not None


def pytest_ignore_collect(collection_path: Path) -> bool | None:
    """Without Blender's module only the tests of drafting/ are collected."""
    if HAS_BLENDER or collection_path.suffix != ".py" or collection_path.name == "conftest.py":
        return None
    asks = re.search(r"^\s*(?:import|from) (?:bpy|addon)\b", collection_path.read_text(), re.MULTILINE)
    return True if asks else None


@pytest.fixture
def root() -> Path:
    """The repository."""
    return ROOT
