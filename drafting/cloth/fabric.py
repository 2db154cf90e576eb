"""A fabric: what the kitchen scale, the calliper and the table edge tell."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Fabric:
    """A woven cloth.

    Attributes
    ----------
    mass_g_m2 : float
        Mass per area.
    thickness_mm : float
        One layer under light pressure.
    bending_mm : float
        Bending length: half the overhang of a strip whose tip reaches the 41.5 degree line (BS 3356, ASTM D1388).
    friction : float
        Cloth on cloth and on skin, coefficient of friction.
    source : str
        Where the figures come from.
    """

    name: str
    mass_g_m2: float
    thickness_mm: float
    bending_mm: float
    friction: float
    source: str


# Mass and bending length lie inside the trade's bands (lawn 70 to 100 g/m2: shop pages, low authority; bending
# length 13 to 18 mm: from memory, no citable table was found). Thickness and friction: common practice, no source.
LAWN = Fabric("lawn", 80.0, 0.20, 15.0, 0.4, "mass: trade band; bending length, thickness, friction: memory")
QUILTING_COTTON = Fabric(
    "quilting cotton", 150.0, 0.30, 21.0, 0.4, "mass: trade band; bending length, thickness, friction: memory"
)
HABOTAI = Fabric("habotai", 35.0, 0.10, 11.0, 0.3, "mass: 8 momme x 4.340 g/m2; the rest: memory")

FABRICS = {fabric.name: fabric for fabric in (LAWN, QUILTING_COTTON, HABOTAI)}
