"""Laws that turn a fabric into what a mass-spring solver is told, for any edge length and scale.

A strip's bending length c satisfies B = w g c^3 (Peirce 1930), B the bending rigidity and w the mass per area. The
solver folds triangles about their edges with a stiffness b that it divides by the mean edge length h, so that its
rigidity is B = K b / h. K is measured, see HINGE.
"""

from __future__ import annotations

GRAVITY = 9.81  # m/s2

# Triangles of a nearly equilateral mesh: area that belongs to one vertex over the edge length squared.
AREA_PER_VERTEX = 3.0**0.5 / 2.0

# Measured with simulated cantilever strips (clamped edge, chord angle, Peirce's formula) at 25 mm edges and 0.3 mass
# a vertex: b = 50, 200, 1000 gave bending lengths of 63.5, 88.5, 141 mm; K = 6.0, 4.1, 3.3e-4, geometric mean.
HINGE = 4.3e-4


def bending_setting(bending_m: float, edge_m: float, vertex_mass: float) -> float:
    """The solver's bending stiffness for a bending length, all at the solver's scale in metres."""
    mass_per_area = vertex_mass / (AREA_PER_VERTEX * edge_m**2)
    return mass_per_area * GRAVITY * bending_m**3 * edge_m / HINGE
