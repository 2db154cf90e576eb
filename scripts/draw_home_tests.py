"""README's drawing of the two tests at home: weigh a square, slide a strip over the table's edge.

Run with the tests' packages: `.venv/bin/python -m scripts.draw_home_tests`. The strip hangs as the heavy elastica does.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from drafting.files import write_files
from drafting.pattern.raster import sheet_png
from drafting.pattern.sheet import Group, Lettering, Mark, Sheet, Stroke

from .laboratory.elastica import hanging

LETTER = 3.9
ANGLE_DEG = 41.5  # BS 3356, ASTM D1388
OVERHANG = 54.0
PICTURES = Path(__file__).parents[1] / "sample_meshes" / "pictures"


def text(words: str, x: float, y: float, *, anchor: str = "middle", bold: bool = False) -> Lettering:
    """A line of lettering."""
    return Lettering(words, np.array([x, y]), LETTER, anchor=anchor, bold=bold)


def line(*points: tuple[float, float], pen: str = "thin", closed: bool = False) -> Stroke:
    """Straight lines from point to point."""
    return Stroke(np.array(points), pen, closed)


def measured(a: tuple[float, float], b: tuple[float, float], tick: tuple[float, float]) -> list[Mark]:
    """A dimension line with a tick across each end."""
    across = np.array(tick)
    return [line(a, b), *(Stroke(np.array([np.array(end) - across, np.array(end) + across])) for end in (a, b))]


def square() -> list[Mark]:
    """The square that is weighed."""
    return [
        text("1  Weigh a square of cloth", 6, 8, anchor="start", bold=True),
        line((20, 26), (70, 26), (70, 76), (20, 76), pen="sew", closed=True),
        *measured((20, 20), (70, 20), (1.2, 1.2)),
        text("square 100 mm", 45, 16),
        *measured((14, 26), (14, 76), (1.2, 1.2)),
        text("square_g 0.8", 45, 48),
        text("grams", 45, 54),
    ]


def table() -> list[Mark]:
    """The strip over the table's edge, from the side."""
    edge = np.array([156.0, 34.0])
    strip = edge + OVERHANG * hanging(8.00420)  # (L / c)^3 at 41.5 degrees: twice the bending length hangs over
    out = 56.0
    down = out * np.tan(np.radians(ANGLE_DEG))
    arc = np.radians(np.linspace(0.0, ANGLE_DEG, 20))
    return [
        text("2  Slide a strip over the edge of a table", 90, 8, anchor="start", bold=True),
        line((90, 35.5), (156, 35.5), (156, 92), pen="sew"),
        Stroke(np.concatenate([[[112.0, 34.0]], strip]), "sew"),
        line((112, 31.5), (156, 31.5), (156, 33.2), (112, 33.2), closed=True),
        text("strip of 25 mm under a ruler,", 90, 20, anchor="start"),
        text("at first both end at the edge", 90, 26, anchor="start"),
        line(tuple(edge), (edge[0] + out, edge[1] + down), pen="dashed"),
        line(tuple(edge), (edge[0] + out, edge[1]), pen="centre"),
        Stroke(edge + 30.0 * np.column_stack([np.cos(arc), np.sin(arc)])),
        text("41.5 degrees", edge[0] + 33, edge[1] + 6, anchor="start"),
        *measured((edge[0], edge[1] + down + 5), (edge[0] + out, edge[1] + down + 5), (0.0, 1.5)),
        text("100 mm", edge[0] + out / 2, edge[1] + down + 9.5),
        *measured((edge[0] + out + 5, edge[1]), (edge[0] + out + 5, edge[1] + down), (1.5, 0.0)),
        Lettering("88.5 mm", np.array([edge[0] + out + 9.5, edge[1] + down / 2]), LETTER, angle=90.0),
        text("Push both on until the tip", 90, 46, anchor="start"),
        text("meets the slanting line.", 90, 52, anchor="start"),
        text("So far as they were pushed:", 90, 64, anchor="start"),
        text("overhang_warp 32 mm", 90, 70, anchor="start"),
        text("overhang_weft 28 mm", 90, 76, anchor="start"),
        text("Half of it is the", 90, 85, anchor="start"),
        text("bending length.", 90, 91, anchor="start"),
    ]


def main() -> None:
    """Writes sample_meshes/pictures/home_tests.png."""
    groups = (Group("square", tuple(square())), Group("table", tuple(table())))
    sheet = Sheet(230.0, 100.0, LETTER, "Two tests at home", groups)
    write_files(PICTURES, {"home_tests.png": sheet_png(sheet, 1400)})


if __name__ == "__main__":
    main()
