"""The robe: T-shaped, wrapped, unlined, with a neckband and a sash, of the yukata kind."""

from __future__ import annotations

from collections.abc import Mapping

from ..errors import DraftError
from ..pattern.check import check
from ..pattern.panel import FloatArray, Panel
from ..pattern.pattern import Pattern, Piece
from ..pattern.tolerance import TOLERANCE
from ..words import listed, plain
from . import robe_panels
from .draftbook import Draftbook, show
from .garment import Option
from .options import read_options
from .proportions import proportions
from .quarters import quarters
from .robe_ease import wanted_ease
from .robe_lay import lay_robe
from .robe_options import OPTIONS
from .robe_panels import Cut, Sizes
from .robe_seams import robe_seams, robe_ties
from .sash import sash_panel, sash_sizes

METHODS = {"quarters": quarters, "proportions": proportions}

# Sizes that must be there, and the measures that each comes from.
NEEDED = {
    "back_width": ("hip_girth",),
    "front_width": ("hip_girth",),
    "shoulder": ("hip_girth", "bust_girth"),
    "length": ("shoulder_height",),
    "neck": ("neck_width",),
    "overlap": ("hip_girth",),
    "slope_depth": ("waist_height",),
    "sleeve_drop": ("height",),
    "sleeve_width": ("arm_length",),
    "armhole": ("upper_arm_girth",),
    "wrist_opening": ("hand_girth",),
    "band_width": ("height",),
    "sash_width": ("height",),
    "sash_worn": ("waist_girth",),
}


class Robe:
    """Implements `Garment`."""

    name = "robe"
    options: tuple[Option, ...] = OPTIONS

    def draft(self, measures: Mapping[str, float], options: Mapping[str, object]) -> Pattern:
        """Panels, seams, ties and rules; see `Garment.draft`. Options may be numbers or text as typed."""
        chosen = read_options(self, options)
        book = Draftbook(measures, chosen)
        sash_sizes(book)
        METHODS[str(chosen["method"])](book)
        sizes = book.sizes
        refuse_impossible(sizes)
        cut = Cut(back_whole=chosen["back"] == "fold", overlap_joined=bool(chosen["overlap_joined"]))
        panels = robe_panels_of(sizes, cut)
        ties = robe_ties(sizes, cut, upper_side(chosen))
        return check(
            Pattern(self.name, panels, robe_seams(panels, cut), ties, book.rules, dict(book.used), dict(chosen))
        )

    def lay(self, pattern: Pattern, piece: Piece, flat: FloatArray) -> FloatArray:
        """Where a piece lies when the robe is folded flat; see `Garment.lay`."""
        sizes = {rule.name: rule.mm for rule in pattern.rules}
        return lay_robe(sizes, upper_side(pattern.options), piece, flat)

    def wanted(self, level: str, body_girth_mm: float, scale: float, thickness_mm: float) -> tuple[float, float]:
        """Lowest and highest good ease; see `Garment.wanted`."""
        return wanted_ease(level, body_girth_mm, scale, thickness_mm)


def robe_panels_of(sizes: Sizes, cut: Cut) -> tuple[Panel, ...]:
    """All panels in sewing order."""
    fronts = [robe_panels.front(sizes, cut)] + ([] if cut.overlap_joined else [robe_panels.overlap(sizes)])
    trunk = [robe_panels.back(sizes, cut), *fronts]
    neck = next(edge for edge in trunk[0].edges if edge.name in ("neck", "neck_left"))
    names = ("slope", "lap")
    neckline = [("neck", neck.length)]
    neckline += [(name, panel.edge("slope").length) for name, panel in zip(names, fronts, strict=False)]
    return (
        *trunk,
        robe_panels.sleeve(sizes),
        robe_panels.neckband(sizes, neckline),
        sash_panel(sizes["sash_width"], sizes["sash_worn"], sizes["sash_length"], 6),
    )


def upper_side(options: Mapping[str, object]) -> str:
    """The side of the front that lies uppermost."""
    return "right" if options["fronts"] == "right over left" else "left"


def refuse_impossible(s: Sizes) -> None:
    """Say what cannot be drawn.

    Raises
    ------
    DraftError
        Names the sizes in question and the measure or option to look at.
    """
    for name, measures in NEEDED.items():
        if s[name] < TOLERANCE.edge_mm:
            raise DraftError(
                f"The {plain(name)} would be {show(s[name])}. Choose a larger one, or look at the {listed(measures)}.",
                about=[name, *measures],
            )
    edge, sleeve = TOLERANCE.edge_mm, "what the sleeve leaves below the wrist opening"
    below_wrist = min(s["sleeve_drop"] - s["wrist_opening"], s["sleeve_width"])
    slit_end, length = s["armhole"] + s["underarm_opening"], s["length"] - edge
    # The sizes, what they come to, the most it may be, what sets that limit, and what else there is to change.
    limits: tuple[tuple[tuple[str, ...], float, float, str, tuple[str, ...]], ...] = (
        (("neck",), s["neck"], s["shoulder"] - edge, "half of the top edge", ("neck_width", "hip_girth")),
        (("scoop",), s["scoop"], s["neck"], "half of the neck width", ()),
        (("scoop",), s["scoop"], length, "the length", ("length",)),
        (("overlap",), s["overlap"], s["front_width"], "the width of a front", ("width",)),
        (("slope_depth",), s["slope_depth"], length, "the length", ("length",)),
        (("slope_crossing",), s["slope_crossing"], s["slope_depth"], "the front neck depth", ("slope_depth",)),
        (("armhole", "underarm_opening"), slit_end, length, "the length", ("length",)),
        (("sleeve_corner",), s["sleeve_corner"], below_wrist, sleeve, ("wrist_opening",)),
        (("sash_worn",), s["sash_worn"], s["sash_length"], "the whole sash", ("sash_length",)),
    )
    for names, mm, most, limit, others in limits:
        if mm > most + TOLERANCE.same_mm:
            look = f", or look at the {listed(others)}" if others else ""
            raise DraftError(
                f"The {' and the '.join(map(plain, names))} would be {show(mm)}, too much for {limit} of {show(most)}: "
                f"choose a smaller one{look}.",
                about=[*names, *others],
            )


ROBE = Robe()
