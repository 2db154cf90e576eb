"""How a garment lies round the flattened doll before the first frame."""

from __future__ import annotations

from pathlib import Path

import pytest

from addon.dressing import Timetable
from addon.laying import lay_out
from addon.poses import swelling
from addon.road import body_of, pattern_of
from addon.sewing import assemble
from drafting.cloth.crossing import crossing_pairs
from drafting.garments import GARMENTS

ROBE = GARMENTS["robe"]


@pytest.fixture(scope="module", params=["sixth_curvy", "quarter_curvy", "third_slim"])
def body(request):
    return body_of(Path(__file__).parent.parent / "sample_meshes" / f"{request.param}.glb")


@pytest.mark.parametrize("edges", [60, 36, 30])
@pytest.mark.parametrize("drop", [0.15, 0.28])
@pytest.mark.parametrize("fronts", ["left over right", "right over left"])
def test_no_cloth_starts_inside_other_cloth(body, fronts, drop, edges):
    """Once two cloths cross, the solver does not part them again."""
    pattern = pattern_of(body, ROBE, {"fronts": fronts, "sleeve_drop": f"{drop * body.height_mm:.1f}mm"})
    assembly = assemble(pattern, ROBE, body.height_mm / edges)
    flattened = swelling(body, Timetable().sewn, Timetable().swollen)[0][1]
    (loose,), start = lay_out(body, pattern, ROBE, assembly, flattened)
    assert len(loose) == len(start)
    assert len(crossing_pairs(start, assembly.faces)) == 0
