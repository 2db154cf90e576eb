"""What stops a verb, or cannot hear it: streams, signals, folders that may not be entered, two at once."""

from __future__ import annotations

import ctypes
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from drafting import scratch
from drafting.errors import OutputError
from drafting.files import write_files, writing_alone

ROOT = Path(__file__).resolve().parent.parent
VERB = [sys.executable, "-m", "addon.commands"]
BOUND, OVERRIDE, READ_SEARCH = 24, 1, 2  # PR_CAPBSET_DROP, CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH of Linux's headers
# The longest part of a command that asks Blender's own child: whether it can draw here.
ASKING = """
import sys
from addon.commands import __main__ as edge, verbs
from addon.studio import engine
verbs.RUN["measure"] = lambda request, progress: engine.quick()
sys.exit(edge.main(["measure", "--out", sys.argv[1]]))
"""

pytestmark = pytest.mark.skipif(os.name == "nt", reason="signals and streams as POSIX has them")


def surroundings(**more: str) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1", **more}


def shell(line: str, **more: str) -> subprocess.CompletedProcess:
    """A verb with its streams as a shell sets them."""
    words = ["sh", "-c", line, *VERB]
    return subprocess.run(words, env=surroundings(**more), capture_output=True, text=True, check=False)


@pytest.mark.parametrize("words", ["help", "draft --help", "measure --out {out}"])
@pytest.mark.parametrize(
    ("stream", "why"), [(">&-", "standard output is closed"), (">/dev/full", "No space left on device")]
)
def test_output_that_cannot_be_written_is_one_line(words: str, stream: str, why: str, tmp_path: Path) -> None:
    said = shell(f'"$0" "$@" {words.format(out=tmp_path / "out")} {stream}')
    assert said.returncode == 2
    assert len(said.stderr.splitlines()) == 1
    assert why in said.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("stream", ["2>/dev/full", "<&- 2>&-"])
def test_other_streams_that_are_closed_or_full_change_nothing(stream: str, tmp_path: Path) -> None:
    said = shell(f'"$0" "$@" measure --out {tmp_path / "out"} {stream}')
    assert said.returncode == 0
    assert (tmp_path / "out" / "measures.json").read_bytes().startswith(b"{")
    assert shell(f'"$0" "$@" nothing {stream}').returncode == 2


