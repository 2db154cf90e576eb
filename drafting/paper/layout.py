"""The cutting layout: pieces on cloth, and how much of it they take."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from ..errors import OptionError
from ..pattern.curve import signed_area
from ..pattern.panel import FloatArray

HALF_TURN = 180


@dataclass(frozen=True)
class Spread:
    """Cloth as it is spread for cutting, right side up, its warp along y.

    Attributes
    ----------
    width : float
        Selvedge to selvedge, mm; of a ribbon or a fat quarter, across its warp.
    length : float
        Of one piece of cloth, mm; infinite for cloth off the bolt.
    folded : bool
        Folded lengthwise, right sides together: every cut goes through two layers, the fold lies at x = 0.
    one_way : bool
        A print or a nap runs one way: no piece is turned round.
    alike : bool
        Both faces are alike: a piece may be laid either side up.
    selvedge : float
        Kept free along each selvedge, mm.
    gap : float
        Room for the scissors between pieces, mm.
    """

    width: float
    length: float = math.inf
    folded: bool = False
    one_way: bool = False
    alike: bool = False
    selvedge: float = 0.0
    gap: float = 2.0

    def __post_init__(self) -> None:
        sizes = {"width": self.width, "length": self.length, "selvedge": self.selvedge, "gap": self.gap}
        for name, mm in sizes.items():
            if math.isnan(mm) or mm < 0 or (mm == 0 and name in ("width", "length")):
                raise OptionError(f"The cloth's {name} is {mm} mm; give a length above 0.")
        if not (math.isfinite(self.width) and math.isfinite(self.gap) and self.reach[1] > self.reach[0]):
            raise OptionError(
                f"Cloth {self.width:g} mm wide leaves no room between selvedges of {self.selvedge:g} mm. "
                "Give its whole width, or a narrower selvedge."
            )

    @property
    def table_width(self) -> float:
        """What lies on the table, mm: half of the width when folded."""
        return self.width / 2 if self.folded else self.width

    @property
    def reach(self) -> tuple[float, float]:
        """From which x to which x pieces may lie, mm. A fold may be cut up to."""
        return 0.0 if self.folded else self.selvedge, self.table_width - self.selvedge


@dataclass(frozen=True)
class CutPiece:
    """One thing to lay on the cloth.

    Attributes
    ----------
    outline : (n, 2) float
        The cut line, mm, in the frame of its panel.
    grain : (2,) float
        Direction of the warp in that frame, from the bottom to the top of the print.
    mirrored : bool
        Cut as the mirror image of the outline.
    layers : int
        Layers of cloth that it takes: 2 where a pair, or the two halves of a piece on the fold, are cut at once.
    on_fold : bool
        The outline is half of the piece; its edge at the smallest x, grain upwards, lies on the fold.
    """

    name: str
    outline: FloatArray
    grain: FloatArray
    mirrored: bool = False
    layers: int = 1
    on_fold: bool = False

    @property
    def area(self) -> float:
        """Cloth that it takes in all its layers, mm2."""
        return abs(signed_area(self.outline)) * self.layers


@dataclass(frozen=True)
class Placement:
    """A piece where it lies on the cloth.

    Attributes
    ----------
    at : (2,) float
        Where the lower left corner of its upright box lies, mm; x across the cloth, y along it.
    turned : {0, 180}
        Degrees that its grain is turned from pointing along y.
    mirrored : bool
        Laid as the mirror image of its outline: the paper lies face down.
    """

    piece: CutPiece
    at: FloatArray
    turned: int
    mirrored: bool

    @property
    def outline(self) -> FloatArray:
        """(n, 2) float: the cut line on the cloth, mm."""
        return self.place(self.piece.outline)

    def place(self, points: FloatArray) -> FloatArray:
        """(k, 2) float: points of the panel's frame on the cloth, mm."""
        laid = _laid(self.piece.outline, self.piece.grain, self.turned, self.mirrored)
        return _laid(points, self.piece.grain, self.turned, self.mirrored) - laid.min(axis=0) + self.at


@dataclass(frozen=True)
class Layout:
    """All pieces on their cloth."""

    spread: Spread
    placements: tuple[Placement, ...]

    @property
    def length(self) -> float:
        """Length that is used, from the cloth's end to the last cut, mm; whole pieces of cloth but for the last."""
        return max(float(placement.outline[:, 1].max()) for placement in self.placements)

    @property
    def sheets(self) -> int:
        """Pieces of cloth that are used; 1 off the bolt."""
        return math.ceil(self.length / self.spread.length - 1e-9) if math.isfinite(self.spread.length) else 1

    @property
    def used(self) -> float:
        """Share of the cloth that becomes garment: pieces by width times length used."""
        return sum(placement.piece.area for placement in self.placements) / (self.spread.width * self.length)

    def moved(self, placements: tuple[Placement, ...]) -> Layout:
        """The same cloth with other placements."""
        return replace(self, placements=placements)


def laid(piece: CutPiece, turned: int, mirrored: bool) -> FloatArray:
    """(n, 2) float: a piece's cut line, its grain along y, its lower left corner at 0."""
    outline = _laid(piece.outline, piece.grain, turned, mirrored)
    return outline - outline.min(axis=0)


def _laid(points: FloatArray, grain: FloatArray, turned: int, mirrored: bool) -> FloatArray:
    x, y = np.asarray(grain, dtype=float) / np.linalg.norm(grain)
    upright = np.asarray(points, dtype=float) @ np.array([[y, x], [-x, y]])
    sign = -1.0 if turned == HALF_TURN else 1.0
    return upright * np.array([-sign if mirrored else sign, sign])
