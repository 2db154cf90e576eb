"""Python environments that hold what the pinned lists name: .venv for the verbs, .venv-4.2 and its like for tests.

An environment is whole when its stamp is there: the stamp is taken away before anything is changed and written after,
so that one whose set-up was stopped at any moment is made anew. Standard library only, for any Python from 3.8 on.
"""

import contextlib
import hashlib
import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import libraries
from pythons import find_python, version_of
from telling import SetUpError, last_line, say

ROOT = Path(__file__).resolve().parent.parent
sys.path.append(str(ROOT))  # for the one module below, which asks for nothing but the standard library

from drafting.lock import locked  # noqa: E402

RUN_LIST = ROOT / "scripts" / "requirements.txt"
TEST_LIST = ROOT / "scripts" / "requirements-test.txt"

BLENDERS = {"4.2": "3.11", "4.5": "3.11", "5.0": "3.11", "5.2": "3.13"}  # Blender's module and the Python it comes for
VERSIONS = {"3.11": "5.0", "3.13": "5.2"}  # which of them the verbs use with a Python

LIBRARIES = "system libraries"  # the stamp's line once they were found
NO_NETWORK = "|".join(  # what pip and the system say where nothing outside can be reached
    ("NewConnectionError", "NameResolutionError", "ConnectTimeout", "ReadTimeout", "ProxyError", "getaddrinfo failed")
)


class Environment:
    """A folder with a Python of its own, and what the pinned lists named when it was set up."""

    def __init__(self, folder):
        self.folder = Path(folder)
        self.python = self.folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
        self.stamp = self.folder / "installed.txt"
        self.lock = self.folder.with_name(f"{self.folder.name}.lock")

    def set_up(self, lists_for, versions, agreed=False):
        """Bring the folder to the pinned lists; does nothing when its stamp says that it is there.

        `lists_for` gives the lists for a Python's version, one of `versions`; `agreed` when system libraries may be
        installed unasked. One at a time: a second call waits for the first.
        """
        if self.ready(lists_for, versions):
            return
        with contextlib.ExitStack() as holding:
            try:
                held = holding.enter_context(locked(self.lock, float("inf"), self.tell_of_another))
            except OSError as error:
                raise SetUpError(f"cannot write into {self.folder.parent}: {error.strerror}") from None
            if not self.ready(lists_for, versions):  # the one that was waited for may have done it
                self.bring(lists_for, versions, agreed, held)

    def ready(self, lists_for, versions):
        """True if nothing is left to do."""
        version = self.version()
        return version in versions and not self.missing(lists_for(version)) and LIBRARIES in self.present()

    def bring(self, lists_for, versions, agreed, held):
        """Make it where it is not whole, install what it lacks."""
        begun = time.monotonic()
        if self.version() not in versions:
            self.make(find_python(versions), held)
        for path in self.missing(lists_for(self.version())):
            self.install(path, held)
        (self.folder / "extensions").mkdir(exist_ok=True)
        libraries.bring(self.folder, agreed)
        self.sign({*self.present(), LIBRARIES})
        say(f"Ready after {time.monotonic() - begun:.0f} s.")

    def tell_of_another(self):
        """Say what is waited for."""
        say(f"Another call is setting up {self.folder}: waiting until it is done.")

    def version(self):
        """Version such as "3.11" of its Python; "" of an environment that is not whole."""
        if not (self.stamp.exists() and self.python.exists()):
            return ""
        with contextlib.suppress(OSError):  # another call is just taking it away
            found = re.search(r"^version = (\d+\.\d+)", (self.folder / "pyvenv.cfg").read_text(), re.MULTILINE)
            return found.group(1) if found else ""
        return ""

    def present(self):
        """The stamp's lines."""
        with contextlib.suppress(FileNotFoundError):
            return set(self.stamp.read_text().splitlines())
        return set()

    def missing(self, lists):
        """The lists to install. A later one may pin what an earlier one named otherwise: all after a changed one."""
        present = self.present()
        return [path for at, path in enumerate(lists) if any(signed(one) not in present for one in lists[: at + 1])]

    def sign(self, lines):
        """Write the stamp, whole or not at all."""
        aside = self.stamp.with_suffix(".part")
        aside.write_text("".join(f"{line}\n" for line in sorted(lines)))
        aside.replace(self.stamp)

    def make(self, python, held):
        """A fresh folder with that Python, in the place of what was left there."""
        again = "Not whole, so it is made anew: s" if self.folder.exists() else "S"
        say(f"{again}etting up in {self.folder} with Python {version_of(python)} ({python}):")
        say("once, about 400 MB, a few minutes.")
        if self.folder.is_symlink():
            self.folder.unlink()  # never what it points to
        with contextlib.suppress(FileNotFoundError):
            self.stamp.unlink()  # first, before any of the rest is gone
        shutil.rmtree(self.folder, ignore_errors=True)
        made = subprocess.run(
            [python, "-I", "-m", "venv", "--clear", str(self.folder)],
            **{"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT, "text": True, "check": False},
            **inherited(held),
        )
        if made.returncode:
            shutil.rmtree(self.folder, ignore_errors=True)
            if "ensurepip" in made.stdout:
                raise SetUpError(
                    f"Python {version_of(python)} lacks its venv module; on Debian and Ubuntu: "
                    f"apt-get install python{version_of(python)}-venv, then call again."
                )
            raise SetUpError(f"could not make {self.folder}: {last_line(made.stdout)}")
        self.sign([])

    def install(self, path, held):
        """Install one pinned list, one line a package; only files of the pinned hashes."""
        command = [str(self.python), "-I", "-m", "pip", "install", "--no-deps", "--no-input", "--require-hashes"]
        command += ["--disable-pip-version-check", "--progress-bar", "off", "-r", str(path)]
        kept = {line for line in self.present() if line != LIBRARIES and line.split()[0] != path.name}
        before = self.stamp.read_text()
        self.stamp.unlink()
        said = []
        with subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **inherited(held)
        ) as pip:
            for line in pip.stdout:
                tell(line.strip(), said)
                said.append(line.strip())
        if pip.returncode:
            if not any(line.startswith("Installing collected packages") for line in said):
                self.sign(before.splitlines())  # it fetches all before it changes anything
            raise SetUpError(fault(path, said))
        self.sign({*kept, signed(path)})


