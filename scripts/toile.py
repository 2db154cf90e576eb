#!/usr/bin/env python3
"""Pocket Toile on the command line: sets itself up once in .venv, then runs the verb.

    python3 scripts/toile.py fit my_doll.stl --height 42cm
    python3 scripts/toile.py help

Standard library only, for any Python from 3.8 on; what the verbs need is installed from the pinned lists beside
this file.
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
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
STAMP = VENV / "installed.txt"
RUN_LIST = ROOT / "scripts" / "requirements.txt"
TEST_LIST = ROOT / "scripts" / "requirements-test.txt"
VERSIONS = ("3.11", "3.13")  # the Pythons that the pinned Blender module comes for

# Libraries that the Blender module opens on Linux, and the Debian packages that hold them. The first lines come from
# ldd on the module; EGL, GL's driver and Mesa are opened later, when a picture is rendered without a display.
DEBIAN = (
    *("libx11-6", "libxext6", "libxi6", "libxfixes3", "libxrender1", "libxkbcommon0", "libsm6", "libice6", "libuuid1"),
    *("libgl1", "libegl1", "libegl-mesa0", "libgl1-mesa-dri"),
)


class SetUpError(Exception):
    """What the maker must do before the verbs can run, in one line."""


def main(words):
    """Set up what the verb needs, then hand over to it; returns its exit status."""
    verb, rest = (words[0], words[1:]) if words else ("help", [])
    try:
        set_up([RUN_LIST, TEST_LIST] if verb == "test" else [RUN_LIST])
    except SetUpError as error:
        print(f"toile: {error}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("toile: stopped; the set-up goes on where it was when you call again.", file=sys.stderr)
        return 130
    if verb == "test":
        os.chdir(ROOT)
        return hand_over(["-m", "pytest", *rest])
    if verb == "zip":
        return hand_over([str(ROOT / "scripts" / "build_extension.py"), *rest])
    return hand_over(["-m", "addon.commands", verb, *rest])


def hand_over(words):
    """Run the environment's Python with these words, in place of this one where the system can."""
    environment = dict(os.environ)
    environment["PYTHONPATH"] = os.pathsep.join(filter(None, [str(ROOT), environment.get("PYTHONPATH")]))
    environment["BLENDER_USER_EXTENSIONS"] = str(VENV / "extensions")  # empty: nothing of the maker's own is loaded
    command = [str(PYTHON), *words]
    if os.name == "nt":
        return subprocess.run(command, env=environment, check=False).returncode
    sys.stdout.flush()
    return os.execve(command[0], command, environment)  # never returns


def set_up(lists):
    """Bring .venv to the pinned lists; does nothing when its stamp says that it is."""
    present = set(STAMP.read_text().splitlines()) if STAMP.exists() and PYTHON.exists() else set()
    missing = [path for path in lists if stamp(path) not in present]
    if not missing:
        return
    if not PYTHON.exists():
        make_environment(find_python())
    begun = time.monotonic()
    for path in missing:
        install(path)
        present = {line for line in present if line.split()[0] != path.name} | {stamp(path)}
    (VENV / "extensions").mkdir(exist_ok=True)
    check_libraries()
    STAMP.write_text("\n".join(sorted(present)) + "\n")
    say(f"Ready after {time.monotonic() - begun:.0f} s.")


def stamp(path):
    """A pinned list's name and hash, as the stamp remembers it."""
    return f"{path.name} {hashlib.sha256(path.read_bytes()).hexdigest()}"


def find_python():
    """A Python of a version that the Blender module comes for: this one, or one on the PATH or of pyenv."""
    pyenv = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"
    named = [shutil.which(f"python{version}") for version in VERSIONS]
    kept = [str(path) for version in VERSIONS for path in sorted(pyenv.glob(f"{version}.*/bin/python"))]
    for candidate in filter(None, [sys.executable, *named, *kept]):
        if version_of(candidate) in VERSIONS:
            return candidate
    raise SetUpError(
        f"needs Python {' or '.join(VERSIONS)}, this is {version_of(sys.executable)}; "
        "install one of them from python.org or your package manager, then call again."
    )


def version_of(python):
    """Version such as "3.11" of an interpreter, "" if it does not answer."""
    ask = [python, "-c", "import sys; print('%d.%d' % sys.version_info[:2])"]
    try:
        return subprocess.run(ask, capture_output=True, text=True, timeout=20, check=False).stdout.strip()
    except (OSError, subprocess.TimeoutExpired):
        return ""


def make_environment(python):
    """A fresh .venv of that Python."""
    say(f"Setting up in {VENV} with Python {version_of(python)}: once, about 400 MB, a few minutes.")
    shutil.rmtree(VENV, ignore_errors=True)
    made = subprocess.run([python, "-m", "venv", str(VENV)], capture_output=True, text=True, check=False)
    if made.returncode:
        shutil.rmtree(VENV, ignore_errors=True)
        if "ensurepip" in made.stdout:
            raise SetUpError(
                f"Python {version_of(python)} lacks its venv module; on Debian and Ubuntu: "
                f"apt-get install python{version_of(python)}-venv, then call again."
            )
        raise SetUpError(f"could not make {VENV}: {last_line(made.stderr or made.stdout)}")


def install(path):
    """Install one pinned list, one line a package."""
    command = [str(PYTHON), "-m", "pip", "install", "--no-deps", "--no-input", "--disable-pip-version-check"]
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


def check_libraries():
    """On Linux: the shared libraries that the Blender module opens; installs them on Debian when run as root."""
    missing = missing_libraries()
    if not missing:
        return
    command = f"apt-get install --no-install-recommends {' '.join(DEBIAN)}"
    if os.geteuid() == 0 and shutil.which("apt-get"):
        say(f"  system libraries ({', '.join(missing)} missing)")
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "stdin": subprocess.DEVNULL}
        environment = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
        subprocess.run(["apt-get", "update", "-qq"], env=environment, check=False, **quiet)
        subprocess.run(["apt-get", "-y", *command.split()[1:]], env=environment, check=False, **quiet)
        missing = missing_libraries()
    if missing:
        raise SetUpError(f"Blender's module lacks {', '.join(missing)}; on Debian and Ubuntu: sudo {command}")


def missing_libraries():
    """Names of shared libraries that the installed Blender module asks for and this system lacks."""
    if not sys.platform.startswith("linux") or not shutil.which("ldd"):
        return []
    lacking = []
    for module in VENV.glob("lib/python3.*/site-packages/bpy/__init__*.so"):
        asked = subprocess.run(["ldd", str(module)], capture_output=True, text=True, check=False).stdout
        lacking += re.findall(r"(\S+) => not found", asked)
    known = subprocess.run(["/sbin/ldconfig", "-p"], capture_output=True, text=True, check=False).stdout
    lacking += [name for name in ("libGL.so.1", "libEGL.so.1", "libEGL_mesa.so.0") if name not in known]
    return sorted(set(lacking))


def last_line(text):
    """The last line that says something."""
    lines = [line for line in text.splitlines() if line.strip()]
    return lines[-1].strip() if lines else "no reason given"


def say(line):
    """A line of progress, at once."""
    print(line, flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
