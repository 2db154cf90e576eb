"""The guide that goes with a pattern: what is needed, sizes, cutting list, sewing order, care and cautions."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from ..garments.garment import Garment
from ..pattern.curve import signed_area
from ..pattern.pattern import Pattern
from ..units import format_length
from ..words import plain
from .allowance import allowances_of, cut_line
from .block import title
from .figures import step_figure
from .flow import Flow
from .halves import fold_of
from .layout import Layout
from .page import PAGES, Page
from .pdf import About, pdf_bytes
from .purchase import purchase, yards_text
from .steps import steps_of
from .template import Size

FIGURE_MM = 44.0
ABREAST = 3  # sizes in one table
THREAD = 3.0  # metres of thread for a metre of seam or hem, both sides and the ends: common practice, no source
DRAFTED = (  # of a garment's drafted sizes, those that a finished garment is measured by
    "length",
    "back_width",
    "front_width",
    "overlap",
    "sleeve_width",
    "sleeve_drop",
    "armhole",
    "wrist_opening",
    "band_width",
    "sash_width",
    "sash_length",
)


def guide_pdf(
    sizes: Sequence[Size],
    garment: Garment | None,
    page: Page,
    unit: str = "mm",
    laid: Mapping[str, Layout] | None = None,
) -> bytes:
    """The guide as a PDF, on Letter where the pattern is, else on A4; lengths in mm and in inches.

    Parameters
    ----------
    garment : Garment or None
        Which knows how the pieces lie on the table; None for panels that the maker drew, which have no doll's sizes.
    laid : mapping of str to Layout, optional
        The cutting layout of each size by its label.
    """
    paper = page if page.name in ("A4", "Letter") else Page("A4", *PAGES["A4"])
    name = title(sizes, unit)
    flow = Flow(paper, name)
    flow.heading(name, 1)
    flow.text(
        "Read everything once before you cut. The pieces carry their allowances: cut on the thick line, sew on the "
        "dashed one. All lengths are given in millimetres and in inches to the sixteenth."
    )
    if all(size.pattern.measures for size in sizes):
        _sizes(flow, sizes)
    _needs(flow, sizes, laid or {})
    _cutting(flow, sizes)
    _order(flow, sizes[0].pattern, garment, unit)
    _care(flow, sizes[0].pattern)
    _cautions(flow)
    about = About(
        f"{name}: guide",
        "Sizes, cutting list and sewing order",
        (sizes[0].pattern.garment, "doll", "guide"),
        layered=False,
    )
    return pdf_bytes(flow.leaves(), about)


def cutting_list(sizes: Sequence[Size]) -> list[tuple[str, str, str, str]]:
    """Rows of piece, how many, width by height in mm, and in inches, allowances included."""
    rows = []
    for size in sizes:
        for panel in sorted(size.pattern.panels, key=lambda one: one.order):
            wide, high = np.ptp(cut_line(panel, allowances_of(size.pattern, panel)), axis=0).tolist()
            name = f"{panel.order}  {panel.name}" + (f", {size.label}" if len(sizes) > 1 else "")
            rows.append((name, panel.count, _by(wide, high, "mm"), _by(wide, high, "in")))
    return rows


def _by(wide: float, high: float, unit: str) -> str:
    return f"{format_length(wide, unit).removesuffix(f' {unit}')} x {format_length(high, unit)}"


def _sizes(flow: Flow, sizes: Sequence[Size]) -> None:
    flow.heading("Which doll it fits")
    flow.text(
        "Measure your doll with a tape, without clothes: girths level and close, bust and hip where they are widest."
    )
    measures = list(dict.fromkeys(name for size in sizes for name in size.pattern.measures))
    for some in _abreast(sizes):
        bodies = [dict(size.pattern.measures) for size in some]
        flow.table(_rows("body measure", measures, bodies, some, len(sizes)), _shares(some))
    flow.heading("Finished measures", keep=30)
    for some in _abreast(sizes):
        drafted = [{rule.name: rule.mm for rule in size.pattern.rules} for size in some]
        names = [name for name in DRAFTED if any(one.get(name) for one in drafted)]
        flow.table(_rows("of the sewn garment", names, drafted, some, len(sizes)), _shares(some))


def _abreast(sizes: Sequence[Size]) -> list[Sequence[Size]]:
    """Sizes that stand in one table."""
    return [sizes[k : k + ABREAST] for k in range(0, len(sizes), ABREAST)]


def _rows(
    head: str, names: Sequence[str], values: Sequence[dict[str, float]], sizes: Sequence[Size], of: int
) -> list[list[str]]:
    """A table's rows: a measure a row, mm and inches a size; `of` sizes there are in the set."""
    heads = ["mm", "in"] if of == 1 else [text for size in sizes for text in (size.label, "in")]
    rows = [[head, *heads]]
    for name in names:
        cells = []
        for one in values:
            mm = one.get(name)
            cells += ["-", "-"] if mm is None else [format_length(mm).removesuffix(" mm"), format_length(mm, "in")]
        rows.append([plain(name), *cells])
    return rows


def _shares(sizes: Sequence[Size]) -> list[float]:
    return [2.2, *([1.0, 1.0] * len(sizes))]