def main_environment(test=False, agreed=False):
    """The verbs' own environment, .venv, set up."""
    made = Environment(ROOT / ".venv")
    made.set_up(
        lambda version: [RUN_LIST, blender_list(VERSIONS[version]), *([TEST_LIST] if test else [])], VERSIONS, agreed
    )
    return made


def blender_environment(blender, agreed=False):
    """The environment of one Blender, such as "4.2", set up for tests."""
    made = Environment(ROOT / f".venv-{blender}")
    made.set_up(lambda _: [RUN_LIST, TEST_LIST, blender_list(blender)], [BLENDERS[blender]], agreed)
    return made


def surroundings(environment):
    """Environment variables for a child: nothing of the maker's own Python, no code from the folder she works in."""
    kept = {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "PYTHONHOME")}
    ours = {"PYTHONPATH": str(ROOT), "PYTHONSAFEPATH": "1", "PYTHONNOUSERSITE": "1"}
    return {**kept, **ours, "BLENDER_USER_EXTENSIONS": str(environment.folder / "extensions")}


def blender_list(blender):
    """The pinned list that holds Blender's module and its numpy."""
    return ROOT / "scripts" / f"requirements-{blender}.txt"


def signed(path):
    """A pinned list's name and hash, as the stamp remembers it."""
    return f"{path.name} {hashlib.sha256(path.read_bytes()).hexdigest()}"


def inherited(held):
    """How a child holds the lock too: if this process is killed, the next call waits until the child has ended."""
    return {} if os.name == "nt" else {"pass_fds": (held,)}


def tell(line, said):
    """What a line of pip's means to the maker, told once."""
    package = re.match(r"Collecting (\S+?)==([^\s;]+)|Processing .*?([^\s/]+)-([^-]+)-[^-]+-[^-]+-[^-]+[.]whl", line)
    size = re.match(r"Downloading \S+ \((\d[\d.]* MB)\)", line)
    if package:
        say(f"  {package.group(1) or package.group(3)} {package.group(2) or package.group(4)}")
    elif size:
        say(f"    fetching {size.group(1)}")
    elif line.startswith("Installing collected packages"):
        say("  unpacking")
    elif re.search(NO_NETWORK, line) and not any(re.search(NO_NETWORK, one) for one in said):
        say("  no answer from the network, trying again")


def fault(path, said):
    """Why a list could not be installed, in a line."""
    if any(re.search(NO_NETWORK, line) for line in said):
        return f"no network: {path.name} could not be fetched; connect this machine, then call again."
    if any("DO NOT MATCH THE HASHES" in line for line in said):
        return f"a file that was fetched is not the one pinned in {path.name}; nothing of it was installed."
    faults = [line for line in said if line.startswith("ERROR")] or said[-1:]
    return f"could not install {path.name}: {faults[0] if faults else 'pip said nothing'}"
