"""Everything that is handed out with a pattern, as files."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..errors import DraftError, OptionError
from ..garments.garment import Garment
from ..garments.options import drafted_by
from ..garments.wear import Wear
from ..pattern.pattern import Pattern
from ..units import format_length
from .block import block_size, title
from .dxf import pattern_dxf
from .guide import guide_pdf
from .imposition import impose
from .ink import DASHES
from .layout import Layout, Spread
from .layout_drawing import layout_png, layout_svg
from .layout_pieces import cut_lines, lay_pattern
from .own_write import plan_toml
from .page import Page
from .pdf import About, pdf_bytes
from .sheets import leaves
from .svg import pattern_svg
from .template import Size


@dataclass(frozen=True)
class Issue:
    """The files by name, on how many pages the pattern is printed, and each size's cutting layout by its label."""

    files: dict[str, bytes | str]
    pages: int
    laid: Mapping[str, Layout]


def issue(
    patterns: Sequence[tuple[str, Pattern]],
    garment: Garment,
    page: Page,
    unit: str = "mm",
    spread: Spread | None = None,
    wear: Wear | None = None,
) -> Issue:
    """pattern.pdf, .svg and .dxf, guide.pdf, for one size pattern.toml, and the cutting layouts.

    Parameters
    ----------
    patterns : sequence of (doll's name, Pattern)
        One, or the sizes of a set.
    unit : {"mm", "in"}
        Of the lengths on the pattern; the guide has both.
    spread : Spread, optional
        The cloth that it is cut from; without it there are no layouts.
    wear : Wear, optional
        How a drawing of the maker's own is worn.

    Raises
    ------
    OptionError
        For more sizes than can be told apart.
    DraftError
        A piece is too large for the cloth.
    """
    sizes = sizes_of(patterns, unit)
    laid = _laid(sizes, spread) if spread else {}
    imposed = impose(sizes, page, block_size(sizes), unit)
    printed = leaves(sizes, imposed, unit)
    labels = tuple(size.label for size in sizes)
    about = About(
        title=title(sizes, unit),
        subject=f"Sewing pattern of true scale, {len(printed)} pages {page.name}: print at 100 %",
        keywords=("sewing pattern", "doll", sizes[0].pattern.garment, *labels),
        sizes=labels if len(labels) > 1 else (),
    )
    files: dict[str, bytes | str] = {
        "pattern.pdf": pdf_bytes(printed, about),
        "pattern.svg": pattern_svg(sizes, unit),
        "pattern.dxf": pattern_dxf(sizes),
    }
    if len(sizes) == 1:
        files["pattern.toml"] = plan_toml(sizes[0].pattern, wear)
    # A drawing of the maker's own was not drafted by rules: how it lies on the table is not known.
    drafted = all(drafted_by(garment, size.pattern) for size in sizes)
    files["guide.pdf"] = guide_pdf(sizes, garment if drafted else None, page, unit, laid)
    name = patterns[0][0] if len(sizes) == 1 else sizes[0].pattern.garment
    return Issue({**files, **_layouts(laid, name, unit)}, len(printed), laid)


def _laid(sizes: Sequence[Size], spread: Spread) -> dict[str, Layout]:
    """Each size's pieces on the cloth."""
    found = {}
    for size in sizes:
        try:
            found[size.label] = lay_pattern(size.pattern, cut_lines(size.pattern), spread)
        except DraftError as error:
            raise (error.of(size.label) if len(sizes) > 1 else error) from None
    return found


def _layouts(laid: Mapping[str, Layout], name: str, unit: str) -> dict[str, bytes | str]:
    """layout.svg and .png, or for a set such as layout-270-mm.svg."""
    files: dict[str, bytes | str] = {}
    for label, layout in laid.items():
        many = len(laid) > 1
        stem = "-".join(["layout", *(re.findall("[A-Za-z0-9]+", label) if many else [])])
        heading = f"{name}, {label}" if many else name
        files |= {f"{stem}.svg": layout_svg(layout, heading, unit), f"{stem}.png": layout_png(layout, heading, unit)}
    return files


def sizes_of(patterns: Sequence[tuple[str, Pattern]], unit: str = "mm") -> list[Size]:
    """The sizes of a set from small to large, labelled by the doll's height, and its name where that is not enough."""
    if len(patterns) > len(DASHES):
        raise OptionError(f"{len(patterns)} sizes on one sheet cannot be told apart; give at most {len(DASHES)}")
    ordered = sorted(patterns, key=lambda one: one[1].measures.get("height", 0.0))
    labels = [_label(name, pattern, unit) for name, pattern in ordered]
    labels = [
        f"{label} {name}" if labels.count(label) > 1 else label
        for label, (name, _) in zip(labels, ordered, strict=True)
    ]
    labels = [f"{label} ({k + 1})" if labels.count(label) > 1 else label for k, label in enumerate(labels)]
    return [Size(label, pattern, k) for k, (label, (_, pattern)) in enumerate(zip(labels, ordered, strict=True))]


def _label(name: str, pattern: Pattern, unit: str) -> str:
    height = pattern.measures.get("height")
    return format_length(height, unit) if height else name
