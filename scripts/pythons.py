"""The Pythons of this machine: this one, those on the PATH, and where installers put them.

Standard library only, for any Python from 3.8 on.
"""

import glob
import os
import shutil
import subprocess
import sys
from pathlib import Path

from telling import SetUpError

# Where version managers and python.org's installers keep a Python 3.11 ({0}) or 311 ({1}).
KEPT = (
    "{pyenv}/versions/{0}.*/bin/python",
    "~/.local/share/uv/python/cpython-{0}.*/bin/python{0}",
    "/Library/Frameworks/Python.framework/Versions/{0}/bin/python{0}",
    "/opt/homebrew/bin/python{0}",
    "/usr/local/bin/python{0}",
    "~/AppData/Local/Programs/Python/Python{1}*/python.exe",
)
EVERY = [f"3.{minor}" for minor in range(8, 16)]


def find_python(versions):
    """A Python of one of these versions: this one, or another of this machine.

    Raises
    ------
    SetUpError
        There is none; it says which there are.
    """
    for candidate in candidates(versions):
        if version_of(candidate) in versions:
            return candidate
    found = {version_of(path): path for path in candidates(EVERY) if version_of(path)}
    here = ", ".join(f"{version} ({path})" for version, path in found.items()) or version_of(sys.executable)
    raise SetUpError(
        f"needs Python {' or '.join(versions)}, this machine has {here}; install one of them from python.org or your "
        "package manager, beside what is here, then call again."
    )


def candidates(versions):
    """Paths that may be a Python of these versions, this one first."""
    pyenv = os.environ.get("PYENV_ROOT", str(Path.home() / ".pyenv"))
    yield getattr(sys, "_base_executable", sys.executable)  # that of an environment could be the one made anew
    for version in versions:
        yield from filter(None, [shutil.which(f"python{version}")])
        for pattern in KEPT:
            place = pattern.format(version, version.replace(".", ""), pyenv=pyenv)
            yield from sorted(glob.glob(os.path.expanduser(place)))


def version_of(python):
    """Version such as "3.11" of an interpreter, "" if it does not answer."""
    ask = [str(python), "-I", "-c", "import sys; print('%d.%d' % sys.version_info[:2])"]
    try:
        return subprocess.run(ask, capture_output=True, text=True, timeout=20, check=False).stdout.strip()
    except (OSError, subprocess.TimeoutExpired):
        return ""
