"""README's picture of cloth at scale: the same robe in a limp and a stiff cloth, on the sixth and the third scale doll.

Run with the tests' packages: `.venv/bin/python -m scripts.picture_fabrics`; about a minute for each of the four drapes.
Each is kept in .cache, so that a picture can be taken again.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from addon import keep
from addon.album import INK, Cloth, on_wall, png, shown
from addon.bridge import Pixels
from addon.drape import drape
from addon.lettering import lettered
from addon.steps import finish
from addon.studio.stage import WALL, Doll, View, framing
from drafting.body.body import Body
from drafting.body.doll import read_doll
from drafting.cloth.draped import Draped
from drafting.cloth.fabric import FABRICS, Fabric
from drafting.files import write_files
from drafting.fit.stiffness import read_stiffness
from drafting.garments import GARMENTS
from drafting.garments.robe_ease import ADULT_HEIGHT_MM

ROOT = Path(__file__).parents[1]
DOLLS = {"1/6": ("sixth_curvy.glb", 270.0), "1/3": ("third_slim.glb", 600.0)}  # scan and height, mm
CLOTHS = {"habotai": (0.62, 0.30, 0.34), "denim": (0.20, 0.28, 0.42)}
SIZE = 420  # pixels a doll


def dressed(doll: str, fabric: Fabric) -> tuple[Body, Draped, float]:
    """The doll, its robe in that fabric, and the robe's length, mm; draped once and kept."""
    name, height = DOLLS[doll]
    body = read_doll(ROOT / "sample_meshes" / name, height_mm=height)
    robe = GARMENTS["robe"]
    pattern = robe.draft({name: measure.mm for name, measure in body.measures.items()}, {})
    length = next(rule.mm for rule in pattern.rules if rule.name == "length")
    kept = ROOT / ".cache" / f"robe_{name.removesuffix('.glb')}_{fabric.name}.toile"
    if not kept.is_file():
        draped = finish(drape(body, pattern, robe, fabric))
        print(
            f"{doll} {fabric.name}: {draped.frames} frames, {draped.solver_seconds:.0f} s, "
            f"{draped.speed_p99_mm_s:.1f} mm/s, edge {draped.edge_mm:.1f} mm"
        )
        kept.parent.mkdir(exist_ok=True)
        write_files(kept.parent, {kept.name: keep.pack(draped)})
    return body, keep.unpack(kept.read_bytes()), length


def picture(doll: str, fabric: Fabric) -> Pixels:
    """One doll from the front, with its lines of text below."""
    body, draped, length = dressed(doll, fabric)
    cloth = Cloth(CLOTHS[fabric.name], fabric.thickness_mm)
    figure = Doll(body.skin.vertices, body.skin.faces, draped.cloth, cloth.dress(draped.cloth))
    centre, span = framing([figure])
    with shown(figure) as stage:
        shot = on_wall(stage.shoot(View(0.0, centre, span), SIZE, SIZE))
    stiffness = read_stiffness(fabric, length, body.height_mm / ADULT_HEIGHT_MM)
    lines = [
        f"{fabric.name} on a {doll} doll of {body.height_mm:.0f} mm",
        f"bending length {fabric.bending_mm:.0f} mm: {100 * stiffness.over_size:.0f} % of the robe's length",
    ]
    return np.concatenate([shot, lettered(lines, SIZE, SIZE // 8, INK, WALL)])


def main() -> None:
    """Drapes what is not kept yet and writes sample_meshes/pictures/fabrics.png."""
    shots = [picture(doll, FABRICS[name]) for doll in DOLLS for name in CLOTHS]
    write_files(ROOT / "sample_meshes" / "pictures", {"fabrics.png": png(np.concatenate(shots, axis=1))})


if __name__ == "__main__":
    main()
