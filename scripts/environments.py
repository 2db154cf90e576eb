"""Python environments that hold what the pinned lists name: .venv for the verbs, .venv-4.2 and its like for tests.

Standard library only, for any Python from 3.8 on.
"""

import hashlib
import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
RUN_LIST = ROOT / "scripts" / "requirements.txt"
TEST_LIST = ROOT / "scripts" / "requirements-test.txt"

BLENDERS = {"4.2": "3.11", "4.5": "3.11", "5.0": "3.11", "5.2": "3.13"}  # Blender's module and the Python it comes for
VERSIONS = {"3.11": "5.0", "3.13": "5.2"}  # which of them the verbs use with a Python

# Libraries that the Blender module opens on Linux, and the Debian packages that hold them. The first lines come from
# ldd on the module; EGL, GL's driver and Mesa are opened later, when a picture is rendered without a display.
DEBIAN = (
    *("libx11-6", "libxext6", "libxi6", "libxfixes3", "libxrender1", "libxkbcommon0", "libsm6", "libice6", "libuuid1"),
    *("libgl1", "libegl1", "libegl-mesa0", "libgl1-mesa-dri"),
)


class SetUpError(Exception):
    """What the maker must do before the verbs can run, in one line."""


class Environment:
    """A folder with a Python of its own, and what the pinned lists named when it was set up."""

    def __init__(self, folder):
        self.folder = Path(folder)
        self.python = self.folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
        self.stamp = self.folder / "installed.txt"

    def set_up(self, lists, python):
        """Bring the folder to the pinned lists, made with that Python; does nothing when its stamp says that it is.

        A later list may pin another version of what an earlier one named, so all after a changed one are installed.
        """
        here = self.stamp.exists() and self.python.exists()
        present = set(self.stamp.read_text().splitlines()) if here else set()
        missing = [path for at, path in enumerate(lists) if any(signed(one) not in present for one in lists[: at + 1])]
        if not missing:
            return
        if not self.python.exists():
            self.make(python)
        begun = time.monotonic()
        for path in missing:
            self.install(path)
            present = {line for line in present if line.split()[0] != path.name} | {signed(path)}
        (self.folder / "extensions").mkdir(exist_ok=True)
        self.check_libraries()
        self.stamp.write_text("\n".join(sorted(present)) + "\n")
        say(f"Ready after {time.monotonic() - begun:.0f} s.")

    def make(self, python):
        """A fresh folder with that Python."""
        say(f"Setting up in {self.folder} with Python {version_of(python)}: once, about 400 MB, a few minutes.")
        shutil.rmtree(self.folder, ignore_errors=True)
        made = subprocess.run([python, "-m", "venv", str(self.folder)], capture_output=True, text=True, check=False)
        if made.returncode:
            shutil.rmtree(self.folder, ignore_errors=True)
            if "ensurepip" in made.stdout:
                raise SetUpError(
                    f"Python {version_of(python)} lacks its venv module; on Debian and Ubuntu: "
                    f"apt-get install python{version_of(python)}-venv, then call again."
                )
            raise SetUpError(f"could not make {self.folder}: {last_line(made.stderr or made.stdout)}")

    def install(self, path):
        """Install one pinned list, one line a package."""
        command = [str(self.python), "-m", "pip", "install", "--no-deps", "--no-input", "--disable-pip-version-check"]
        command += ["--progress-bar", "off", "-r", str(path)]
        said = []
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as pip:
            for line in pip.stdout:
                said.append(line.strip())
                package = re.match(r"Collecting (\S+?)==([^\s;]+)", said[-1])
                size = re.match(r"Downloading \S+ \((\d[\d.]* MB)\)", said[-1])
                if package:
                    say(f"  {package.group(1)} {package.group(2)}")
                elif size:
                    say(f"    fetching {size.group(1)}")
                elif said[-1].startswith("Installing collected packages"):
                    say("  unpacking")
        if pip.returncode:
            faults = [line for line in said if line.startswith("ERROR")] or said[-1:]
            raise SetUpError(f"could not install {path.name}: {faults[0] if faults else 'pip said nothing'}")

    def check_libraries(self):
        """On Linux: the shared libraries that the Blender module opens; installs them on Debian when run as root."""
        missing = self.missing_libraries()
        if not missing:
            return
        command = f"apt-get install --no-install-recommends {' '.join(DEBIAN)}"
        if os.geteuid() == 0 and shutil.which("apt-get"):
            say(f"  system libraries ({', '.join(missing)} missing)")
            quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "stdin": subprocess.DEVNULL}
            environment = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
            subprocess.run(["apt-get", "update", "-qq"], env=environment, check=False, **quiet)
            subprocess.run(["apt-get", "-y", *command.split()[1:]], env=environment, check=False, **quiet)
            missing = self.missing_libraries()
        if missing:
            raise SetUpError(f"Blender's module lacks {', '.join(missing)}; on Debian and Ubuntu: sudo {command}")

    def missing_libraries(self):
        """Names of shared libraries that the installed Blender module asks for and this system lacks."""
        if not sys.platform.startswith("linux") or not shutil.which("ldd"):
            return []
        lacking = []
        for module in self.folder.glob("lib/python3.*/site-packages/bpy/__init__*.so"):
            asked = subprocess.run(["ldd", str(module)], capture_output=True, text=True, check=False).stdout
            lacking += re.findall(r"(\S+) => not found", asked)
        known = subprocess.run(["/sbin/ldconfig", "-p"], capture_output=True, text=True, check=False).stdout
        lacking += [name for name in ("libGL.so.1", "libEGL.so.1", "libEGL_mesa.so.0") if name not in known]
        return sorted(set(lacking))


