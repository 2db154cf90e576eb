"""Where the real Blender comes from: a program that is here already, or Debian's packages in a folder of their own."""

import os
import shutil
import subprocess
import tempfile
from contextlib import contextmanager
from pathlib import Path

SCREEN = "1600x1000x24"
PACKAGES = (
    *("blender", "python3-cattr", "python3-requests", "python3-numpy"),
    *("xvfb", "xdotool", "libgl1-mesa-dri", "libegl1"),
)


class BlenderError(Exception):
    """No Blender can be run here; says what to do, in one line."""


class Blender:
    """A Blender to run: its program, and the folder that it takes for the system's root."""

    def __init__(self, program, root=Path("/")):
        self.program, self.root = program, root

    def fresh_folder(self):
        """An empty folder that Blender sees, where its settings lie too: the maker's own stay untouched."""
        parent = self.root / "tmp"
        self.work = Path(tempfile.mkdtemp(prefix="toile-window-", dir=parent))
        (self.work / "runtime").mkdir(mode=0o700)
        return self.work

    def run(self, *words):
        """Run Blender without a window, to its end."""
        said = subprocess.run(self.command([self.program, *words]), capture_output=True, text=True, check=False)
        if said.returncode:
            raise BlenderError(f"Blender ended with {said.returncode}: {(said.stdout + said.stderr).strip()[-400:]}")
        return said.stdout + said.stderr

    def start(self, words, display, log, limit):
        """Run Blender with a window on that screen; returns its exit status, None where it took too long."""
        command = self.command([self.program, *words], DISPLAY=display)
        with subprocess.Popen(command, stdout=log, stderr=subprocess.STDOUT) as child:
            try:
                return child.wait(limit)
            except subprocess.TimeoutExpired:
                child.kill()
                return None

    @contextmanager
    def screen(self):
        """A virtual screen of its own, as the name of a free display; its pixels lie in the folder's Xvfb_screen0."""
        words = ["Xvfb", "-displayfd", "1", "-screen", "0", SCREEN, "-fbdir", self.work, "-nolisten", "tcp"]
        command = self.command([*words, "+extension", "GLX"])
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as server:
            try:
                number = server.stdout.readline().strip()
                if not number:
                    raise BlenderError("the virtual screen (Xvfb) did not start")
                yield f":{number}"
            finally:
                server.terminate()

    def command(self, words, **more):
        """These words as a command whose paths and surroundings are those inside the root; Mesa draws in software."""
        inside = [self.inside(word) if isinstance(word, Path) else word for word in words]
        home = self.inside(self.work)
        names = {
            "PATH": "/usr/bin:/bin",
            "HOME": home,
            "BLENDER_USER_RESOURCES": f"{home}/blender",
            "LC_ALL": "C.UTF-8",
        }
        names |= {
            "XDG_RUNTIME_DIR": f"{home}/runtime",
            "LIBGL_ALWAYS_SOFTWARE": "1",
            "GALLIUM_DRIVER": "llvmpipe",
            **more,
        }
        change = [] if self.root == Path("/") else ["chroot", str(self.root)]
        return [*change, "env", "-i", *(f"{name}={value}" for name, value in names.items()), *inside]

    def inside(self, path):
        """A path as Blender sees it."""
        return "/" + str(path.relative_to(self.root)) if path.is_relative_to(self.root) else str(path)


def given_blender(program):
    """A Blender that is here already."""
    if not program.is_file():
        raise BlenderError(f"{program} is no program; give the path of Blender's own")
    missing = [name for name in ("Xvfb", "xdotool") if not shutil.which(name)]
    if missing:
        raise BlenderError(f"lacks {' and '.join(missing)}; on Debian and Ubuntu: apt-get install xvfb xdotool")
    return Blender(program.resolve())


def debian_blender(cache, suite):
    """Debian's Blender in a small system of its own below `cache`: about 330 MB from Debian's packages, once."""
    root = cache.resolve() / f"blender-{suite}"
    if not (root / "usr" / "bin" / "blender").exists():
        root.parent.mkdir(parents=True, exist_ok=True)
        fetch(root, suite)
    for folder, mode in (("tmp", 0o1777), ("tmp/.X11-unix", 0o1777)):
        (root / folder).mkdir(exist_ok=True)
        (root / folder).chmod(mode)
    return ProcBlender("/usr/bin/blender", root)


class ProcBlender(Blender):
    """Debian's own: it wants /proc in its root while it runs."""

    def command(self, words, **more):
        """As any, in a mount table of its own that has /proc there: nothing stays mounted, however it ends."""
        mounting = 'mount -t proc proc "$0" && exec "$@"'
        own_table = ["unshare", "--mount", "--propagation", "private"]
        return [*own_table, "sh", "-c", mounting, str(self.root / "proc"), *super().command(words, **more)]


def fetch(root, suite):
    """Put Debian with Blender into an empty folder."""
    if os.geteuid():
        raise BlenderError("fetching Debian's Blender needs root; or give a Blender with --blender PATH")
    if not shutil.which("mmdebstrap"):
        subprocess.run(["apt-get", "update", "-qq"], check=False)
        subprocess.run(["apt-get", "install", "-y", "-qq", "--no-install-recommends", "mmdebstrap"], check=False)
    if not shutil.which("mmdebstrap"):
        raise BlenderError("mmdebstrap is lacking and could not be installed; or give a Blender with --blender PATH")
    print(f"Fetching Debian {suite} with Blender into {root}: once, about 330 MB.", flush=True)
    command = ["mmdebstrap", "--quiet", "--variant=apt", "--mode=root", f"--include={','.join(PACKAGES)}"]
    command += [
        f"--aptopt={option}" for option in ('Acquire::Check-Valid-Until "false"', 'Acquire::Check-Date "false"')
    ]
    command += ['--aptopt=APT::Install-Recommends "false"']
    command += [f"--dpkgopt=path-exclude=/usr/share/{name}/*" for name in ("doc", "man", "locale")]
    command += [
        f"--dpkgopt=path-include=/usr/share/locale/{name}" for name in ("languages", "*/LC_MESSAGES/blender.mo")
    ]
    try:
        subprocess.run([*command, suite, str(root), mirror()], check=True)
    except subprocess.CalledProcessError as error:
        raise BlenderError(
            f"Debian {suite} could not be fetched; see above. Or give a Blender with --blender PATH"
        ) from error


def mirror():
    """The Debian mirror that this machine uses, else Debian's own."""
    listed = Path("/etc/apt/sources.list.d/debian.sources")
    lines = listed.read_text().splitlines() if listed.exists() else []
    named = [line.split()[1] for line in lines if line.startswith("URIs:")]
    return named[0] if named else "http://deb.debian.org/debian"