def _needs(flow: Flow, sizes: Sequence[Size], laid: Mapping[str, Layout]) -> None:
    flow.heading("What you need")
    for size in sizes:
        pattern = size.pattern
        area = sum(panel.cut * signed_area(cut_line(panel, allowances_of(pattern, panel))) for panel in pattern.panels)
        sewn = sum(edge.length * panel.cut for panel in pattern.panels for edge in panel.edges) / 1000
        which = f"For {size.label}: light" if len(sizes) > 1 else "Light"
        flow.text(
            f"{which} woven cloth such as lawn, washed and pressed: {_to_buy(laid.get(size.label))}. The pieces alone "
            f"cover {area / 1e6:.3f} m². About {math.ceil(sewn * THREAD)} m of thread"
            + (f", and {len(pattern.ties)} small snaps or pairs of thin ribbon." if pattern.ties else "."),
            bullet=True,
        )
    flow.text(
        "A fine needle (60 or 70), fine pins or clips, a tape, cloth scissors, paper scissors and glue, an iron.",
        bullet=True,
    )


def _to_buy(layout: Layout | None) -> str:
    """How much cloth, in both units."""
    if layout is None:
        return "the cutting layout says how much to buy"
    bought = purchase(layout)
    if bought.sheets:
        return f"{bought.words('mm')} ({bought.words('in')})"
    across = f"{format_length(bought.width)} ({format_length(bought.width, 'in')})"
    return f"{bought.metres:.1f} m or {yards_text(bought.yards)} yd of cloth {across} wide, laid as the layout shows"


def _cutting(flow: Flow, sizes: Sequence[Size]) -> None:
    flow.heading("Cutting list", keep=40)
    flow.text(
        "The arrow lies along the selvedge. For mirrored pieces cut two layers, right sides facing, or turn the paper "
        "over."
    )
    rows = [("piece", "cut", "width x height", ""), *cutting_list(sizes)]
    flow.table(rows, [1.6, 1.1, 1.2, 1.4])
    folded = [panel.name for panel in sizes[0].pattern.panels if fold_of(panel) is not None]
    if folded:
        flow.text(
            f"The same on both sides of a fold: {', '.join(folded)}. Where the paper shows only half of a piece, lay "
            "its broken edge on the folded cloth."
        )


def _order(flow: Flow, pattern: Pattern, garment: Garment | None, unit: str) -> None:
    flow.heading("Sewing order", keep=70)
    flow.text(
        "Stitches of 1.5 to 2 mm. Secure both ends of every seam. In the drawings the edges to be sewn or turned are "
        "thick, equal letters meet" + ("; beside them the garment as it lies on the table by then." if garment else ".")
    )
    steps = steps_of(pattern, unit)
    for number, step in enumerate(steps):
        flow.heading(f"{number + 1}. {step.title}", 3, keep=FIGURE_MM + 18)
        flow.text(step.text)
        figure = step_figure(pattern, garment, steps, number)
        if figure:
            flow.drawing(figure, FIGURE_MM)


def _care(flow: Flow, pattern: Pattern) -> None:
    flow.heading("Pressing and hemming", keep=30)
    for text in (
        "Press every seam before you cross it with another: first flat as it was sewn, then open over the edge of a "
        "ruler or a wooden stick.",
        "Neaten raw edges that will fray with a narrow zigzag, by hand, or with a line of seam sealant tried on a "
        "scrap.",
        "Crease a hem along its sew line with the iron before you turn the raw edge under: at this size a fold that "
        "was pressed holds better than one that was pinned.",
        "Where a hem meets a seam, trim the allowances inside the hem to half their width.",
    ):
        flow.text(text, bullet=True)
    closing = "Lay the fronts over one another as the pattern says, close the ties" if pattern.ties else "Close it"
    sashed = any(panel.role == "sash" for panel in pattern.panels)
    tying = ", then wind the sash round the waist with its middle at the front, and knot it behind" if sashed else ""
    flow.heading("Dressing the doll", keep=30)
    for text in (
        "Take the hands off if they come off, or cover them with a small bag of thin plastic, so that fingers do not "
        "catch.",
        f"Put in the arm that bends least first. {closing}{tying}.",
        "Dark or freshly dyed cloth stains a doll's skin for good: wash it until the water stays clear, and put a "
        "thin white layer beneath it.",
    ):
        flow.text(text, bullet=True)


def _cautions(flow: Flow) -> None:
    flow.heading("Cautions", keep=30)
    for text in (
        "Needles, pins and scissors hurt: count the pins back into their box, and keep all three from children and "
        "animals.",
        "An iron burns skin, and melts a doll's: press the cloth, never on the doll, and unplug the iron when you "
        "leave it.",
        "Snaps, beads and a doll's hands are small parts that a child can swallow, and ribbons can be wound round a "
        "neck. This garment is for collectors' dolls; whoever makes it for children, or sells it, must meet the rules "
        "for toys of the place where it is sold.",
        "Print the pattern at 100 % and measure the test squares before you cut good cloth. Sew a trial in cheap "
        "cloth first.",
    ):
        flow.text(text, bullet=True)
