"""Pages as a PDF file (ISO 32000-1) of true scale, with layers, searchable text and a description."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import pydyf

from ..pattern.panel import FloatArray
from ..units import MM_PER_INCH
from .font import CAPITAL, NAMES, encoded
from .ink import LAYERS, PENS, Ink, Line, Words

POINTS_PER_MM = 72.0 / MM_PER_INCH
HAIR = 1e-4  # mm: numbers are written to this


@dataclass(frozen=True)
class Patch:
    """Inks on a page, shown only within a window.

    Attributes
    ----------
    inks : tuple of Ink
        mm from the page's lower left corner.
    window : (2, 2) float or None
        Lower left and upper right corner of what is shown; None: all.
    """

    inks: tuple[Ink, ...]
    window: FloatArray | None = None


@dataclass(frozen=True)
class Leaf:
    """One page: its width and height in mm, and what is on it."""

    width: float
    height: float
    patches: tuple[Patch, ...]


@dataclass(frozen=True)
class About:
    """The description that a PDF reader shows.

    Attributes
    ----------
    sizes : tuple of str
        In a set, one layer each, so that a size can be shown alone.
    """

    title: str
    subject: str
    keywords: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()
    layered: bool = True


@dataclass
class _Layers:
    """Optional content groups (ISO 32000-1, 8.11) and the names that pages know them by."""

    groups: dict[str, pydyf.Dictionary] = field(default_factory=dict)

    def name(self, layer: str) -> str:
        return f"L{list(self.groups).index(layer)}"


def pdf_bytes(leaves: Sequence[Leaf], about: About) -> bytes:
    """The PDF file; the same pages give the same bytes.

    Layers can be switched on and off apart: one for each kind of line, and in a set one for each size. A line is
    shown where both its own layers are on.
    """
    pdf = pydyf.PDF()
    layers = _add_layers(pdf, about)
    resources = _add_resources(pdf, layers)
    for leaf in leaves:
        stream = pydyf.Stream(compress=True)
        _draw(stream, leaf, layers)
        pdf.add_object(stream)
        pdf.add_page(
            pydyf.Dictionary(
                {
                    "Type": "/Page",
                    "Parent": pdf.pages.reference,
                    "MediaBox": pydyf.Array([0, 0, leaf.width * POINTS_PER_MM, leaf.height * POINTS_PER_MM]),
                    "Contents": stream.reference,
                    "Resources": resources.reference,
                }
            )
        )
    # No reader that keeps to ISO 32000-1, 12.2 scales these pages when printing.
    pdf.catalog["ViewerPreferences"] = pydyf.Dictionary({"PrintScaling": "/None", "DisplayDocTitle": "true"})
    pdf.catalog["Lang"] = pydyf.String("en")
    pdf.info["Title"] = pydyf.String(about.title)
    pdf.info["Subject"] = pydyf.String(about.subject)
    pdf.info["Keywords"] = pydyf.String(", ".join(about.keywords))
    pdf.info["Creator"] = pydyf.String("Pocket Toile")
    held = io.BytesIO()
    pdf.write(held, version=b"1.7", identifier=True)
    return held.getvalue()


def _add_layers(pdf: pydyf.PDF, about: About) -> _Layers:
    layers = _Layers()
    if not about.layered:
        return layers
    for layer in (*LAYERS, *about.sizes):
        title = layer if layer in LAYERS else f"Size {layer}"
        group = pydyf.Dictionary({"Type": "/OCG", "Name": pydyf.String(title)})
        pdf.add_object(group)
        layers.groups[layer] = group
    references = [group.reference for group in layers.groups.values()]
    shown = pydyf.Dictionary(
        {
            "Name": pydyf.String("All"),
            "BaseState": "/ON",
            "ON": pydyf.Array(references),
            "Order": pydyf.Array(references),
        }
    )
    pdf.catalog["OCProperties"] = pydyf.Dictionary({"OCGs": pydyf.Array(references), "D": shown})
    return layers


def _add_resources(pdf: pydyf.PDF, layers: _Layers) -> pydyf.Dictionary:
    fonts = {}
    for bold, name in NAMES.items():
        font = pydyf.Dictionary(
            {"Type": "/Font", "Subtype": "/Type1", "BaseFont": f"/{name}", "Encoding": "/WinAnsiEncoding"}
        )
        pdf.add_object(font)
        fonts[_font(bold)] = font.reference
    names = {layers.name(layer): group.reference for layer, group in layers.groups.items()}
    resources = pydyf.Dictionary({"Font": pydyf.Dictionary(fonts), "Properties": pydyf.Dictionary(names)})
    pdf.add_object(resources)
    return resources


def _font(bold: bool) -> str:
    return "FB" if bold else "FP"


def _draw(stream: pydyf.Stream, leaf: Leaf, layers: _Layers) -> None:
    stream.set_matrix(POINTS_PER_MM, 0, 0, POINTS_PER_MM, 0, 0)
    stream.set_line_join(1)
    for patch in leaf.patches:
        stream.push_state()
        if patch.window is not None:
            (x0, y0), (x1, y1) = patch.window.tolist()
            stream.rectangle(x0, y0, x1 - x0, y1 - y0)
            stream.clip()
            stream.end()
        for ink in (ink for ink in patch.inks if _shown(ink, patch.window)):
            marks = [mark for mark in (ink.layer, ink.size) if mark in layers.groups]
            for mark in marks:
                stream.begin_marked_content("OC", f"/{layers.name(mark)}")
            if isinstance(ink, Line):
                _draw_line(stream, ink)
            else:
                _draw_words(stream, ink)
            for _ in marks:
                stream.end_marked_content()
        stream.pop_state()


def _shown(ink: Ink, window: FloatArray | None) -> bool:
    if window is None:
        return True
    low, high = ink.extent
    return bool((low < window[1] + 1).all() and (high > window[0] - 1).all())


def _draw_line(stream: pydyf.Stream, line: Line) -> None:
    width, dashes = PENS[line.pen]
    stream.set_line_width(width)
    stream.set_dash([float(dash) for dash in dashes], 0)
    if line.grey is not None:
        stream.set_color_rgb(line.grey, line.grey, line.grey)
    for i, (x, y) in enumerate((np.round(line.points / HAIR) * HAIR).tolist()):
        (stream.line_to if i else stream.move_to)(x, y)
    if line.closed:
        stream.close()
    if line.grey is None:
        stream.stroke()
    elif line.grey == 0.0:
        stream.fill()
    else:
        stream.fill_and_stroke()


def _draw_words(stream: pydyf.Stream, words: Words) -> None:
    start = {"start": 0.0, "middle": -0.5, "end": -1.0}[words.anchor] * words.width
    cos, sin = math.cos(math.radians(words.angle)), math.sin(math.radians(words.angle))
    down = -CAPITAL / 2 * words.height
    x, y = words.at[0] + cos * start - sin * down, words.at[1] + sin * start + cos * down
    stream.begin_text()
    stream.set_color_rgb(0, 0, 0)
    stream.set_font_size(_font(words.bold), words.height)
    stream.set_text_matrix(cos, sin, -sin, cos, float(x), float(y))
    stream.stream.append(b"<" + encoded(words.text).hex().encode() + b"> Tj")
    stream.end_text()
