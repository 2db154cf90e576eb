"""Runs inside a fresh Blender without a window that has opened a saved file: tells what the file keeps, then goes on.

blender --background 1_doll.blend --python reopened.py -- found.json
"""

import json
import sys
from pathlib import Path

import bpy

sys.path.insert(0, str(Path(__file__).resolve().parent))

from kept import part, told


def go_on(scene):
    """Type a measure and measure anew, as after any other start; what did not come of it, in words."""
    if not part("session").has(scene, "body"):
        return []
    row = next(row for row in scene.toile.by_hand if row.name == "hip_girth")
    row.by_hand = "250mm"
    lacks = [] if measures(scene)["hip_girth"].mm == 250.0 else ["a typed measure is not taken over"]
    if bpy.ops.toile.measure() != {"FINISHED"}:
        lacks.append("she cannot be measured anew")
    return lacks if measures(scene)["hip_girth"].mm == 250.0 else [*lacks, "measured anew, the typed measure is lost"]


def measures(scene):
    """The doll's measures by name."""
    return part("session").get(scene, "body").measures


found = told(bpy.context.scene)
found["lacks"] = go_on(bpy.context.scene)
Path(sys.argv[-1]).write_text(json.dumps(found))
