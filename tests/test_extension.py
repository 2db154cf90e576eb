"""The extension's zip: what Blender installs is what was written, wheels unmodified, rules of the manifest kept."""

from __future__ import annotations

import hashlib
import io
import json
import os
import subprocess
import sys
import tomllib
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

import drafting
from drafting.errors import OutputError
from scripts import build_extension as builder


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return builder.build(tmp_path_factory.mktemp("dist"))


@pytest.fixture(scope="module")
def manifest(built: Path) -> dict:
    with zipfile.ZipFile(built) as archive:
        return tomllib.loads(archive.read("blender_manifest.toml").decode())


def wheel(built: Path, start: str) -> zipfile.ZipFile:
    with zipfile.ZipFile(built) as archive:
        name = next(name for name in archive.namelist() if name.startswith(f"wheels/{start}"))
        return zipfile.ZipFile(io.BytesIO(archive.read(name)))


def test_the_version_stands_once(built: Path, manifest: dict) -> None:
    assert manifest["version"] == drafting.__version__
    assert built.name == f"pocket_toile-{drafting.__version__}.zip"


def test_the_same_sources_give_the_same_bytes(built: Path, tmp_path: Path) -> None:
    assert builder.build(tmp_path).read_bytes() == built.read_bytes()


def test_the_zip_holds_the_add_on_as_it_is(built: Path, root: Path) -> None:
    with zipfile.ZipFile(built) as archive:
        kinds = (".py", ".html", ".css")
        held = {name for name in archive.namelist() if name.endswith(kinds)}
        files = (path for path in (root / "addon").rglob("*") if path.suffix in kinds)
        ours = {str(path.relative_to(root / "addon")) for path in files}
        assert held == {name for name in ours if not name.startswith("commands/")}
        assert all(archive.read(name) == (root / "addon" / name).read_bytes() for name in held)


def test_drafting_works_from_its_wheel_alone(built: Path, tmp_path: Path) -> None:
    """Installed by pip beside nothing but its own needs, the core imports and is the zip's version."""
    with zipfile.ZipFile(built) as archive:
        name = next(name for name in archive.namelist() if name.startswith("wheels/drafting"))
        (tmp_path / Path(name).name).write_bytes(archive.read(name))
    command = [
        sys.executable,
        "-m",
        "pip",
        "install",
        "--quiet",
        "--no-deps",
        "--no-index",
        "--target",
        tmp_path / "site",
    ]
    subprocess.run([*command, tmp_path / Path(name).name], check=True, capture_output=True)
    ask = "import drafting, drafting.units; print(drafting.__file__, drafting.__version__)"
    said = subprocess.run(
        [sys.executable, "-c", ask],
        cwd=tmp_path,
        env={"PYTHONPATH": str(tmp_path / "site")},
        capture_output=True,
        text=True,
    )
    assert said.stdout.split() == [str(tmp_path / "site" / "drafting" / "__init__.py"), drafting.__version__], (
        said.stderr
    )


@pytest.mark.parametrize("package", builder.BUNDLED)
def test_a_bundled_wheel_is_the_pinned_one_and_unmodified(built: Path, root: Path, package: str) -> None:
    with zipfile.ZipFile(built) as archive:
        (name,) = (name for name in archive.namelist() if name.startswith(f"wheels/{package}-"))
        data = archive.read(name)
    text = (root / "scripts" / "requirements.txt").read_text()
    assert f"{package}=={name.split('-')[1]} " in text
    assert f"sha256:{hashlib.sha256(data).hexdigest()}" in text
    assert builder.wheel_faults(name, data) == []


def rewritten(built: Path, start: str, change: Callable[[dict[str, bytes]], object], folder: Path) -> list[str]:
    """The faults of a zip one of whose wheels was changed."""
    with zipfile.ZipFile(built) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    name = next(name for name in files if name.startswith(f"wheels/{start}"))
    with zipfile.ZipFile(io.BytesIO(files[name])) as source:
        inside = {entry: source.read(entry) for entry in source.namelist()}
    change(inside)
    files[name] = builder.pack(inside)
    (folder / "changed.zip").write_bytes(builder.pack(files))
    return builder.archive_faults(folder / "changed.zip")


@pytest.mark.parametrize("start", ["drafting", "trimesh"])
@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lambda files: files.update({"more.py": b"import os"}), "more.py in NAME is not in its record"),
        (lambda files: files.pop(next(iter(files))), "'s record is not in it"),
        (lambda files: files.update({next(iter(files)): b"changed"}), "in NAME differs from its record"),
        (lambda files: files.pop(next(one for one in files if one.endswith("/RECORD"))), "0 records"),
    ],
)
def test_a_changed_wheel_is_found(built: Path, tmp_path: Path, start: str, change: Callable, why: str) -> None:
    faults = rewritten(built, start, change, tmp_path)
    name = faults[0].split()[1]
    assert faults[0] == f"wheel {name} is none of those that are pinned"
    assert [fault for fault in faults[1:] if why.replace("NAME", name) in fault] == faults[1:]
    assert len(faults) == 2


