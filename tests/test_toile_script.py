"""scripts/toile.py: the set-up is the pinned lists' own, a second start is quick, and what lacks is said in a line."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
import types
from pathlib import Path

import pytest

LISTS = ("requirements.txt", "requirements-test.txt")


@pytest.fixture
def toile(root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> types.ModuleType:
    """The script as a module, with its environment moved into a folder of the test's."""
    spec = importlib.util.spec_from_file_location("toile", root / "scripts" / "toile.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    monkeypatch.setattr(module, "VENV", tmp_path / "venv")
    monkeypatch.setattr(module, "PYTHON", tmp_path / "venv" / "bin" / "python")
    monkeypatch.setattr(module, "STAMP", tmp_path / "venv" / "installed.txt")
    return module


def pinned(root: Path, name: str) -> list[str]:
    lines = (root / "scripts" / name).read_text().splitlines()
    return [line.split(";")[0].strip() for line in lines if line.strip() and not line.startswith("#")]


@pytest.mark.parametrize("name", LISTS)
def test_every_line_of_a_list_pins_one_version(root: Path, name: str) -> None:
    assert all(line.count("==") == 1 and "*" not in line for line in pinned(root, name))


def test_the_script_itself_asks_for_the_standard_library_only(root: Path) -> None:
    imported = [
        line.split()[1].split(".")[0]
        for line in (root / "scripts" / "toile.py").read_text().splitlines()
        if line.startswith(("import ", "from "))
    ]
    assert set(imported) <= set(sys.stdlib_module_names)


def test_a_plain_list_is_installed_once(toile, root: Path, tmp_path: Path, capsys) -> None:
    """A list of one small package, taken through the true venv and pip; then nothing is left to do."""
    wanted = tmp_path / "small.txt"
    wanted.write_text(next(line for line in pinned(root, LISTS[1]) if line.startswith("iniconfig")) + "\n")
    toile.set_up([wanted])
    said = capsys.readouterr().out
    assert "Setting up" in said
    assert "iniconfig" in said
    assert subprocess.run([toile.PYTHON, "-c", "import iniconfig"], check=False).returncode == 0
    before = toile.STAMP.stat().st_mtime_ns
    toile.set_up([wanted])
    assert capsys.readouterr().out == ""
    assert toile.STAMP.stat().st_mtime_ns == before
    wanted.write_text(wanted.read_text() + "# changed\n")
    toile.set_up([wanted])
    assert "Ready" in capsys.readouterr().out


def test_a_package_that_is_not_there_is_named_and_leaves_no_stamp(toile, tmp_path: Path) -> None:
    wanted = tmp_path / "bad.txt"
    wanted.write_text("iniconfig==0.0.0.1\n")
    with pytest.raises(toile.SetUpError, match="iniconfig"):
        toile.set_up([wanted])
    assert not toile.STAMP.exists()


def test_no_python_that_fits_is_one_line(toile, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(toile, "version_of", lambda python: "3.9")
    with pytest.raises(toile.SetUpError, match=r"needs Python 3\.11 or 3\.13, this is 3\.9; install one") as told:
        toile.find_python()
    assert "\n" not in str(told.value)


def test_the_python_that_is_found_answers(toile) -> None:
    assert toile.version_of(toile.find_python()) in toile.VERSIONS
    assert toile.version_of("/no/such/python") == ""


def test_libraries_of_the_blender_module_are_here(toile) -> None:
    """The real module's needs, as ldd lists them: what CI installed is enough."""
    assert toile.missing_libraries() == []
