"""Everything that is handed out with a pattern, as files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..errors import OptionError
from ..garments.garment import Garment
from ..pattern.pattern import Pattern
from ..units import format_length
from .block import block_size, title
from .dxf import pattern_dxf
from .guide import guide_pdf
from .imposition import impose
from .ink import DASHES
from .layout import Layout
from .page import Page
from .pdf import About, pdf_bytes
from .sheets import leaves
from .svg import pattern_svg
from .template import Size


@dataclass(frozen=True)
class Issue:
    """The files by name, and on how many pages the pattern is printed."""

    files: dict[str, bytes | str]
    pages: int


def issue(
    patterns: Sequence[tuple[str, Pattern]],
    garment: Garment,
    page: Page,
    unit: str = "mm",
    laid: Mapping[str, Layout] | None = None,
) -> Issue:
    """pattern.pdf, pattern.svg, pattern.dxf, and guide.pdf for a drafted pattern.

    Parameters
    ----------
    patterns : sequence of (doll's name, Pattern)
        One, or the sizes of a set.
    unit : {"mm", "in"}
        Of the lengths on the pattern; the guide has both.
    laid : mapping of str to Layout, optional
        The cutting layout of each size by its label: the guide then says how much cloth to buy.

    Raises
    ------
    OptionError
        For more sizes than can be told apart.
    """
    sizes = sizes_of(patterns, unit)
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
    # A drawing of the maker's own was not drafted with options: how it is put together and worn is hers to say.
    if all(size.pattern.measures for size in sizes):
        files["guide.pdf"] = guide_pdf(sizes, garment, page, unit, laid)
    return Issue(files, len(printed))


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
