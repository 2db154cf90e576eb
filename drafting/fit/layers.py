"""What is worn one over the other, from the body outwards, and what each layer takes of the girth of the next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..body.body import Body
from ..cloth.draped import Draped
from ..cloth.fabric import Fabric
from ..cloth.mesh import ClothMesh
from ..garments.layered import Beneath
from .gap import Gap, read_gap
from .level import Level, read_levels
from .stretch import Stretch, read_stretch

SASH = "sash"


@dataclass(frozen=True)
class Layer:
    """One layer of cloth.

    Attributes
    ----------
    name : str
        "under-robe", "robe", "sash".
    fabric : str
    thickness_mm : float
        Of one layer of it; a lined cloth counts as one.
    girths : tuple of (level, along the cloth, taut tape)
        Where it goes round, mm; a tape is None where it was not taken.
    """

    name: str
    fabric: str
    thickness_mm: float
    girths: tuple[tuple[str, float, float | None], ...] = ()

    @property
    def takes_mm(self) -> float:
        """What it takes of the girth of all that goes over it: an outline that lies t further out is longer by 2 pi t
        (Steiner's formula for plane convex outlines; equations 9.1 to 9.3 of "Anthropometry, Apparel Sizing and
        Design", ch. 9).
        """
        return 2.0 * math.pi * self.thickness_mm


@dataclass(frozen=True)
class Under:
    """How the garment beneath fits on the body.

    Attributes
    ----------
    layer : Layer
    levels : tuple of Level
    gap : Gap
        To the skin.
    stretch : Stretch
    """

    layer: Layer
    levels: tuple[Level, ...]
    gap: Gap
    stretch: Stretch

    @property
    def takes_mm(self) -> dict[str, float]:
        """What it takes of the garment over it, at each level that it reaches."""
        return {name: self.layer.takes_mm for name, _, _ in self.layer.girths}


def read_under(draped: Draped, body: Body, beneath: Beneath | None, scale: float) -> Under | None:
    """What is worn beneath, read as a garment of its own; None where nothing is."""
    if draped.under is None or beneath is None:
        return None
    thickness = beneath.fabric.thickness_mm
    levels = read_levels(draped.under, body, beneath.garment, scale, thickness)
    return Under(
        layer_of(f"under-{beneath.garment.name}", beneath.fabric, levels),
        levels,
        read_gap(draped.under, body.skin, thickness),
        read_stretch(draped.under, beneath.pattern),
    )


def layers_of(
    name: str, fabric: Fabric, cloth: ClothMesh, levels: Sequence[Level], under: Under | None
) -> tuple[Layer, ...]:
    """All layers from the body outwards; the sash is of the garment's cloth."""
    worn = [layer_of(name, fabric, levels)]
    sash = [Layer(SASH, fabric.name, fabric.thickness_mm)] if SASH in cloth.roles else []
    return tuple(([under.layer] if under else []) + worn + sash)


def layer_of(name: str, fabric: Fabric, levels: Sequence[Level]) -> Layer:
    """A garment as a layer, with the girths that were read of it."""
    girths = tuple(
        (level.name, level.garment_girth_mm, level.tape_mm) for level in levels if level.garment_girth_mm is not None
    )
    return Layer(name, fabric.name, fabric.thickness_mm, girths)