def test_a_wheel_whose_record_was_changed_with_it_is_found_by_its_hash(built: Path, tmp_path: Path) -> None:
    def change(files: dict[str, bytes]) -> None:
        record = next(name for name in files if name.endswith("/RECORD"))
        files["more.py"] = b"import os"
        files[record] += f"more.py,sha256={builder.record_hash(b'import os')},9\n".encode()

    for start in ("drafting", "trimesh"):
        (fault,) = rewritten(built, start, change, tmp_path)
        assert "is none of those that are pinned" in fault


def test_a_wheel_in_the_cache_that_is_not_the_pinned_one_is_never_bundled(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What stands in for the network brings the same wrong bytes again."""
    name, right = builder.pinned_wheel("pydyf")
    monkeypatch.setattr(builder, "CACHE", tmp_path)
    monkeypatch.setattr(builder, "fetch", lambda pinned, name: (tmp_path / name).write_bytes(b"wrong"))
    (tmp_path / name).write_bytes(b"wrong")
    with pytest.raises(OutputError, match=r"none of the hashes in requirements\.txt"):
        builder.pinned_wheel("pydyf")
    assert not (tmp_path / name).exists()
    monkeypatch.setattr(builder, "fetch", lambda pinned, name: (tmp_path / name).write_bytes(right))
    (tmp_path / name).write_bytes(b"wrong")
    assert builder.pinned_wheel("pydyf") == (name, right)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("version", "9.9.9"),
        ("tagline", "Draft, drape and fit doll clothes."),
        ("tagline", "x" * 65),
        ("name", "Toile for Blender"),
        ("id", "Pocket Toile"),
        ("license", ["GPL-2.0"]),
        ("permissions", {"files": "Writes pictures."}),
        ("permissions", {"world": "Reads all"}),
        ("copyright", ["Pocket Toile authors"]),
        ("schema_version", "2.0.0"),
        ("colour", "blue"),
    ],
)
def test_each_rule_of_the_manifest_can_be_broken(manifest: dict, field: str, value: object) -> None:
    assert builder.manifest_faults(manifest) == []
    (fault,) = builder.manifest_faults({**manifest, field: value})
    assert fault.startswith(field)


@pytest.mark.parametrize("field", sorted(builder.RULES))
def test_no_field_may_be_missing(manifest: dict, field: str) -> None:
    kept = {name: value for name, value in manifest.items() if name != field}
    assert builder.manifest_faults(kept) == [f"{field} is missing"]


def test_blenders_own_validator_agrees_and_can_refuse(built: Path, tmp_path: Path) -> None:
    pytest.importorskip("bpy")
    assert builder.blender_faults(built) == []
    with zipfile.ZipFile(built) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    files["blender_manifest.toml"] = files["blender_manifest.toml"].replace(b'type = "add-on"', b'type = "hat"')
    broken = tmp_path / "broken.zip"
    broken.write_bytes(builder.pack(files))
    assert len(builder.blender_faults(broken)) == 1


@pytest.mark.blender
def test_blender_installs_it_uses_it_and_forgets_it(built: Path, root: Path, tmp_path: Path) -> None:
    """The zip itself, in a Blender that knows nothing of this repository; each of `toile.py test --all-blenders`."""
    pytest.importorskip("bpy")
    hidden = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    env = hidden | {"BLENDER_USER_RESOURCES": str(tmp_path), "BLENDER_USER_EXTENSIONS": str(tmp_path / "extensions")}
    command = [sys.executable, root / "tests" / "installing.py", built, root / "sample_meshes" / "quarter_curvy.glb"]
    said = subprocess.run(command, cwd=tmp_path, env=env, capture_output=True, text=True, check=False)
    assert said.returncode == 0, said.stdout + said.stderr
    found = json.loads(said.stdout.splitlines()[-1])
    assert Path(found["core"]).is_relative_to(tmp_path / "extensions")
    assert found["enabled"]
    assert found["preferences"] == "TOILE_preferences"
    assert (found["opened"], found["drafted"]) == (["FINISHED"], ["FINISHED"])
    assert found["panels"] == 5
    assert set(found["samples"]) == {path.stem for path in builder.samples()}
    assert found["left"] == []


def test_a_numpy_wheel_or_a_binary_one_is_refused(built: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(built) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    core = next(name for name in files if name.startswith("wheels/drafting"))
    files["wheels/numpy-2.0.0-cp311-cp311-manylinux_2_17_x86_64.whl"] = files[core]
    broken = tmp_path / "broken.zip"
    broken.write_bytes(builder.pack(files))
    with pytest.raises(OutputError, match="Blender has it"):
        builder.check(broken)
    assert any("is not pure Python" in fault for fault in builder.archive_faults(broken))
    assert any("not listed" in fault for fault in builder.archive_faults(broken))


def test_a_folder_that_cannot_be_is_an_error(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match="cannot write"):
        builder.build(tmp_path / "file" / "dist")
