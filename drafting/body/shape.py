"""Body proportions (ratios): what a doll's measures and landmarks are to her height and to each other."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from .body import SIDES, FloatArray, Measure

PAIRS = (
    ("hip_girth", "waist_girth"), ("upper_hip_girth", "hip_girth"), ("thigh_girth", "hip_girth"),
    ("knee_girth", "calf_girth"), ("calf_girth", "ankle_girth"), ("upper_arm_girth", "wrist_girth"),
    ("chest_girth", "bust_girth"), ("underbust_girth", "bust_girth"), ("neck_girth", "head_girth"),
    ("arm_length", "inside_leg"), ("inside_leg", "waist_height"),
)  # fmt: skip
"""Measures that go together."""


def proportions(
    measures: Mapping[str, Measure], marks: Mapping[str, FloatArray], vertices: FloatArray
) -> dict[str, float]:
    """Ratios without a unit: each measure to the height, pairs of measures, and how she stands.

    A name with a slash is a pair; "head" is her head's height over its girth, "deep" her depth over her height; "trunk
    leans" and "legs lean" say how far neck and waist, waist and ankles are behind each other; "apart" names say how far
    left and right differ, all as shares of the height.
    """
    tall = float(np.ptp(vertices[:, 2]))
    mm = {name: each.mm for name, each in measures.items()}
    found = {name: value / tall for name, value in mm.items() if name != "height"}
    found |= {f"{a}/{b}": mm[a] / mm[b] for a, b in PAIRS if a in mm and b in mm}
    found["deep"] = float(np.ptp(vertices[:, 1])) / tall
    if "neck_narrow" in marks and "head_girth" in mm:
        found["head"] = float(marks["crown"][2] - marks["neck_narrow"][2]) / mm["head_girth"]
    middles = {name: _middle(marks, name) for name in ("neck", "waist", "ankle")}
    neck, waist, ankle = (middles[name] for name in ("neck", "waist", "ankle"))
    if neck is not None and waist is not None:
        found["trunk leans"] = float(neck[1] - waist[1]) / tall
        found["neck aside"] = abs(float(neck[0])) / tall
    if waist is not None and ankle is not None:
        found["legs lean"] = float(waist[1] - ankle[1]) / tall
    for name in ("knee", "ankle", "shoulder"):
        left, right = (marks.get(f"{name}_{side}") for side in SIDES)
        if left is not None and right is not None:
            off = (left - right)[1:] if name != "shoulder" else (left - right)[2:]
            found[f"{name}s apart"] = float(np.linalg.norm(off)) / tall
    return found


def _middle(marks: Mapping[str, FloatArray], name: str) -> FloatArray | None:
    """The middle between front and back, or left and right."""
    for pair in (("front", "back"), SIDES):
        ends = [marks[f"{name}_{end}"] for end in pair if f"{name}_{end}" in marks]
        if len(ends) == 2:
            return np.mean(ends, axis=0)
    return None