@pytest.mark.parametrize("words", [["help"], ["measure"]])
def test_a_pipe_that_nobody_reads_ends_it_quietly(words: list[str], tmp_path: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    said = subprocess.run(
        [*VERB, *words], cwd=tmp_path, env=surroundings(), stdout=writing, stderr=subprocess.PIPE, check=False
    )
    os.close(writing)
    assert said.returncode == 128 + signal.SIGPIPE
    assert said.stderr == b""
    assert list(tmp_path.iterdir()) == []


def powerless() -> None:
    """Root as anybody else: the folders' own rights count."""
    for power in (OVERRIDE, READ_SEARCH):
        ctypes.CDLL(None).prctl(BOUND, power, 0, 0, 0)


LONG = "x" * 300
GIVEN = [
    ["measure", "{}.stl"],
    ["measure", "--out", "{}"],
    ["measure", "--out", "{}/deep/er"],
    ["measure", "--landmarks", "{}.json"],
    ["fit", "--from", "{}.svg"],
    ["fit", "--fabric", "{}.toml"],
    ["fit", "--print", "{}.png", "--print-width", "9cm"],
    ["paper", "{}.json"],
    ["paper", "--from", "{}.svg"],
    ["pictures", "{}"],
]


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="capabilities as Linux has them")
@pytest.mark.parametrize("name", [LONG, "closed/doll"])
@pytest.mark.parametrize("words", GIVEN, ids=" ".join)
def test_a_path_that_the_system_refuses_is_one_line(words: list[str], name: str, tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir()
    closed.chmod(0)
    command = [*VERB, *(word.format(name) for word in words)]
    told = {"capture_output": True, "text": True, "check": False, "preexec_fn": powerless}
    said = subprocess.run(command, cwd=tmp_path, env=surroundings(), **told)
    closed.chmod(0o700)
    assert said.returncode == 2, said.stderr
    assert "fault" not in said.stderr
    assert len(said.stderr.splitlines()) == 1
    assert sorted(tmp_path.rglob("*")) == [closed]


def default(*numbers: int) -> None:
    """Heed these signals, although a job in the background may have been told to ignore them."""
    for number in numbers:
        signal.signal(number, signal.SIG_DFL)


def running(words: list[object], place: Path, heard: str) -> subprocess.Popen:
    """A command in a session of its own with its temporary files in a place, once it has said this."""
    heed = {"preexec_fn": lambda: default(signal.SIGTERM, signal.SIGHUP), "start_new_session": True}
    told = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    work = subprocess.Popen([*map(str, words)], env=surroundings(TMPDIR=str(place)), **told, **heed)
    while heard and heard not in (line := work.stdout.readline()):
        assert line, work.communicate()
    return work


def session(number: int) -> list[int]:
    """Processes of a session, as /proc tells."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _, _, its = stat.read_text().rpartition(")")[2].split()[:4]
        except OSError:  # it has just ended
            continue
        if int(its) == number and state != "Z":
            found.append(int(stat.parent.name))
    return found


def until(there: Callable[[], bool]) -> None:
    while not there():
        time.sleep(0.01)


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """An empty folder for temporary files."""
    (tmp_path / "temporary").mkdir()
    return tmp_path / "temporary"


def test_a_drape_that_is_told_to_end_leaves_nothing(place: Path, tmp_path: Path) -> None:
    work = running([*VERB, "fit", "--out", tmp_path / "out"], place, "sewing")
    assert list(place.iterdir()) != []
    work.terminate()
    _, errors = work.communicate()
    assert work.returncode == 128 + signal.SIGTERM
    assert errors.splitlines() == ["toile: stopped; nothing was written."]
    assert [*place.iterdir(), *tmp_path.glob("out")] == []


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="a system without /proc")
def test_a_verb_that_is_told_to_end_ends_its_children(place: Path, tmp_path: Path) -> None:
    work = running([sys.executable, "-c", ASKING, tmp_path / "out"], place, "")
    until(lambda: len(session(work.pid)) == 2)
    work.send_signal(signal.SIGHUP)
    work.communicate()
    assert work.returncode == 128 + signal.SIGHUP
    assert session(work.pid) == []
    assert list(place.iterdir()) == []


def test_what_a_killed_run_left_is_cleared_by_the_next_and_nothing_else(place: Path, tmp_path: Path) -> None:
    foreign = {
        place / "blender_other",
        place / f"toile-{scratch.MINE}-without-lock",
        tmp_path / "out" / ".writing-mine",
    }
    for folder in foreign:
        folder.mkdir(parents=True)
    work = running([*VERB, "fit", "--out", tmp_path / "out"], place, "sewing")
    (left,) = set(place.glob("toile-*/")) - foreign
    assert any(re.match("blender_", path.name) for path in left.iterdir())
    work.kill()
    work.communicate()
    (tmp_path / "out" / ".writing-abcd_123").mkdir()
    assert left.exists()
    words = [*VERB, "measure", "--out", tmp_path / "out"]
    subprocess.run([*map(str, words)], env=surroundings(TMPDIR=str(place)), check=True, capture_output=True)
    assert {*place.iterdir(), *(tmp_path / "out").glob(".writing*")} == foreign


def test_scratch_in_use_is_left_alone(place: Path) -> None:
    with scratch.scratch(place) as first, scratch.scratch(place) as second:
        assert first.is_dir()
        assert second.is_dir()
    assert list(place.iterdir()) == []


def test_the_second_to_write_into_a_folder_is_told_before_the_work(tmp_path: Path) -> None:
    words = [*VERB, "measure", "--out", str(tmp_path / "deep" / ".." / "out")]
    with writing_alone(tmp_path / "out"):
        said = subprocess.run(words, env=surroundings(), capture_output=True, text=True, check=False)
    assert said.returncode == 2
    assert re.fullmatch(r"toile: Another Pocket Toile is at work on results for .*\n", said.stderr)
    assert said.stdout == ""
    assert list(tmp_path.iterdir()) == []


def test_two_that_write_at_once_are_told_apart_and_others_not_kept_waiting(tmp_path: Path) -> None:
    """A process that holds the folder until its input ends."""
    ask = "import sys; from pathlib import Path; from drafting.files import writing_alone\n"
    ask += "with writing_alone(Path(sys.argv[1])): print('held', flush=True); sys.stdin.read()"
    words = [sys.executable, "-c", ask, str(tmp_path / "out")]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True}
    with subprocess.Popen(words, env=surroundings(), **pipes) as other:
        assert other.stdout.readline() == "held\n"
        with pytest.raises(OutputError, match="Another Pocket Toile"):
            write_files(tmp_path / "out", {"fit.json": "{}"})
        assert list(tmp_path.iterdir()) == []
        write_files(tmp_path / "elsewhere", {"fit.json": "{}"})
        other.kill()
    write_files(tmp_path / "out", {"fit.json": "{}"})
