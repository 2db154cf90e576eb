#!/usr/bin/env python3
"""Builds the Blender extension, dist/pocket_toile-VERSION.zip: the add-on with its wheels, checked by its manifest.

The same sources give the same bytes. Run it as `python3 scripts/toile.py zip [--out DIR]`.
"""

from __future__ import annotations

import argparse
import base64
import csv
import hashlib
import importlib.util
import io
import re
import subprocess
import sys
import tomllib
import zipfile
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from drafting import __version__ as drafting_version
from drafting.errors import OutputError, ToileError

ROOT = Path(__file__).resolve().parent.parent
ADDON = ROOT / "addon"
BUNDLED = ("trimesh", "pydyf", "ezdxf", "fonttools", "pyparsing")  # the core's own, and what paper needs
PINS = ROOT / "scripts" / "requirements.txt"
CACHE = ROOT / ".cache" / "wheels"
MANIFEST = "blender_manifest.toml"
LEFT_OUT = ("commands", "__pycache__")  # the verbs belong to the command line
LONG_AGO = (1980, 1, 1, 0, 0, 0)  # zip's earliest day: file times must not change the bytes


def main(words: list[str]) -> int:
    """Build, check, say where it is; returns the exit status."""
    parser = argparse.ArgumentParser(prog="toile zip", description="Build the Blender extension.")
    parser.add_argument("--out", type=Path, default=ROOT / "dist", help="folder for the zip, dist by default")
    try:
        path = build(parser.parse_args(words).out)
    except ToileError as error:
        print(f"toile: {error}", file=sys.stderr)
        return 2
    print(f"{path} ({path.stat().st_size / 1e6:.1f} MB): manifest, files and wheels checked.")
    return 0


def build(folder: Path) -> Path:
    """Write the extension's zip into a folder and check it.

    Raises
    ------
    OutputError
        The zip could not be made, or what was made breaks a rule of the manifest.
    """
    text = (ADDON / MANIFEST).read_text()
    manifest = tomllib.loads(text)
    wheels = dict([drafting_wheel(manifest["version"]), *map(pinned_wheel, BUNDLED)])
    files = {str(path.relative_to(ADDON)): path.read_bytes() for path in addon_files()}
    files[MANIFEST] = with_wheels(text, wheels).encode()
    files["LICENSE"] = (ROOT / "LICENSE").read_bytes()
    files |= {f"sample_meshes/{path.name}": path.read_bytes() for path in samples()}
    files |= {f"wheels/{name}": data for name, data in wheels.items()}
    path = folder / f"{manifest['id']}-{manifest['version']}.zip"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        path.write_bytes(pack(files))
    except OSError as error:
        raise OutputError(f"cannot write {path}: {error.strerror}; choose another folder with --out") from error
    check(path)
    return path


def addon_files() -> list[Path]:
    """The add-on's own files, in one order."""
    found = (path for path in ADDON.rglob("*") if path.is_file() and not set(LEFT_OUT) & set(path.parts))
    return sorted(path for path in found if path.suffix in {".py", ".toml", ".md", ".blend", ".png", ".html", ".css"})


def samples() -> list[Path]:
    """The sample dolls, in one order."""
    return sorted(path for path in (ROOT / "sample_meshes").iterdir() if path.suffix in {".glb", ".stl"})


def pack(files: Mapping[str, bytes]) -> bytes:
    """A zip of these files whose bytes depend on nothing else."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name in sorted(files):
            entry = zipfile.ZipInfo(name, LONG_AGO)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, files[name])
    return held.getvalue()


def drafting_wheel(version: str) -> tuple[str, bytes]:
    """The pure core as a wheel (PyPA binary distribution format 1.0): name and bytes."""
    info = f"drafting-{version}.dist-info"
    core = ROOT / "drafting"
    files = {
        str(path.relative_to(ROOT)): path.read_bytes() for path in sorted([*core.rglob("*.py"), *core.rglob("*.toml")])
    }
    files[f"{info}/METADATA"] = (
        f"Metadata-Version: 2.1\nName: drafting\nVersion: {version}\nSummary: The drafting core of Pocket Toile\n"
        "License: GPL-3.0-or-later\nRequires-Python: >=3.11\nRequires-Dist: numpy\nRequires-Dist: trimesh\n"
    ).encode()
    files[f"{info}/WHEEL"] = b"Wheel-Version: 1.0\nGenerator: pocket-toile\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
    files[f"{info}/LICENSE"] = (ROOT / "LICENSE").read_bytes()
    record = f"{info}/RECORD"
    lines = [f"{name},sha256={record_hash(data)},{len(data)}" for name, data in sorted(files.items())]
    files[record] = "\n".join([*lines, f"{record},,", ""]).encode()
    return f"drafting-{version}-py3-none-any.whl", pack(files)


def record_hash(data: bytes) -> str:
    """SHA-256 as a wheel's RECORD writes it: URL-safe base64 without padding."""
    return base64.urlsafe_b64encode(hashlib.sha256(data).digest()).rstrip(b"=").decode()


