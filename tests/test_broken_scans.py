"""Files that are no scan of one doll: one clear line each, little memory, nothing else ever."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from broken_scans import broken_files

from drafting.body.doll import read_doll
from drafting.errors import LengthError, ScanError

ROOT = Path(__file__).resolve().parent.parent
SECONDS, MEGABYTES = 10, 1000
ALL_IN_ONE_CHILD = """
import resource, sys
from pathlib import Path
from drafting.body.doll import read_doll
from drafting.errors import ToileError
for path in sorted(Path(sys.argv[1]).iterdir()):
    before = resource.getrusage(resource.RUSAGE_SELF).ru_utime
    try:
        read_doll(path)
        raise SystemExit(f"{path.name} was read")
    except ToileError:
        pass
    spent = resource.getrusage(resource.RUSAGE_SELF).ru_utime - before
    if spent > float(sys.argv[2]):
        raise SystemExit(f"{path.name} took {spent:.1f} s")
lines = Path("/proc/self/status").read_text().splitlines()
print(next(line.split()[1] for line in lines if line.startswith("VmHWM")))
"""


@pytest.fixture(scope="module")
def broken(tmp_path_factory):
    return broken_files(tmp_path_factory.mktemp("broken"))


def test_each_is_one_clear_line(broken):
    assert len(broken) >= 60
    for name, path in broken.items():
        with pytest.raises((ScanError, LengthError)) as told:
            read_doll(path)
        message = str(told.value)
        assert "\n" not in message, name
        assert 20 < len(message) < 400, name


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the high-water mark is read from Linux's /proc")
def test_all_together_take_little_memory_and_no_file_takes_long(broken):
    folder = next(iter(broken.values())).parent
    command = [sys.executable, "-c", ALL_IN_ONE_CHILD, str(folder), str(SECONDS)]
    said = subprocess.run(
        command, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False
    )
    assert said.returncode == 0, said.stderr[-500:]
    # The kernel's own high-water mark of that process alone: getrusage also remembers what began it, and its brothers.
    assert 0 < int(said.stdout) / 1024 < MEGABYTES


@pytest.mark.parametrize("name", ["two_dolls.stl", "bomb.3mf", "away.gltf"])
def test_the_command_line_says_it_and_writes_nothing(broken, name, tmp_path):
    command = [sys.executable, "-m", "addon.commands", "measure", str(broken[name]), "--out", str(tmp_path / "out")]
    said = subprocess.run(
        command, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False
    )
    assert said.returncode == 2
    assert len(said.stderr.splitlines()) == 1
    assert list(tmp_path.iterdir()) == []
