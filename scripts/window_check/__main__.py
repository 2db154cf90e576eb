"""Walks the road in a real Blender window: installs the extension's zip, clicks through its steps, looks at the scene.

    python3 scripts/window_check
    python3 scripts/window_check --blender /opt/blender/blender --theme both --out pictures

Each step leaves a screenshot; the first step that fails ends the walk with exit status 1. Standard library only.
"""

import argparse
import json
import shutil
import subprocess
import sys
from pathlib import Path

from blender import BlenderError, debian_blender, given_blender

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
SAMPLE, SLIM = (ROOT / "sample_meshes" / f"{name}.glb" for name in ("quarter_curvy", "third_slim"))


def main(words):
    """Build, install, walk, tell; returns the exit status."""
    asked = read(words)
    try:
        blender = given_blender(asked.blender) if asked.blender else debian_blender(ROOT / ".cache", asked.suite)
        work = prepare(blender, asked)
        blender.run("--command", "extension", "install-file", "-r", "user_default", "-e", work / "extension.zip")
        ended = walk(blender, work, asked)
        lost = [line for path in sorted((work / "saved").glob("*.blend")) for line in reopened(blender, path)]
    except BlenderError as error:
        print(f"window_check: {error}", file=sys.stderr)
        return 2
    keep(work, asked.out)
    shutil.rmtree(work, ignore_errors=True)
    print("\n".join(lost) if lost else "Each saved file holds the same in a fresh process, and goes on from there.")
    return tell(asked.out, ended) or (1 if lost else 0)


def read(words):
    """What was asked for."""
    parser = argparse.ArgumentParser(prog="window_check", description=__doc__.splitlines()[0])
    parser.add_argument("--blender", type=Path, help="Blender's program, 4.2 or newer; else Debian's is fetched once")
    parser.add_argument("--suite", default="sid", help="the Debian suite to fetch it from: sid has 5.2, trixie 4.3")
    parser.add_argument("--zip", type=Path, help="the extension; else it is built")
    parser.add_argument("--out", type=Path, default=ROOT / "out" / "window", help="folder for the screenshots")
    parser.add_argument("--theme", choices=("dark", "light", "both"), default="dark")
    parser.add_argument("--language", default="en_US", help="Blender's own, such as de_DE or ja_JP, names included")
    parser.add_argument("--astray", action="store_true", help="walk off the straight road instead: see astray.py")
    parser.add_argument(
        "--steps", default="", help="only these, as doll,tape,draft; a step needs those before it, or --fit"
    )
    parser.add_argument(
        "--fit", type=Path, help="a fit.toile: its doll, draft and drape stand in the scene at the start"
    )
    parser.add_argument("--limit", type=int, default=3600, help="seconds that the whole walk may take")
    return parser.parse_args(words)


def prepare(blender, asked):
    """A fresh folder that Blender sees, with the zip, the walk and a scan in it."""
    work = blender.fresh_folder()
    shutil.copy(asked.zip or built(), work / "extension.zip")
    shutil.copy(SAMPLE, work / "scan.glb")
    shutil.copy(SLIM, work / "slim.glb")
    if asked.fit:
        shutil.copy(asked.fit, work / "fit.toile")
    for part in HERE.glob("*.py"):
        if part.name != "__main__.py":
            shutil.copy(part, work / part.name)
    themes = ("dark", "light") if asked.theme == "both" else (asked.theme,)
    steps = [step for step in asked.steps.split(",") if step]
    wanted = {"themes": themes, "steps": steps, "language": asked.language, "astray": asked.astray}
    (work / "asked.json").write_text(json.dumps(wanted))
    (work / "out").mkdir()
    (work / "saved").mkdir()
    return work


def built():
    """The extension's zip, built now."""
    command = [sys.executable, str(ROOT / "scripts" / "toile.py"), "zip"]
    said = subprocess.run(command, capture_output=True, text=True, check=False)
    if said.returncode:
        raise BlenderError(f"the zip could not be built: {said.stderr.strip()}")
    return max((ROOT / "dist").glob("*.zip"), key=lambda path: path.stat().st_mtime)


def walk(blender, work, asked):
    """Walk in a window on a virtual screen; returns how Blender ended."""
    with blender.screen() as display, (work / "out" / "blender.log").open("w") as log:
        words = ["--window-geometry", "0", "0", "1600", "1000", "--python", work / "inside.py"]
        return blender.start(words, display, log, asked.limit)


def reopened(blender, path):
    """What a fresh process finds otherwise in a saved file than the walk left, and what it cannot do, a line each."""
    found = path.with_name(f"{path.stem}_found.json")
    said = blender.run("--background", path, "--python", path.parent.parent / "reopened.py", "--", found)
    if not found.exists():
        why = next((line for line in reversed(said.splitlines()) if "Error" in line), "it said nothing")
        return [f"saved after {path.stem}: a fresh process could not tell what it holds: {why}"]
    before, after = json.loads(path.with_suffix(".json").read_text()), json.loads(found.read_text())
    wrong = [f"{name} was {before[name]}, is {after[name]}" for name in before if before[name] != after[name]]
    return [f"saved after {path.stem}: {line}" for line in [*wrong, *after["lacks"]]]


def keep(work, out):
    """Copy the screenshots and the record out."""
    shutil.rmtree(out, ignore_errors=True)
    shutil.copytree(work / "out", out)


def tell(out, ended):
    """A line a step; the exit status."""
    record = out / "record.json"
    told = json.loads(record.read_text()) if record.exists() else {"steps": [], "bare_view_s": 0.0}
    steps = told["steps"]
    for step in steps:
        frozen = (
            f"window still for {step['longest_pause_s']:.2f} s at most, {step['most_work_s']:.2f} s of work in a turn, "
            f"panel drawn in {step['panel_ms']} ms"
        )
        print(f"{step['name']:10} {step['result']:8} {step['seconds']:6.1f} s  {frozen}  {step['said']}")
    print(f"A view with nothing of ours is drawn in {told['bare_view_s']:.2f} s here. Screenshots in {out}")
    if ended == 0 and steps and all(step["result"] == "passed" for step in steps):
        return 0
    if not steps or steps[-1]["result"] == "passed":
        print(f"window_check: Blender ended with {ended} in the middle; see {out / 'blender.log'}", file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
