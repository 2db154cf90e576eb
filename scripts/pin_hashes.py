"""Writes the hashes of every pinned package's wheels into the lists beside this file: python -m scripts.pin_hashes.

For whoever raises a version: afterwards `pip install --require-hashes` takes no other file. pip itself reads the
index; nothing is downloaded but its pages. Wheels for the systems and Pythons that Blender's module comes for.
"""

from __future__ import annotations

import re
from pathlib import Path

from pip._internal.commands import create_command
from pip._internal.index.collector import LinkCollector, parse_links
from pip._internal.models.link import Link
from pip._vendor.packaging.utils import canonicalize_name, parse_wheel_filename

FOLDER = Path(__file__).resolve().parent
SYSTEMS = re.compile(r"any|win_(amd64|arm64)|macosx_\d+_\d+_(x86_64|arm64|universal2)|manylinux\w*_x86_64")
PYTHONS = {"requirements-5.2.txt": ("13",), "requirements.txt": ("11", "13"), "requirements-test.txt": ("11", "13")}


class Index:
    """The package index as pip is set up to read it."""

    def __init__(self) -> None:
        command = create_command("download")
        options, _ = command.parse_args(["pip"])
        self.url = options.index_url.rstrip("/")
        self.collector = LinkCollector.create(command._build_session(options), options=options)

    def hashes(self, package: str, version: str, pythons: tuple[str, ...]) -> list[str]:
        """SHA-256 of each wheel of this version that one of these Pythons can install; without any, of its source."""
        page = self.collector.fetch_response(Link(f"{self.url}/{canonicalize_name(package)}/"))
        assert page, f"{package} is in the index"
        links = list(parse_links(page))
        wheels = [link for link in links if link.filename.endswith(".whl") and wanted(link.filename, version, pythons)]
        source = [link for link in links if link.filename.lower() == f"{package}-{version}.tar.gz".lower()]
        return sorted(link._hashes["sha256"] for link in wheels or source)


def wanted(filename: str, version: str, pythons: tuple[str, ...]) -> bool:
    """True if a wheel is this version's and one of these Pythons can install it."""
    _, found, _, tags = parse_wheel_filename(filename)
    return str(found) == version and any(fits(tag, pythons) for tag in tags)


def fits(tag: object, pythons: tuple[str, ...]) -> bool:
    """True if a wheel of this tag (PEP 425) is one for these Pythons, on a system that Blender's module comes for."""
    interpreter, abi, platform = str(tag).split("-")
    if not SYSTEMS.fullmatch(platform):
        return False
    if abi == "abi3":
        return interpreter.startswith("cp3") and int(interpreter[3:]) <= max(map(int, pythons))
    return interpreter == "py3" or (interpreter == abi and interpreter[3:] in pythons and interpreter.startswith("cp3"))


def pinned(path: Path, index: Index) -> str:
    """A list's text with the hashes of today's index; comments stay."""
    lines = []
    for line in path.read_text().splitlines():
        pin = re.match(r"([\w.-]+)==([^\s\\]+)", line)
        if pin:
            found = index.hashes(*pin.groups(), PYTHONS.get(path.name, ("11",)))
            assert found, f"{pin.group(0)} is in the index"
            lines.append(" \\\n".join([pin.group(0), *(f"    --hash=sha256:{one}" for one in found)]))
        elif not line.lstrip().startswith("--hash"):
            lines.append(line)
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    index = Index()
    for path in sorted(FOLDER.glob("requirements*.txt")):
        path.write_text(pinned(path, index))
