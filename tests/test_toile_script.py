"""scripts/toile.py: the set-up is the pinned lists' own, a second start is quick, and what lacks is said in a line."""

from __future__ import annotations

import hashlib
import os
import re
import signal
import subprocess
import sys
import time
import tomllib
import zipfile
from collections.abc import Callable
from pathlib import Path

import blenders
import environments
import libraries
import pytest
import pythons
import toile
from telling import SetUpError

from scripts.build_extension import record_hash

LISTS = ("requirements.txt", "requirements-test.txt", *(f"requirements-{name}.txt" for name in environments.BLENDERS))
THIS = "{}.{}".format(*sys.version_info[:2])
FILES = 500  # of the wheel that is unpacked while the set-up is stopped

# A set-up of one list in a folder, as another process.
SET_UP = """
import pathlib, sys
import environments
made = environments.Environment(sys.argv[1])
made.set_up(lambda version: [pathlib.Path(sys.argv[2])], [sys.argv[3]])
"""


@pytest.fixture
def environment(tmp_path: Path) -> environments.Environment:
    """An environment in a folder of the test's."""
    return environments.Environment(tmp_path / "venv")


def wheel(folder: Path, content: str = "") -> Path:
    """A pure-Python wheel called needle, of many small files (PyPA binary distribution format)."""
    info = "needle-1.0.dist-info"
    files = {f"needle/part{number}.py": content for number in range(FILES)} | {"needle/__init__.py": content}
    files[f"{info}/METADATA"] = "Metadata-Version: 2.1\nName: needle\nVersion: 1.0\n"
    files[f"{info}/WHEEL"] = "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
    rows = [f"{name},sha256={record_hash(text.encode())},{len(text)}" for name, text in files.items()]
    files[f"{info}/RECORD"] = "\n".join([*rows, f"{info}/RECORD,,", ""])
    folder.mkdir(exist_ok=True)
    path = folder / "needle-1.0-py3-none-any.whl"
    with zipfile.ZipFile(path, "w") as archive:
        for name, text in files.items():
            archive.writestr(zipfile.ZipInfo(name), text)
    return path


