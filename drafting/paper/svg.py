"""The pattern as one SVG drawing of true size: a group for each panel, in it a group for each layer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from ..pattern.panel import FloatArray
from .block import title
from .font import CAPITAL
from .ink import CUT, LAYERS, PENS, SEW, Ink, Line, Words
from .template import Size, Template, templates

ROOM_MM = 10.0  # between the panels, and round all of them
WHOLE = np.array([np.inf, np.inf])


def pattern_svg(sizes: Sequence[Size], unit: str = "mm") -> str:
    """All panels whole, side by side, 1 unit = 1 mm, y downwards.

    A panel's group has its name as id. In it the layer groups have ids such as "back.cut-lines", or in a set
    "back.cut-lines.270-mm"; each holds closed paths, of which the first is the outline.
    """
    drawn = templates(sizes, WHOLE, unit)
    wide = sum(float(np.ptp(one.extent[:, 0])) + ROOM_MM for one in drawn) + ROOM_MM
    high = max(float(np.ptp(one.extent[:, 1])) for one in drawn) + 2 * ROOM_MM
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.4f}mm" height="{high:.4f}mm" '
            f'viewBox="0 0 {wide:.4f} {high:.4f}">',
            f"<title>{escape(title(sizes, unit))}</title>",
            '<g fill="none" stroke="black" stroke-linejoin="round" font-family="Helvetica, Arial, sans-serif">',
            *_panels(drawn),
            "</g>",
            "</svg>\n",
        ]
    )


def _panels(drawn: Sequence[Template]) -> Iterator[str]:
    x = ROOM_MM
    for one in drawn:
        low, high = one.extent
        shift = np.array([x - low[0], ROOM_MM + high[1]])  # subtracting y turns it downwards
        yield f"<g id={quoteattr(one.name)}>"
        for layer in LAYERS:
            for size in dict.fromkeys(ink.size for ink in one.inks if ink.layer == layer):
                name = ".".join(part.lower().replace(" ", "-") for part in (one.name, layer, size) if part)
                yield f"<g id={quoteattr(name)} class={quoteattr(layer)}>"
                yield from (_drawn(ink, shift) for ink in one.inks if (ink.layer, ink.size) == (layer, size))
                yield "</g>"
        yield "</g>"
        x += float(high[0] - low[0]) + ROOM_MM


def _drawn(ink: Ink, shift: FloatArray) -> str:
    return _line(ink, shift) if isinstance(ink, Line) else _words(ink, shift)


def _line(line: Line, shift: FloatArray) -> str:
    width, dashes = PENS[line.pen]
    points = " ".join(f"{x:.4f},{y:.4f}" for x, y in shift + line.points * [1, -1])
    look = f' stroke-width="{width:g}"' + (f' stroke-dasharray="{" ".join(map(str, dashes))}"' if dashes else "")
    if line.grey is not None:
        shade = f"{round(255 * line.grey):02x}" * 3
        look += f' fill="#{shade}"' + (' stroke="none"' if line.grey == 0 else "")
    kind = f" class={quoteattr('outline')}" if line.closed and line.grey is None and line.layer in (CUT, SEW) else ""
    return f'<{"polygon" if line.closed else "polyline"}{kind} points="{points}"{look}/>'


def _words(words: Words, shift: FloatArray) -> str:
    x, y = shift + words.at * [1, -1]
    turn = f' transform="rotate({-words.angle:g} {x:.4f} {y:.4f})"' if words.angle else ""
    bold = ' font-weight="bold"' if words.bold else ""
    return (
        f'<text x="{x:.4f}" y="{y:.4f}" dy="{CAPITAL / 2 * words.height:.3f}" font-size="{words.height:g}" '
        f'text-anchor="{words.anchor}" fill="black" stroke="none"{bold}{turn}>{escape(words.text)}</text>'
    )