def main_environment(test=False):
    """The verbs' own environment, .venv, set up."""
    made = Environment(ROOT / ".venv")
    python = str(made.python) if version_of(made.python) in VERSIONS else find_python(VERSIONS)
    lists = [RUN_LIST, blender_list(VERSIONS[version_of(python)])]
    made.set_up([*lists, TEST_LIST] if test else lists, python)
    return made


def blender_environment(blender):
    """The environment of one Blender, such as "4.2", set up for tests."""
    made = Environment(ROOT / f".venv-{blender}")
    made.set_up([RUN_LIST, TEST_LIST, blender_list(blender)], find_python([BLENDERS[blender]]))
    return made


def surroundings(environment):
    """Environment variables for a child: our packages first, and nothing of what the maker has installed."""
    path = os.pathsep.join(filter(None, [str(ROOT), os.environ.get("PYTHONPATH")]))
    return dict(os.environ, PYTHONPATH=path, BLENDER_USER_EXTENSIONS=str(environment.folder / "extensions"))


def blender_list(blender):
    """The pinned list that holds Blender's module and its numpy."""
    return ROOT / "scripts" / f"requirements-{blender}.txt"


def signed(path):
    """A pinned list's name and hash, as the stamp remembers it."""
    return f"{path.name} {hashlib.sha256(path.read_bytes()).hexdigest()}"


def find_python(versions):
    """A Python of one of these versions: this one, or one on the PATH or of pyenv."""
    pyenv = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"
    named = [shutil.which(f"python{version}") for version in versions]
    kept = [str(path) for version in versions for path in sorted(pyenv.glob(f"{version}.*/bin/python"))]
    for candidate in filter(None, [sys.executable, *named, *kept]):
        if version_of(candidate) in versions:
            return candidate
    raise SetUpError(
        f"needs Python {' or '.join(versions)}, this is {version_of(sys.executable)}; "
        "install one of them from python.org or your package manager, then call again."
    )


def version_of(python):
    """Version such as "3.11" of an interpreter, "" if it does not answer."""
    ask = [str(python), "-c", "import sys; print('%d.%d' % sys.version_info[:2])"]
    try:
        return subprocess.run(ask, capture_output=True, text=True, timeout=20, check=False).stdout.strip()
    except (OSError, subprocess.TimeoutExpired):
        return ""


def last_line(text):
    """The last line that says something."""
    lines = [line for line in text.splitlines() if line.strip()]
    return lines[-1].strip() if lines else "no reason given"


def say(line):
    """A line of progress, at once."""
    print(line, flush=True)
