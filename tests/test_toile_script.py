"""scripts/toile.py: the set-up is the pinned lists' own, a second start is quick, and what lacks is said in a line."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

import blenders
import environments
import pytest

LISTS = ("requirements.txt", "requirements-test.txt", *(f"requirements-{name}.txt" for name in environments.BLENDERS))


@pytest.fixture
def environment(tmp_path: Path) -> environments.Environment:
    """An environment in a folder of the test's."""
    return environments.Environment(tmp_path / "venv")


def pinned(root: Path, name: str) -> list[str]:
    lines = (root / "scripts" / name).read_text().splitlines()
    return [line.split(";")[0].strip() for line in lines if line.strip() and not line.startswith("#")]


@pytest.mark.parametrize("name", LISTS)
def test_every_line_of_a_list_pins_one_version(root: Path, name: str) -> None:
    assert all(line.count("==") == 1 and "*" not in line for line in pinned(root, name))


@pytest.mark.parametrize("script", ["toile", "environments", "blenders"])
def test_the_script_itself_asks_for_the_standard_library_only(root: Path, script: str) -> None:
    imported = [
        line.split()[1].split(".")[0]
        for line in (root / "scripts" / f"{script}.py").read_text().splitlines()
        if line.startswith(("import ", "from "))
    ]
    assert set(imported) <= set(sys.stdlib_module_names) | {"environments", "blenders"}


def test_a_plain_list_is_installed_once(environment, root: Path, tmp_path: Path, capsys) -> None:
    """A list of one small package, taken through the true venv and pip; then nothing is left to do."""
    wanted = tmp_path / "small.txt"
    wanted.write_text(next(line for line in pinned(root, LISTS[1]) if line.startswith("iniconfig")) + "\n")
    environment.set_up([wanted], sys.executable)
    said = capsys.readouterr().out
    assert "Setting up" in said
    assert "iniconfig" in said
    assert subprocess.run([environment.python, "-c", "import iniconfig"], check=False).returncode == 0
    before = environment.stamp.stat().st_mtime_ns
    environment.set_up([wanted], sys.executable)
    assert capsys.readouterr().out == ""
    assert environment.stamp.stat().st_mtime_ns == before
    wanted.write_text(wanted.read_text() + "# changed\n")
    environment.set_up([wanted], sys.executable)
    assert "Ready" in capsys.readouterr().out


def test_a_package_that_is_not_there_is_named_and_leaves_no_stamp(environment, tmp_path: Path) -> None:
    wanted = tmp_path / "bad.txt"
    wanted.write_text("iniconfig==0.0.0.1\n")
    with pytest.raises(environments.SetUpError, match="iniconfig"):
        environment.set_up([wanted], sys.executable)
    assert not environment.stamp.exists()


def test_no_python_that_fits_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(environments, "version_of", lambda python: "3.9")
    with pytest.raises(
        environments.SetUpError, match=r"needs Python 3\.11 or 3\.13, this is 3\.9; install one"
    ) as told:
        environments.find_python(["3.11", "3.13"])
    assert "\n" not in str(told.value)


def test_the_python_that_is_found_answers() -> None:
    assert environments.version_of(environments.find_python(environments.VERSIONS)) in environments.VERSIONS
    assert environments.version_of("/no/such/python") == ""


def test_libraries_of_the_blender_module_are_here(environment) -> None:
    """The real module's needs, as ldd lists them: what CI installed is enough."""
    assert environment.missing_libraries() == []


def test_each_blender_has_its_list_and_the_first_is_the_manifests(root: Path) -> None:
    for name in environments.BLENDERS:
        assert environments.blender_list(name).read_text().splitlines()[1].startswith(f"bpy=={name}.")
    manifest = tomllib.loads((root / "addon" / "blender_manifest.toml").read_text())
    assert min(environments.BLENDERS) + ".0" == manifest["blender_version_min"]
    assert all(environments.BLENDERS[blender] == python for python, blender in environments.VERSIONS.items())


@pytest.mark.parametrize(
    ("words", "chosen", "rest"),
    [
        (["-q"], [], ["-q"]),
        (["--all-blenders", "-k", "x"], list(environments.BLENDERS), ["-k", "x"]),
        (["--blender", "5.2", "-q", "--blender", "4.2"], ["4.2", "5.2"], ["-q"]),
    ],
)
def test_blenders_are_chosen_among_the_words(words: list[str], chosen: list[str], rest: list[str]) -> None:
    assert blenders.chosen_blenders(words) == (chosen, rest)


@pytest.mark.parametrize("words", [["--blender"], ["--blender", "3.6"]])
def test_an_unknown_blender_is_told(words: list[str]) -> None:
    with pytest.raises(environments.SetUpError, match=r"4\.2, 4\.5, 5\.0, 5\.2 is expected"):
        blenders.chosen_blenders(words)


def test_the_table_counts_what_pytest_counted(tmp_path: Path) -> None:
    """A true run of pytest with two that pass, one that fails, one that errs and one that is skipped."""
    (tmp_path / "test_it.py").write_text(
        "import pytest\n"
        "@pytest.fixture\ndef lost(): raise OSError\n"
        "@pytest.mark.parametrize('n', [1, 2, 3])\ndef test_n(n): assert n < 3\n"
        "def test_lost(lost): pass\ndef test_skipped(): pytest.skip('later')\n"
    )
    report = tmp_path / "report.xml"
    command = [sys.executable, "-m", "pytest", "-q", "-c", "/dev/null", f"--junitxml={report}", "test_it.py"]
    subprocess.run(command, cwd=tmp_path, check=False, capture_output=True)
    assert blenders.counts(report) == ("2", "2", "1")
    assert blenders.counts(tmp_path / "none.xml") == ("?", "?", "?")


def test_a_blender_whose_python_lacks_is_told_and_only_alone_a_failure(monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    ends = {"4.2": "passed", "5.2": "lacking", "4.5": "failed"}
    monkeypatch.setattr(blenders, "test_one", lambda blender, words: ((blender, "3.11"), ends[blender]))
    assert blenders.test_each(["4.2", "5.2"], []) == 0
    assert blenders.test_each(["5.2"], []) == 1
    assert blenders.test_each(["4.2", "4.5"], []) == 1
    assert capsys.readouterr().out.splitlines()[1].split() == list(blenders.HEAD)
