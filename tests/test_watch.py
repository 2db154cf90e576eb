"""What is refused before a drape: a sleeve that cannot go over the arm."""

from __future__ import annotations

from pathlib import Path

import bpy  # noqa: F401  Blender's own modules are there only with it
import pytest

from addon.drape import drape
from addon.road import body_of, pattern_of
from addon.watch import NARROWEST, refuse_narrow
from drafting.cloth.fabric import LAWN
from drafting.errors import DrapeError
from drafting.garments import ROBE

SAMPLE = Path(__file__).parent.parent / "sample_meshes" / "quarter_curvy.glb"


@pytest.mark.parametrize("off_mm", [-0.1, 0.1])
def test_a_sleeve_narrower_than_the_arm_is_told_before_any_work(off_mm):
    """Folded, it is half as deep as it is round; what the cloth may stretch is allowed for."""
    body = body_of(SAMPLE)
    drop = 0.5 * NARROWEST * body.measures["upper_arm_girth"].mm + off_mm
    pattern = pattern_of(body, ROBE, {"sleeve_drop": f"{drop:.3f}mm"})
    if off_mm > 0.0:
        refuse_narrow(pattern, body)
        return
    with pytest.raises(DrapeError, match="cannot be put on"):
        next(drape(body, pattern, ROBE, LAWN))