@pytest.fixture
def needle(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A list that pins the wheel, which pip finds in a folder and nowhere else."""
    made = wheel(tmp_path / "wheels")
    monkeypatch.setenv("PIP_CONFIG_FILE", os.devnull)
    monkeypatch.setenv("PIP_NO_INDEX", "1")
    monkeypatch.setenv("PIP_FIND_LINKS", str(made.parent))
    path = tmp_path / "list.txt"
    path.write_text(f"needle==1.0 --hash=sha256:{hashlib.sha256(made.read_bytes()).hexdigest()}\n")
    return path


def set_up(folder: Path, listed: Path) -> subprocess.Popen:
    """A set-up in a process group of its own; Ctrl-C reaches it as from a terminal."""
    env = os.environ | {"PYTHONPATH": str(environments.ROOT / "scripts")}
    heed = {"preexec_fn": lambda: signal.signal(signal.SIGINT, signal.default_int_handler), "start_new_session": True}
    command = [sys.executable, "-c", SET_UP, folder, listed, THIS]
    return subprocess.Popen(command, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **heed)


def whole(environment: environments.Environment) -> bool:
    """True if what was installed is there to the last file, and pip works."""
    ask = f"import needle.part{FILES - 1}, pip; from importlib.metadata import files; "
    ask += "assert all(file.locate().exists() for file in files('needle'))"
    asked = [[environment.python, "-I", "-c", ask], [environment.python, "-I", "-m", "pip", "check"]]
    return all(subprocess.run(words, check=False, capture_output=True).returncode == 0 for words in asked)


def pinned(root: Path, name: str) -> list[str]:
    """A list's pins, each with its hashes in one line."""
    text = (root / "scripts" / name).read_text().replace("\\\n", " ")
    return [line for line in text.splitlines() if line.strip() and not line.startswith("#")]


@pytest.mark.parametrize("name", LISTS)
def test_every_line_of_a_list_pins_one_version_and_its_files(root: Path, name: str) -> None:
    for line in pinned(root, name):
        assert re.fullmatch(r"[\w.-]+==[\w.]+( +--hash=sha256:[0-9a-f]{64})+", line), line


@pytest.mark.parametrize("name", ["toile", "environments", "blenders", "pythons", "libraries", "telling", "lock"])
def test_the_script_itself_asks_for_the_standard_library_only(root: Path, name: str) -> None:
    path = root / ("drafting" if name == "lock" else "scripts") / f"{name}.py"
    imported = re.findall(r"^ *(?:import|from) ([\w.]+)", path.read_text(), re.MULTILINE)
    ours = {"environments", "blenders", "pythons", "libraries", "telling", "drafting.lock"}
    assert {name.split(".")[0] for name in set(imported) - ours} <= set(sys.stdlib_module_names)
    assert (root / "drafting" / "__init__.py").read_text().count("import") == 0


def test_a_plain_list_is_installed_once_and_stays_where_a_later_one_cannot_be(
    environment, needle: Path, capsys
) -> None:
    """A list of one small package, taken through the true venv and pip; then nothing is left to do."""
    environment.set_up(lambda version: [needle], [THIS])
    said = capsys.readouterr().out
    assert "Setting up" in said
    assert "needle" in said
    assert whole(environment)
    before = environment.stamp.stat().st_mtime_ns
    environment.set_up(lambda version: [needle], [THIS])
    assert capsys.readouterr().out == ""
    assert environment.stamp.stat().st_mtime_ns == before
    needle.write_text(needle.read_text() + "# changed\n")
    environment.set_up(lambda version: [needle], [THIS])
    said = capsys.readouterr().out
    assert "Ready" in said
    assert "Setting up" not in said
    before = environment.stamp.read_text()
    needle.write_text(needle.read_text().replace("1.0", "2.0"))
    with pytest.raises(SetUpError, match=r"could not install list\.txt: .*needle"):
        environment.set_up(lambda version: [needle], [THIS])
    assert environment.stamp.read_text() == before
    assert whole(environment)


def pip_half_there(folder: Path) -> bool:
    return any(folder.glob("lib/python3*/site-packages/pip"))


def half_unpacked(folder: Path) -> bool:
    return any(folder.glob("lib/python3*/site-packages/needle/part9.py"))


@pytest.mark.skipif(os.name == "nt", reason="signals of a process group")
@pytest.mark.parametrize(
    ("moment", "number", "all_of_it"),
    [
        (pip_half_there, signal.SIGINT, True),
        (half_unpacked, signal.SIGKILL, True),
        (half_unpacked, signal.SIGKILL, False),
    ],
)
def test_a_set_up_that_was_stopped_is_mended_by_the_next(
    environment, needle: Path, moment: Callable[[Path], bool], number: int, all_of_it: bool
) -> None:
    """Stopped with its children, or alone while they go on: the next call waits for them and begins anew."""
    first = set_up(environment.folder, needle)
    while not moment(environment.folder) and first.poll() is None:
        time.sleep(0.002)
    os.killpg(first.pid, number) if all_of_it else os.kill(first.pid, number)
    first.wait()
    assert not environment.stamp.exists()
    second = set_up(environment.folder, needle)
    said, _ = second.communicate()
    assert second.returncode == 0, said
    assert "made anew" in said
    assert whole(environment)


def test_two_at_once_make_it_once(environment, needle: Path) -> None:
    both = [set_up(environment.folder, needle) for _ in range(2)]
    said = [process.communicate()[0] for process in both]
    assert [process.returncode for process in both] == [0, 0]
    assert sorted("Setting up" in text for text in said) == [False, True]
    assert sorted("waiting until it is done" in text for text in said) == [False, True]
    assert whole(environment)
    assert not environment.lock.exists()


def test_an_environment_that_lost_its_stamp_is_made_anew_and_a_link_is_never_followed(
    environment, needle: Path, tmp_path: Path
) -> None:
    """What an earlier tool left half made ("No module named pip") has no stamp."""
    (tmp_path / "elsewhere" / "bin").mkdir(parents=True)
    (tmp_path / "elsewhere" / "bin" / "python").write_text("")
    environment.folder.symlink_to(tmp_path / "elsewhere")
    environment.set_up(lambda version: [needle], [THIS])
    assert whole(environment)
    assert not environment.folder.is_symlink()
    assert (tmp_path / "elsewhere" / "bin" / "python").read_text() == ""


def test_no_network_is_said_as_such_and_a_file_that_is_not_the_pinned_one_refused(
    environment, needle: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    with monkeypatch.context() as away:  # an index at a port of this machine where nobody answers
        away.delenv("PIP_NO_INDEX")
        away.delenv("PIP_FIND_LINKS")
        away.setenv("PIP_INDEX_URL", "http://127.0.0.1:9/simple")
        away.setenv("PIP_RETRIES", "1")
        with pytest.raises(SetUpError, match=r"^no network: list\.txt could not be fetched; connect"):
            environment.set_up(lambda version: [needle], [THIS])
    assert capsys.readouterr().out.count("no answer from the network") == 1
    wheel(tmp_path / "wheels", "# another's\n")
    with pytest.raises(SetUpError, match=r"not the one pinned in list\.txt; nothing of it was installed"):
        environment.set_up(lambda version: [needle], [THIS])
    assert not any(environment.folder.glob("lib/*/site-packages/needle"))


def test_no_python_that_fits_is_one_line_that_says_which_there_are(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pythons, "version_of", lambda python: "3.12")
    with pytest.raises(
        SetUpError, match=r"needs Python 3\.11 or 3\.13, this machine has 3\.12 \(.+\); install one"
    ) as told:
        pythons.find_python(["3.11", "3.13"])
    assert "\n" not in str(told.value)


def test_a_python_beside_the_one_that_calls_is_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A version manager's: it is found although this one is another."""
    kept = tmp_path / "versions" / "3.99.1" / "bin"
    kept.mkdir(parents=True)
    (kept / "python").write_text("#!/bin/sh\necho 3.99\n")
    (kept / "python").chmod(0o755)
    monkeypatch.setenv("PYENV_ROOT", str(tmp_path))
    assert pythons.find_python(["3.99"]) == str(kept / "python")


@pytest.mark.parametrize(
    ("agreed", "terminal", "answer", "installs"),
    [(True, True, "", True), (False, False, "", True), (False, True, "y", True), (False, True, "", False)],
)
def test_system_libraries_are_asked_for_on_a_terminal(
    agreed: bool, terminal: bool, answer: str, installs: bool, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    asked: list[str] = []
    monkeypatch.setattr(sys.stdin, "isatty", lambda: terminal)
    monkeypatch.setattr("builtins.input", lambda text: asked.append(text) or answer)
    assert libraries.may_install(["libEGL.so.1"], agreed) == installs
    assert (len(asked) == 1) == (terminal and not agreed)
    assert libraries.COMMAND in capsys.readouterr().out


@pytest.mark.parametrize("variable", [None, "PYTHONPATH"])
def test_code_in_the_folder_of_the_scan_is_never_run(variable: str | None, tmp_path: Path) -> None:
    """Files beside a scan, called like modules of ours: with the command as toile.py hands it over."""
    for name in ("numpy", "trimesh", "addon", "drafting", "argparse", "json", "sitecustomize"):
        (tmp_path / f"{name}.py").write_text(f"open('run-{name}', 'w')\nraise SystemExit(66)\n")
    here = environments.Environment(Path(sys.prefix))
    with pytest.MonkeyPatch.context() as maker:
        maker.setenv(variable, str(tmp_path)) if variable else None
        command, variables = toile.calling(here, "measure", ["nowhere.stl"])
    said = subprocess.run(command, cwd=tmp_path, env=variables, capture_output=True, text=True, check=False)
    assert list(tmp_path.glob("run-*")) == []
    assert "nowhere.stl" in said.stderr
    assert said.returncode == 2


def test_the_python_that_is_found_answers() -> None:
    assert pythons.version_of(pythons.find_python(environments.VERSIONS)) in environments.VERSIONS
    assert pythons.version_of("/no/such/python") == ""


def test_libraries_of_the_blender_module_are_here() -> None:
    """The real module's needs, as ldd lists them: what CI installed is enough."""
    assert libraries.missing_in(Path(sys.prefix)) == []


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
    with pytest.raises(SetUpError, match=r"4\.2, 4\.5, 5\.0, 5\.2 is expected"):
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
    monkeypatch.setattr(blenders, "test_one", lambda blender, words, agreed: ((blender, "3.11"), ends[blender]))
    assert blenders.test_each(["4.2", "5.2"], [], False) == 0
    assert blenders.test_each(["5.2"], [], False) == 1
    assert blenders.test_each(["4.2", "4.5"], [], False) == 1
    assert capsys.readouterr().out.splitlines()[1].split() == list(blenders.HEAD)
