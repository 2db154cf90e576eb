"""What the maker can choose about a robe. Tips state the trade's rules: common practice, no source, unless named."""

from __future__ import annotations

from ..cloth.fabric import THICKEST_MM
from ..words import title
from .garment import Option

LONGEST = 2500.0  # mm; the proportions method drafts for people too


def _length(name: str, group: str, tip: str, default: float | None = None, low: float = 0.0) -> Option:
    return Option(name, title(name), "length", default, tip, group, low, LONGEST)


def _thickness(name: str, tip: str, default: float) -> Option:
    return Option(name, title(name), "length", default, tip, "Cloth", 0.0, THICKEST_MM)


def _choice(name: str, group: str, tip: str, *choices: str) -> Option:
    return Option(name, title(name), "choice", choices[0], tip, group, choices=choices)


METHOD = _choice(
    "method",
    "Size",
    "quarters: from the body's girths. proportions: the published rules of the traditional yukata, scaled to the doll.",
    "quarters",
    "proportions",
)

SIZE = (
    METHOD,
    _length("ease", "Size", "Room added to the larger girth before it is quartered: at least as much as suits."),
    _length("easy_mark", "Size", "Drafted sizes go up to the next multiple: 5 mm or 1/4 in; 0 is off.", 5.0),
    _length("width", "Size", "Each back and each front: a quarter of the larger of bust and hip girth."),
    _choice(
        "length_to",
        "Size",
        "ankle: clear of the floor. floor: just to the soles. full: the full height, to be tucked up at the waist.",
        "ankle",
        "floor",
        "full",
    ),
    _length("length", "Size", "Shoulder line to hem; it overrules what 'length to' says."),
)

FRONT = (
    _choice("fronts", "Front", "Left over right is how the living wear it.", "left over right", "right over left"),
    _length("overlap", "Front", "How far each front goes past the centre: half of the panel width."),
    Option(
        "overlap_joined",
        title("overlap_joined"),
        "flag",
        True,
        "Cut in one with the front, or as a strip sewn to it.",
        "Front",
    ),
    _choice("back", "Front", "A seam along the centre back, or the whole back cut on the fold.", "seam", "fold"),
)

NECK = (
    _length("neck", "Neck", "Marked from the centre line on the shoulder line: half of the neck width."),
    _length("scoop", "Neck", "How deep the back neck is cut out: a quarter of the neck width."),
    _length(
        "slope_depth",
        "Neck",
        "From the shoulder line down to where the neckline meets the overlap's edge: above the sash.",
    ),
    _length("band_width", "Neck", "Finished; cut twice as wide plus two seam allowances."),
)

SLEEVE = (
    _length("sleeve_drop", "Sleeve", "How deep the sleeve hangs, folded: about 0.22 of the height."),
    _length(
        "wrist_allowance",
        "Sleeve",
        "Added to the arm length from the shoulder joint. Below 0 where the wide trunk panel covers part of the arm.",
        low=-LONGEST,
    ),
    _length("armhole", "Sleeve", "Depth sewn to the trunk, front and back alike: about 0.125 of the height."),
    _length("underarm_opening", "Sleeve", "The slit of the trunk below the armhole; 0 sews it shut."),
    _length(
        "sleeve_slit",
        "Sleeve",
        "The sleeve's own slit below the armhole: as long as the underarm opening.",
    ),
    _length(
        "wrist_opening",
        "Sleeve",
        "Open part of the wrist edge, folded; as deep as the sleeve: all of it.",
    ),
    _length("sleeve_corner", "Sleeve", "Radius of the lower wrist corner; 0 is square."),
)

SASH = (
    _length("sash_width", "Sash", "Finished width."),
    _choice(
        "sash_tie",
        "Sash",
        "How firmly it is drawn: firm holds the robe, loose lets it hang, tight presses the folds flat.",
        "firm",
        "loose",
        "tight",
    ),
    _length(
        "sash_worn",
        "Sash",
        "The part that goes round: waist, cloth beneath it, room for gathers.",
    ),
    _length("sash_length", "Sash", "All of it, with the tails to tie."),
)

CLOTH = (
    _thickness("cloth_thickness", "One layer, as the cloth that is chosen; three lie under the sash.", 0.3),
    _thickness("cloth_beneath", "One layer of what is worn under it, which takes room of it.", 0.0),
    _length("seam_allowance", "Cloth", "Doll makers take 3 to 10 mm.", 6.0),
    _length(
        "hem_allowance",
        "Cloth",
        "Turned up at free edges; a slit or wrist that runs on from a seam keeps its allowance.",
        10.0,
    ),
    _length("band_hem", "Cloth", "Turned in at each end of the neckband.", 6.0),
    _length(
        "trimming_allowance",
        "Cloth",
        "Added to the sleeve's cut depth only, to be trimmed when it is true.",
        0.0,
    ),
)

OPTIONS = SIZE + FRONT + NECK + SLEEVE + SASH + CLOTH