def pinned_wheel(package: str) -> tuple[str, bytes]:
    """A package's pure-Python wheel from PyPI, unmodified: the pinned version, one of the pinned hashes.

    Raises
    ------
    OutputError
        It cannot be fetched, or what was fetched is not what was pinned.
    """
    version, hashes = pin(package)
    name = f"{package}-{version}-py3-none-any.whl"
    kept = CACHE / name
    if not kept.exists() or hashlib.sha256(kept.read_bytes()).hexdigest() not in hashes:
        kept.unlink(missing_ok=True)
        fetch(f"{package}=={version}", name)
    data = kept.read_bytes()
    if hashlib.sha256(data).hexdigest() not in hashes:
        kept.unlink()
        raise OutputError(f"{name} as fetched has none of the hashes in {PINS.name}; do not use it, ask who pinned it")
    return name, data


def pin(package: str) -> tuple[str, list[str]]:
    """A package's pinned version and the SHA-256 of the files that are it."""
    found = re.search(rf"^{package}==(\S+)((?: \\\n +--hash=sha256:\w+)+)", PINS.read_text(), re.MULTILINE)
    assert found, f"{PINS} pins {package} with its hashes"
    return found.group(1), re.findall(r"sha256:(\w+)", found.group(2))


def fetch(pinned: str, name: str) -> None:
    """Fetch a pure-Python wheel into the cache."""
    command = [sys.executable, "-P", "-m", "pip", "download", "--quiet", "--no-deps", "--only-binary", ":all:"]
    command += ["--platform", "any", "--implementation", "py", "--abi", "none"]
    command += ["--disable-pip-version-check", "--dest", str(CACHE), pinned]
    said = subprocess.run(command, capture_output=True, text=True, check=False)
    if said.returncode or not (CACHE / name).exists():
        reason = (said.stderr.strip() or "pip said nothing").splitlines()[-1]
        raise OutputError(f"cannot fetch {name} from PyPI: {reason}; check the network and call again")


def with_wheels(manifest: str, wheels: Iterable[str]) -> str:
    """The manifest's text with the list of bundled wheels, put before its first table."""
    listed = "".join(f'    "./wheels/{name}",\n' for name in sorted(wheels))
    head, bracket, tables = manifest.partition("\n[")
    return f"{head}\nwheels = [\n{listed}]\n{bracket}{tables}"


def check(path: Path) -> None:
    """Check a built zip: our own rules, then Blender's own validator where its module is installed.

    Raises
    ------
    OutputError
        Names every broken rule.
    """
    faults = archive_faults(path)
    if not faults:
        faults = blender_faults(path)
    if faults:
        raise OutputError(f"{path.name} breaks the extension's rules: {'; '.join(faults)}")


def archive_faults(path: Path) -> list[str]:
    """What is wrong with an extension's zip, one sentence each."""
    with zipfile.ZipFile(path) as archive:
        names = archive.namelist()
        if MANIFEST not in names:
            return [f"{MANIFEST} is missing at the zip's root"]
        manifest = tomllib.loads(archive.read(MANIFEST).decode())
        wheels = {name: archive.read(name) for name in names if name.startswith("wheels/")}
    faults = manifest_faults(manifest)
    if "__init__.py" not in names:
        faults.append("__init__.py is missing at the zip's root")
    listed = {name.removeprefix("./") for name in manifest.get("wheels", [])}
    faults += [f"wheel {name} is listed but not in the zip" for name in sorted(listed - set(wheels))]
    faults += [f"wheel {name} is in the zip but not listed" for name in sorted(set(wheels) - listed)]
    faults += [f"wheel {name} is not pure Python" for name in wheels if not name.endswith("-none-any.whl")]
    faults += [f"wheel {name} must not be bundled: Blender has it" for name in wheels if "/numpy-" in name]
    faults += [f"wheel {name} is none of those that are pinned" for name in wheels if not known(name, wheels[name])]
    return faults + [fault for name, data in wheels.items() for fault in wheel_faults(name, data)]


