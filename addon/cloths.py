"""The cloths of an outfit in the terms of the solver: how fine their mesh, how stiff, how far apart their layers."""

from __future__ import annotations

from dataclasses import dataclass, replace

from drafting.cloth.fabric import Fabric
from drafting.cloth.law import bending_setting, finest_edge
from drafting.errors import DrapeError

from .solver import Settings, magnified

EDGES_PER_HEIGHT = 80.0  # default edge length: an eightieth of the doll's height gives about 6,000 vertices
# Cloth that is stiff at this size makes no finer fold than a quarter of its bending length shows; the law of
# the hinges holds up to a third (drafting/cloth/law.py). Seams and openings want no edge longer than a
# sixtieth of the height: common practice, no source.
EDGES_PER_BENDING = 4.0
FEWEST_PER_HEIGHT = 60.0
LAYERS_APART = 0.14  # of an edge: layers that lie closer slip through each other where they are coarse


@dataclass(frozen=True)
class Cloths:
    """What the garment is made of, and what is under it; and how tall the doll is that wears it."""

    height_mm: float
    outer: Fabric
    under: Fabric | None = None

    @property
    def all(self) -> tuple[Fabric, ...]:
        """Each once."""
        return (self.outer,) if self.under is None else (self.outer, self.under)

    @property
    def usual_edge(self) -> float:
        """The edge length that suits the limpest of them, as far as the stiffest can be meshed so finely, mm."""
        return max(min(usual_edge(self.height_mm, cloth) for cloth in self.all), self.least_edge)

    @property
    def least_edge(self) -> float:
        """The shortest edge at which the solver can be told how stiff the stiffest is, mm."""
        scale = magnified(self.height_mm) / 1000.0
        return finest_edge(self.stiffest.bending_mm * scale, Settings().vertex_mass) / scale

    @property
    def stiffest(self) -> Fabric:
        """That of the longest bending length."""
        return max(self.all, key=lambda cloth: cloth.bending_mm)

    def settings(self, edge_mm: float, starch_mm: float = 0.0) -> Settings:
        """All of it in the solver's terms, with a bending length of so much at least.

        Layers lie as far apart as the thicker cloth is thick, and no closer than the solver can keep apart.
        """
        plain = replace(Settings(), magnified=magnified(self.height_mm))
        scale = plain.magnified / 1000.0
        outer, *under = (
            bending_setting(max(cloth.bending_mm, starch_mm) * scale, edge_mm * scale, plain.vertex_mass)
            for cloth in self.all
        )
        thick = plain.magnified * max(cloth.thickness_mm for cloth in self.all)
        return replace(
            plain,
            bending=outer,
            bending_under=under[0] if under else None,
            gap_mm=max(plain.gap_mm, thick / 2.0),
            self_gap_mm=max(plain.self_gap_mm, LAYERS_APART * edge_mm * plain.magnified, thick),
        )


def usual_edge(height_mm: float, fabric: Fabric) -> float:
    """The edge length of a doll's cloth where none is asked for, mm."""
    longest = min(fabric.bending_mm / EDGES_PER_BENDING, height_mm / FEWEST_PER_HEIGHT)
    return max(height_mm / EDGES_PER_HEIGHT, longest)


def refuse_unbendable(cloths: Cloths, edge_mm: float) -> None:
    """The solver's stiffness has an upper limit: a stiff cloth cannot be meshed as finely as one likes."""
    fabric, least = cloths.stiffest, cloths.least_edge
    if edge_mm < least:
        raise DrapeError(
            f"{fabric.name} of {fabric.bending_mm:.0f} mm bending length is too stiff to be as fine as "
            f"{edge_mm:.1f} mm: leave the fineness empty, or give {least:.1f} mm or more.",
            about=["edge"],
        )
