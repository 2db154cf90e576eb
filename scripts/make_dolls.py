"""Make the sample dolls: `python -m scripts.make_dolls [NAME ...]`, from the root of the repository.

Needs scikit-image and fast-simplification besides numpy, scipy and trimesh; the product itself needs neither.
The same numbers (`scripts/dolls/forms.py`) give the same files.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import trimesh

from scripts.dolls.bodies import doll
from scripts.dolls.forms import FORMS, QUARTER_CURVY
from scripts.dolls.frame import y_up
from scripts.dolls.scan import scan

FOLDER = Path(__file__).resolve().parent.parent / "sample_meshes"


def write_doll(name: str, folder: Path = FOLDER) -> Path:
    """A doll as glTF binary: metres, y up."""
    form = next(form for form in FORMS if form.name == name)
    vertices, faces = doll(form)
    path = folder / f"{name}.glb"
    trimesh.Trimesh(y_up(vertices) / 1000, faces, process=False).export(path)
    return path


def write_scan(folder: Path = FOLDER) -> Path:
    """The quarter doll as a scanner would give it, a binary STL: millimetres, y up."""
    vertices, faces = scan(QUARTER_CURVY)
    path = folder / "quarter_scan.stl"
    trimesh.Trimesh(y_up(vertices), faces, process=False).export(path)
    return path


def main() -> None:
    """Builds the dolls that are named, or all."""
    known = [form.name for form in FORMS] + ["quarter_scan"]
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"which to make: {', '.join(known)} (all)")
    names = parser.parse_args().names or known
    unknown = set(names) - set(known)
    if unknown:
        parser.error(f"no doll is called {', '.join(sorted(unknown))}; there are {', '.join(known)}")
    for name in names:
        path = write_scan() if name == "quarter_scan" else write_doll(name)
        print(f"{path}  {path.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