def known(name: str, data: bytes) -> bool:
    """True for the core's own wheel as it is built here, and for one with the pinned version's name and hash."""
    package, version = Path(name).name.split("-")[:2]
    if package == "drafting":
        return (Path(name).name, data) == drafting_wheel(drafting_version)
    return package in BUNDLED and version == pin(package)[0] and hashlib.sha256(data).hexdigest() in pin(package)[1]


def wheel_faults(name: str, data: bytes) -> list[str]:
    """Files of a wheel that differ from its RECORD or are not in it (PyPA, recording installed projects)."""
    with zipfile.ZipFile(io.BytesIO(data)) as wheel:
        entries = [entry for entry in wheel.namelist() if not entry.endswith("/")]
        records = [entry for entry in entries if entry.endswith(".dist-info/RECORD")]
        if len(records) != 1:
            return [f"{name} has {len(records)} records of its files, not one"]
        rows = {row[0]: row[1] for row in csv.reader(wheel.read(records[0]).decode().splitlines()) if row}
        lost = [f"{entry} of {name}'s record is not in it" for entry in rows if entry not in entries]
        twice = [f"{entry} is twice in {name}" for entry in sorted(set(entries)) if entries.count(entry) > 1]
        wrong = [
            f"{entry} in {name} differs from its record"
            if rows.get(entry)
            else f"{entry} in {name} is not in its record"
            for entry in sorted(set(entries) - set(records))
            if rows.get(entry) != f"sha256={record_hash(wheel.read(entry))}"
        ]
        return lost + twice + wrong


def short_line(value: object) -> bool:
    """At most 64 characters that end in a letter, digit or closing bracket."""
    return isinstance(value, str) and 0 < len(value) <= 64 and (value[-1].isalnum() or value[-1] in ")]}")


def words(value: object) -> bool:
    """A list of texts with something in it."""
    return isinstance(value, list) and bool(value) and all(isinstance(item, str) and item.strip() for item in value)


# Blender's extension manifest, schema 1.0.0: https://docs.blender.org/manual/en/latest/advanced/extensions/
# The 64 characters, the closing letter and the reasons of permissions are its rules too; the first row of versions
# keeps ours in one number.
RULES: dict[str, tuple[Callable[[object], bool], str]] = {
    "schema_version": (lambda v: v == "1.0.0", 'must be "1.0.0"'),
    "id": (lambda v: bool(re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", str(v))), "must be lower case with underscores"),
    "version": (lambda v: v == drafting_version, f"must be drafting's own, {drafting_version}"),
    "name": (lambda v: isinstance(v, str) and v.strip() != "" and "blender" not in v.lower(), "must not say Blender"),
    "tagline": (short_line, "must have at most 64 characters and no full stop"),
    "maintainer": (lambda v: isinstance(v, str) and v.strip() != "", "must be a name"),
    "type": (lambda v: v == "add-on", 'must be "add-on"'),
    "tags": (words, "must be a list of texts"),
    "license": (lambda v: v == ["SPDX:GPL-3.0-or-later"], "must be GPL-3.0-or-later"),
    "copyright": (lambda v: words(v) and all(re.match(r"\d{4}(-\d{4})? \S", c) for c in v), "must be year and name"),
    "blender_version_min": (lambda v: v == "4.2.0", "must be 4.2.0, the first with extensions"),
    "permissions": (
        lambda v: (
            isinstance(v, dict)
            and set(v) <= {"files", "network", "clipboard", "camera", "microphone"}
            and all(short_line(reason) for reason in v.values())
        ),
        "must give a short reason for each",
    ),
    "wheels": (words, "must list the bundled wheels"),
}


def manifest_faults(manifest: Mapping[str, object]) -> list[str]:
    """What is wrong with a manifest, one sentence each: every field of ours, none unknown."""
    faults = [f"{field} is missing" for field in RULES if field not in manifest]
    faults += [f"{field} is not a field that we use" for field in manifest if field not in RULES]
    return faults + [
        f"{field} {expected}, found {manifest[field]!r}"
        for field, (holds, expected) in RULES.items()
        if field in manifest and not holds(manifest[field])
    ]


def blender_faults(path: Path) -> list[str]:
    """What Blender's own validator says, where Blender's module is installed."""
    module = importlib.util.find_spec("bpy")
    if module is None or not module.origin:
        return []
    for validator in Path(module.origin).parent.glob("*/scripts/addons_core/bl_pkg/cli/blender_ext.py"):
        command = [sys.executable, str(validator), "validate", str(path)]
        said = subprocess.run(command, capture_output=True, text=True, check=False)
        if said.returncode:
            return [f"Blender's validator: {' '.join((said.stdout + said.stderr).split())}"]
    return []


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
