"""Garments as a maker might draw them for the sample doll of 420 mm: invented, for the tests."""

from __future__ import annotations

import re
from pathlib import Path

from drawings import svg

PAGE = 'width="420mm" height="297mm" viewBox="0 0 420 297"'

SAMPLES = Path(__file__).resolve().parent.parent / "sample_meshes"

# A T-shaped tunic: a whole front, two backs that are open below the neck, two straight sleeves. It comes with the tool.
TUNIC = "".join(re.findall("<path[^>]*/>", (SAMPLES / "tunic.svg").read_text()))
TUNIC_PLAN = (SAMPLES / "tunic.toml").read_text()

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
