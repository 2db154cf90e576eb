"""Shared libraries of the system that Blender's module opens on Linux: found, or installed on Debian once agreed.

Standard library only, for any Python from 3.8 on.
"""

import os
import re
import shutil
import subprocess
import sys

from telling import SetUpError, say

# The Debian packages that hold them. The first lines come from ldd on the module; EGL, GL's driver and Mesa are opened
# later, when a picture is rendered without a display.
DEBIAN = (
    *("libx11-6", "libxext6", "libxi6", "libxfixes3", "libxrender1", "libxkbcommon0", "libsm6", "libice6", "libuuid1"),
    *("libgl1", "libegl1", "libegl-mesa0", "libgl1-mesa-dri"),
)
COMMAND = f"apt-get install --no-install-recommends {' '.join(DEBIAN)}"


def bring(folder, agreed):
    """Find what the module in this environment opens; as root on Debian install what is missing, once agreed.

    Raises
    ------
    SetUpError
        Something is missing; it names the command that brings it.
    """
    missing = missing_in(folder)
    if not missing:
        return
    root = os.geteuid() == 0
    if root and shutil.which("apt-get") and may_install(missing, agreed):
        install()
        missing = missing_in(folder)
    if missing:
        before = "" if root else "sudo "
        raise SetUpError(f"Blender's module lacks {', '.join(missing)}; on Debian and Ubuntu: {before}{COMMAND}")


def may_install(missing, agreed):
    """Say what would be installed; on a terminal, ask, unless she has agreed before."""
    say(f"  Blender's module lacks {', '.join(missing)}: {COMMAND}")
    if agreed or sys.stdin is None or not sys.stdin.isatty():
        return True
    try:
        return input("  Install these packages now? [y/N] ").strip().lower() in ("y", "yes")
    except EOFError:
        return False


def install():
    """Let apt-get bring them; what it could not bring is seen afterwards."""
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "stdin": subprocess.DEVNULL}
    environment = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
    subprocess.run(["apt-get", "update", "-qq"], env=environment, check=False, **quiet)
    subprocess.run(["apt-get", "-y", *COMMAND.split()[1:]], env=environment, check=False, **quiet)


def missing_in(folder):
    """Names of shared libraries that the installed Blender module asks for and this system lacks."""
    if not sys.platform.startswith("linux") or not shutil.which("ldd"):
        return []
    lacking = []
    for module in folder.glob("lib/python3.*/site-packages/bpy/__init__*.so"):
        asked = subprocess.run(["ldd", str(module)], capture_output=True, text=True, check=False).stdout
        lacking += re.findall(r"(\S+) => not found", asked)
    known = subprocess.run(["/sbin/ldconfig", "-p"], capture_output=True, text=True, check=False).stdout
    lacking += [name for name in ("libGL.so.1", "libEGL.so.1", "libEGL_mesa.so.0") if name not in known]
    return sorted(set(lacking))
