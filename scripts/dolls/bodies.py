"""The sample dolls as meshes in millimetres: z up, facing -y, left hand at +x, soles at z = 0."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np

from .anatomy import body
from .field import FloatArray
from .forms import Form
from .lens import Lens
from .meshing import IntArray, mesh

BOUNDS = np.array([[-0.44, -0.14, -0.01], [0.44, 0.13, 1.01]])  # shares of the height
CELL = 1 / 500
VERTICES = 14_000


def lenses(form: Form) -> tuple[Lens, Lens]:
    """Face and hands deserve finer triangles than their size asks."""
    reach = radians(form.arm_below_level)
    wrist = form.shoulder_half + cos(reach) * (form.upper_arm + form.forearm)
    level = form.shoulder - sin(reach) * (form.upper_arm + form.forearm)
    return (
        Lens(axis=2, start=form.neck_base, full=form.chin + 0.03, zoom=2.4, centre=(0.0, -0.03, 0.0)),
        Lens(axis=0, start=wrist - 0.02, full=wrist + 0.02, zoom=1.8, centre=(0.0, 0.008, level)),
    )


def doll(form: Form, cell: float = CELL, vertices: int = VERTICES) -> tuple[FloatArray, IntArray]:
    """One doll: vertices (n, 3) in mm and faces (m, 3), counter-clockwise seen from outside."""
    points, faces = mesh(body(form), BOUNDS, cell, vertices, lenses(form))
    return points * form.height_mm, faces
