"""Vocabulary: identifiers in plain trade words, one name a thing, wherever a maker reads them.

Options, rules, measures, landmarks, levels, panels and edges have identifiers (`sleeve_drop`, `under_sleeve.left`) that
the command line, files and scripts use. What a maker reads goes through here.
"""

from __future__ import annotations

SIZES = {
    "armhole": "armhole depth",
    "back_width": "width of each back",
    "band_hem": "neckband hem",
    "band_width": "neckband width",
    "easy_mark": "round up to",
    "front_width": "width of each front",
    "neck": "half neck width",
    "overlap_joined": "overlap cut in one",
    "overlap_top": "overlap at its top",
    "scoop": "back neck depth",
    "shoulder": "half of the top edge",
    "slope_crossing": "neckline down the centre",
    "slope_depth": "front neck depth",
    "sash_tie": "sash tied",
    "sash_worn": "sash round the waist",
    "sleeve_corner": "rounded sleeve corner",
    "sleeve_drop": "sleeve depth",
    "trimming_allowance": "extra to trim off",
    "waist_drop": "shoulder line to waist",
    "width": "panel width",
    "wrist_allowance": "extra sleeve length",
}
EDGES = {"slope": "neckline", "lap": "overlap neckline", "facing": "inner edge", "cut end": "end", "tip": "end"}
ENDS = ("left", "right", "front", "back", "upper", "lower")


def plain(name: str) -> str:
    """The name of a size, measure, landmark or piece: `sleeve_drop` as "sleeve depth", `heel_left` as "left heel"."""
    return SIZES.get(name) or _turned(name.replace(".", "_"))


def title(name: str) -> str:
    """The same with a capital, as a label."""
    words = plain(name)
    return words[:1].upper() + words[1:]


def edge(name: str) -> str:
    """The name of a panel's edge: `armhole_front` as "front armhole"."""
    *side, stem = _turned(name, sep="|").split("|")
    return " ".join([*side, EDGES.get(stem, stem)])


def listed(names: tuple[str, ...] | list[str]) -> str:
    """Several of them: "sleeve depth, sleeve slit or wrist opening"."""
    words = [plain(name) for name in names]
    return " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def reason(said: str) -> str:
    """What is said of a name, `neck_girth: no neck rises`, with the name in words."""
    name, colon, why = said.partition(":")
    return f"{plain(name)}{colon}{why}"


def _turned(name: str, sep: str = " ") -> str:
    """Underscores as spaces, and the side that ends a name put first."""
    stem, _, end = name.rpartition("_")
    words = (stem if stem and end in ENDS else name).replace("_", " ")
    return f"{end}{sep}{words}" if stem and end in ENDS else words
