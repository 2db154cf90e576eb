"""The pattern as DXF for cutters: one block a piece, layers as ASTM D6673-10 lists them.

The layer numbers and what lies on them are those of secondary listings of the withdrawn standard (see LAYERS): layer 4
holds V and slit notches, 13 drill holes, turn and curve points stand for the lines of layers 1, 8, 11 and 14. That a
notch and a drill hole are points, at the cut line and at the tie, and the wording of the texts inside a block are from
memory; no source that shows the clause itself was found. All pieces are whole and at their true size in millimetres.
Texts are 7-bit ASCII, as the standard asks: https://ezdxf.readthedocs.io/en/stable/addons/gerber_D6673.html.
"""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import numpy as np

from ..pattern.inner import inner_lines, tie_points
from ..pattern.panel import FloatArray, Panel
from .allowance import allowances_of, cut_line
from .halves import fold_of
from .notches import notches_of
from .template import Size, cut_words

# https://www.scribd.com/document/598343766, https://123docz.net/document/13358179-astm-d-6673-10.htm
LAYERS = {
    "boundary": "1",
    "turn points": "2",
    "curve points": "3",
    "notches": "4",
    "mirror line": "6",
    "grain line": "7",
    "internal lines": "8",
    "drill holes": "13",
    "sew lines": "14",
    "text": "15",
}
GAP_MM = 20.0
TEXT_MM = 4.0
LONGEST_NAME = 31  # letters, in release 12


def pattern_dxf(sizes: Sequence[Size]) -> str:
    """The DXF text (release 12, ASCII); in a set every size has blocks of its own."""
    import ezdxf  # heavy, and only needed here

    with _undated(ezdxf):
        # Release 12 knows no units: a drawing unit is 1 mm.
        document = ezdxf.new("R12", units=0)
        document.header["$MEASUREMENT"] = 1  # metric
        for number in LAYERS.values():
            document.layers.add(number)
        sheet, x, taken = document.modelspace(), 0.0, set[str]()
        for size in sizes:
            for panel in size.pattern.panels:
                cut = cut_line(panel, allowances_of(size.pattern, panel))
                name = _unlike(block_name(panel, size, many=len(sizes) > 1), taken)
                _fill(document.blocks.new(name), panel, size, cut)
                sheet.add_blockref(name, (x - float(cut[:, 0].min()), 0.0), dxfattribs={"layer": LAYERS["boundary"]})
                x += float(np.ptp(cut[:, 0])) + GAP_MM
        held = io.StringIO()
        document.write(held)
    return held.getvalue()


@contextmanager
def _undated(ezdxf: Any) -> Iterator[None]:
    """No date in the file, so that the same pattern gives the same bytes; and no word about units, which we know."""
    log = logging.getLogger("ezdxf")
    level, dated = log.level, ezdxf.options.write_fixed_meta_data_for_testing
    log.setLevel(logging.ERROR)
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        log.setLevel(level)
        ezdxf.options.write_fixed_meta_data_for_testing = dated


def block_name(panel: Panel, size: Size, *, many: bool) -> str:
    """Such as "BACK", or in a set "BACK_270_MM": R12 names have capitals, digits and few signs."""
    name = f"{panel.name}_{size.label}" if many else panel.name
    return "".join(c if c.isascii() and c.isalnum() else "_" for c in name.upper())[:LONGEST_NAME]


def _unlike(name: str, taken: set[str]) -> str:
    """The name, with a number where it is taken: two panels' names may differ in what R12 cannot write."""
    tries = (name, *(f"{name[: LONGEST_NAME - 4]}_{k}" for k in range(2, 1000)))
    taken.add(found := next(one for one in tries if one not in taken))
    return found


def _fill(block: Any, panel: Panel, size: Size, cut: FloatArray) -> None:
    pattern = size.pattern
    for layer, outline in (("boundary", cut), ("sew lines", panel.outline)):
        block.add_polyline2d(outline.tolist(), close=True, dxfattribs={"layer": LAYERS[layer]})
    for layer, points in _marks(panel, size):
        for point in points:
            block.add_point(point.tolist(), dxfattribs={"layer": LAYERS[layer]})
    block.add_line(*panel.grain.tolist(), dxfattribs={"layer": LAYERS["grain line"]})
    for _, line in inner_lines(panel, pattern):
        block.add_line(*line.tolist(), dxfattribs={"layer": LAYERS["internal lines"]})
    fold = fold_of(panel)
    if fold is not None:
        other = 1 - fold.axis
        ends = np.full((2, 2), fold.level)
        ends[:, other] = panel.outline[:, other].min(), panel.outline[:, other].max()
        block.add_line(*ends.tolist(), dxfattribs={"layer": LAYERS["mirror line"]})
    lines = (f"Piece Name: {panel.name}", f"Size: {size.label}", f"Quantity: {panel.cut}", cut_words(panel))
    at = panel.grain.mean(axis=0)
    for k, text in enumerate(lines):
        where = (float(at[0]) + 2, float(at[1]) - 1.5 * TEXT_MM * k)
        layer = LAYERS["text"] if k == 3 else LAYERS["boundary"]
        text = text.encode("ascii", "replace").decode()
        block.add_text(text, height=TEXT_MM, dxfattribs={"layer": layer, "insert": where})


def _marks(panel: Panel, size: Size) -> Iterator[tuple[str, list[FloatArray]]]:
    """Points, by layer."""
    corners = [edge.points[0] for edge in panel.edges]
    along = [point for edge in panel.edges for point in edge.points[1:-1]]
    notches = notches_of(size.pattern, panel, allowances_of(size.pattern, panel))
    yield "turn points", corners
    yield "curve points", along
    yield "notches", [notch.at for notch in notches]
    yield "drill holes", tie_points(panel, size.pattern)
