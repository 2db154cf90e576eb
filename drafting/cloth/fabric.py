"""A fabric: what the kitchen scale, the calliper and the table edge tell."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from pathlib import Path

LEAF_MOST_MM = 5.0  # one cloth's thickness at most: a blanket's
THICKEST_MM = 2.0 * LEAF_MOST_MM  # with its lining


@dataclass(frozen=True)
class Fabric:
    """A cloth.

    Attributes
    ----------
    mass_g_m2 : float
        Mass per area.
    thickness_mm : float
        One layer under light pressure.
    warp_mm, weft_mm : float
        Bending length of strips cut along the warp and along the weft: half the overhang of a strip whose tip reaches
        the 41.5 degree line (BS 3356, ASTM D1388).
    stretch_warp, stretch_weft, stretch_bias : float
        Extension at low load, percent: along the threads at 98 N/m, at 45 degrees to them at 4.9 N/m (100 and 5 gf/cm).
    friction : float
        Cloth on cloth and on skin, coefficient of friction. Stretch and friction are told, not simulated: the drape
        holds every cloth as firmly along its threads as the solver can, and the solver's friction is no coefficient.
    source : str
        Where the figures come from.
    """

    name: str
    mass_g_m2: float
    thickness_mm: float
    warp_mm: float
    weft_mm: float
    stretch_warp: float
    stretch_weft: float
    stretch_bias: float
    friction: float
    source: str

    @property
    def bending_mm(self) -> float:
        """The bending length of cloth that bends alike both ways and is as rigid as this one on the whole.

        The rigidity is taken as the geometric mean of warp and weft, as ASTM D1388 and BS 3356 do (from memory); so is
        the bending length then.
        """
        return math.sqrt(self.warp_mm * self.weft_mm)


def lined(cloth: Fabric, lining: Fabric) -> Fabric:
    """Two cloths that hang as one, sewn together at their edges only.

    Their layers slide on each other, so their masses, thicknesses and bending rigidities add up, as those of leaves
    that are not glued do; with B = w g c^3 for each (Peirce 1930) the bending length is
    c^3 = (w1 c1^3 + w2 c2^3) / (w1 + w2). At low load both stretch by the same, at most as far as the firmer lets them.
    """
    mass = cloth.mass_g_m2 + lining.mass_g_m2

    def bending(name: str) -> float:
        rigid: float = sum(one.mass_g_m2 * getattr(one, name) ** 3 for one in (cloth, lining))
        return (rigid / mass) ** (1.0 / 3.0)

    def firmer(name: str) -> float:
        return float(min(getattr(cloth, name), getattr(lining, name)))

    return Fabric(
        f"{cloth.name} lined with {lining.name}",
        mass,
        cloth.thickness_mm + lining.thickness_mm,
        bending("warp_mm"),
        bending("weft_mm"),
        firmer("stretch_warp"),
        firmer("stretch_weft"),
        firmer("stretch_bias"),
        cloth.friction,
        f"worked out from {cloth.name} ({cloth.source}) and {lining.name} ({lining.source})",
    )


def _table() -> dict[str, Fabric]:
    """The table of common fabrics, each figure with its source beside it in the file."""
    rows = tomllib.loads(Path(__file__).with_name("fabrics.toml").read_text(encoding="utf-8"))
    fields = {"thickness": "thickness_mm", "bending_warp": "warp_mm", "bending_weft": "weft_mm"}
    return {
        name: Fabric(name, **{fields.get(key, key): value for key, value in row.items()}) for name, row in rows.items()
    }


FABRICS = _table()
LAWN = FABRICS["lawn"]
