"""Laws that turn a fabric into what a mass-spring solver is told, for any edge length and scale.

A strip's bending length c satisfies B = w g c^3 (Peirce 1930), B the bending rigidity and w the mass per area. The
solver turns two squares of edge h that meet at an angle a back with a force b h a / 10 on each, shared by their four
corners and counted in frames; from edge to edge that is a moment of b h^2 a / 20, so that B = K b h^2 with K near 50 in
metres and seconds. A vertex weighs m and stands for the area h^2: all in all b = m g c^3 / (K h^4).
"""

from __future__ import annotations

import math

GRAVITY = 9.81  # m/s2

# K as measured on strips ten squares wide, about as wide as a doll's panels (scripts/calibrate_bending.py, every strip
# in scripts/laboratory/bending.csv): along the threads the bending length is within 3 %, in the mean within 1 %; cut
# at 45 degrees, where a mesh of squares has triangles at its edges, the strip is up to 11 % too stiff, more where it
# is coarser than a third of the bending length. Outer rows weigh as much as inner ones: narrow bands droop more.
HINGE = 47.8

STIFFEST = 10_000.0  # the solver takes no larger b: bpy.types.ClothSettings.bending_stiffness, hard maximum

# The solver's hinges are explicit: with less than sqrt(b / 5 m) steps a frame the stiffest ripple, row against row,
# grows at each step. A fifth more keeps it quiet (simulated strips, scripts/calibrate_bending.py).
RIPPLE, QUIET = 0.2, 1.25


def bending_setting(bending_m: float, edge_m: float, vertex_mass: float) -> float:
    """The solver's bending stiffness for a bending length, all at the solver's scale in metres."""
    return vertex_mass * GRAVITY * bending_m**3 / (HINGE * edge_m**4)


def finest_edge(bending_m: float, vertex_mass: float) -> float:
    """The shortest edge at which the solver can be told so long a bending length, metres."""
    return float((vertex_mass * GRAVITY * bending_m**3 / (HINGE * STIFFEST)) ** 0.25)


def steps_needed(setting: float, vertex_mass: float) -> int:
    """Steps a frame, at least, for a bending stiffness of the solver."""
    return math.ceil(QUIET * math.sqrt(RIPPLE * setting / vertex_mass))
