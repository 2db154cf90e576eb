"""How the robe is sewn together and tied shut."""

from __future__ import annotations

from ..pattern.panel import Panel
from ..pattern.seam import Seam, Tie
from .robe_panels import Cut, Sizes
from .sash import SASH_SEAM

BOTH = (("left", "left"), ("right", "right"))
SIDES = ("left", "right")
SLEEVE_ITSELF = ("underarm_seam", "bottom", "wrist_seam")


def robe_seams(panels: tuple[Panel, ...], cut: Cut) -> tuple[Seam, ...]:
    """All seams in the order in which they are sewn; those whose edges the draft left out do not exist."""
    edges = {(panel.name, edge.name) for panel in panels for edge in (*panel.edges, *panel.worn)}
    wanted = (
        *_centre(cut),
        *_back_to("shoulder", ("front", "shoulder"), cut, turned=False),
        *_overlap(cut),
        *_neckband(cut),
        Seam(("front", "armhole"), ("sleeve", "armhole_front"), BOTH),
        *_back_to("armhole", ("sleeve", "armhole_back"), cut, turned=False),
        *_back_to("side", ("front", "side"), cut, turned=False),
        *(Seam(("sleeve", f"{name}_front"), ("sleeve", f"{name}_back"), BOTH) for name in SLEEVE_ITSELF),
        SASH_SEAM,
    )
    return tuple(seam for seam in wanted if seam.a in edges and seam.b in edges)


def robe_ties(sizes: Sizes, cut: Cut, upper: str) -> tuple[Tie, ...]:
    """The wrap tied at the waist, centre line over centre line: the upper front's edge, and the under one's inside.

    Parameters
    ----------
    upper : {"left", "right"}
        The side of the front that lies uppermost.
    """
    under = SIDES[1 - SIDES.index(upper)]
    y = -min(max(sizes["waist_drop"], sizes["slope_depth"]), sizes["length"])
    # The overlap's edge may lean from its top to its hem.
    down = (-y - sizes["slope_depth"]) / (sizes["length"] - sizes["slope_depth"])
    lap = sizes["overlap_top"] + down * (sizes["overlap"] - sizes["overlap_top"])
    edge = "front" if cut.overlap_joined else "overlap"
    return (
        Tie((f"{edge}.{upper}", -lap, y), (f"front.{under}", lap, y)),
        Tie((f"front.{upper}", lap, y), (f"{edge}.{under}", -lap, y)),
    )


def _centre(cut: Cut) -> tuple[Seam, ...]:
    if cut.back_whole:
        return ()
    return (Seam(("back", "centre"), ("back", "centre"), (("left", "right"),), turned=False),)


def _back_to(name: str, partner: tuple[str, str], cut: Cut, *, turned: bool) -> tuple[Seam, ...]:
    """A seam of the back with a panel cut twice. On a whole back the right side is drawn, and runs, the other way."""
    if not cut.back_whole:
        return (Seam(("back", name), partner, BOTH, turned),)
    return tuple(
        Seam(("back", f"{name}_{side}"), partner, (("one", side),), turned if side == "left" else not turned)
        for side in SIDES
    )


def _overlap(cut: Cut) -> tuple[Seam, ...]:
    return () if cut.overlap_joined else (Seam(("front", "centre"), ("overlap", "centre"), BOTH),)


def _neckband(cut: Cut) -> tuple[Seam, ...]:
    """The band to the slopes and the back neck. Seen along its sewn edge it runs from the right to the left slope."""
    fronts = [("front", "slope")] + ([] if cut.overlap_joined else [("overlap", "lap")])
    slopes = [
        Seam((panel, "slope"), ("neckband", f"{name}_{side}"), ((side, "one"),), side == "right")
        for panel, name in fronts
        for side in SIDES
    ]
    necks = [
        Seam(
            ("back", f"neck_{side}" if cut.back_whole else "neck"),
            ("neckband", f"neck_{side}"),
            (("one" if cut.back_whole else side, "one"),),
            # A whole back's right half runs from the centre to the neck point.
            side == "left" or cut.back_whole,
        )
        for side in SIDES
    ]
    return (*slopes, *necks)
