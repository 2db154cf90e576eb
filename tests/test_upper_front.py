"""Which front lies uppermost, read from where the cloth is."""

from __future__ import annotations

import bpy  # noqa: F401  Blender's own modules are there only with it
import numpy as np
import pytest
from robes import draft

from addon.drape import upper_front
from addon.sewing import assemble
from drafting.garments import ROBE


@pytest.mark.parametrize("upper", ["left", "right"])
@pytest.mark.parametrize("options", [{}, {"back": "fold"}, {"overlap_joined": False}], ids=str)
def test_the_front_before_the_other(options, upper):
    """Two fronts laid flat upon each other, each with its overlap past the centre; the back is no front."""
    assembly = assemble(draft(options), ROBE, 15.0)
    names = np.array([piece.name for piece in assembly.pieces])[assembly.piece]
    x = np.where(np.char.endswith(names, ".left"), 1.0, -1.0) * assembly.flat[:, 0]
    ahead = np.where(np.char.endswith(names, f".{upper}"), -1.0, 0.0)
    found = upper_front(assembly, np.column_stack([x, ahead, assembly.flat[:, 1]]))
    assert found.endswith(f".{upper}")
