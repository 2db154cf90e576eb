"""Garments as a maker might draw them for the sample doll of 420 mm: invented, for the tests."""

from __future__ import annotations

from pathlib import Path

from drawings import svg

PAGE = 'width="420mm" height="297mm" viewBox="0 0 420 297"'

# A T-shaped tunic: a whole front, two backs that are open below the neck, two straight sleeves.
TUNIC = """
<path id="front" d="M20 20 H61 C63 50 107 50 109 20 H150 V220 H20 Z"/>
<path id="back" d="M180 30 C192 30 203 28 204 20 H245 V220 H180 Z"/>
<path id="sleeve" d="M270 20 H370 V130 H270 Z"/>
"""
TUNIC_PLAN = """
garment = "tunic"

[panels.front]
edges = ["hem", "side_left 145mm", "armhole_left", "shoulder_left", "neck", "shoulder_right", "armhole_right 55mm",
         "side_right"]

[panels.back]
cut = 2
edges = ["hem", "side 145mm", "armhole", "shoulder", "neck", "slit 50mm", "centre"]

[panels.sleeve]
cut = 2
role = "sleeve"
edges = ["bottom_front", "wrist", "bottom_back", "armhole_back 55mm", "armhole_front"]

[[seams]]
sew = ["back.centre", "back.centre"]
[[seams]]
sew = ["front.shoulder_left", "back.left.shoulder"]
[[seams]]
sew = ["front.shoulder_right", "back.right.shoulder"]
[[seams]]
sew = ["front.armhole_left", "sleeve.left.armhole_front"]
[[seams]]
sew = ["front.armhole_right", "sleeve.right.armhole_front"]
[[seams]]
sew = ["back.armhole", "sleeve.armhole_back"]
[[seams]]
sew = ["front.side_left", "back.left.side"]
[[seams]]
sew = ["front.side_right", "back.right.side"]
[[seams]]
sew = ["sleeve.bottom_front", "sleeve.bottom_back"]

[[ties]]
hold = ["back.left 0mm 20mm", "back.right 0mm 20mm"]
"""

# A skirt closed at the back, that hangs from the waist: a whole front and two backs.
SKIRT = """
<path id="front" d="M75 20 H157 L211 140 H21 Z"/>
<path id="back" d="M240 20 H281 L335 140 H240 Z"/>
"""
SKIRT_PLAN = """
garment = "skirt"
hangs = "waist"

[panels.front]
edges = ["hem", "side_left", "waist", "side_right"]

[panels.back]
cut = 2
edges = ["hem", "side", "waist", "centre"]

[[seams]]
sew = ["back.centre", "back.centre"]
[[seams]]
sew = ["front.side_left", "back.left.side"]
[[seams]]
sew = ["front.side_right", "back.right.side"]
"""
GARMENTS = {"tunic": (TUNIC, TUNIC_PLAN), "skirt": (SKIRT, SKIRT_PLAN)}


def draw(folder: Path, name: str, drawing: str = "", plan: str = "") -> Path:
    """NAME.svg and NAME.toml; the garment of that name, or another drawing and plan of it."""
    path = folder / f"{name}.svg"
    path.write_text(svg(drawing or GARMENTS[name][0], PAGE))
    path.with_suffix(".toml").write_text(plan or GARMENTS[name][1])
    return path
