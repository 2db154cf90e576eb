"""The report of a fit: one page that holds all it shows."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Mapping, Sequence
from html import escape

from ..body.body import Body
from ..pattern.pattern import Pattern
from ..units import format_length
from ..words import plain, reason, title
from .fit import Fit
from .level import FITS, LOOSE, TIGHT, Level
from .report_style import CSS, SIGNS
from .sink import sinks
from .stretch import Strain
from .surface import SEEN, picture_title
from .verdict import DOES_NOT_CLOSE

TONES = {FITS: "fits", TIGHT: "tight", LOOSE: "loose", DOES_NOT_CLOSE: "open"}
HEADLINES = {FITS: "It fits", TIGHT: "It is tight", LOOSE: "It is loose", DOES_NOT_CLOSE: "It does not close"}
CAPTIONS = {
    "front": "Front",
    "back": "Back",
    "side": "Side",
    **{name: picture_title(name) for name in SEEN},
    "room_back": "Room, from behind",
    "pattern": "The draft",
}
WIDE = ("pattern",)

# Common practice, no source.
CARE = (
    "Count pins and needles before and after; keep them off the floor and out of reach of children and pets.",
    "Take the doll out before you iron: heat and steam soften vinyl and craze resin. Switch the iron off after.",
    "Dark cloth stains pale vinyl and resin: wash it first, and try a scrap on the doll's sole.",
    "Cut away from your fingers, and put the cap back on the rotary cutter.",
)


def report_html(body: Body, pattern: Pattern, fit: Fit, pictures: Mapping[str, bytes]) -> str:
    """One self-contained page: verdict, what to change, ease at a glance, pictures, then all the numbers.

    Parameters
    ----------
    pictures : mapping of str to bytes
        PNG files by name ("front", "back.png", ...), shown in the order given.

    Returns
    -------
    str
        HTML 5 without scripts or anything fetched from elsewhere.
    """
    parts = [
        _head(fit),
        _changes(fit),
        _glance(fit),
        _pictures(pictures),
        _levels(fit),
        _layers(fit),
        _drape(fit),
        _rules(pattern),
        _measures(body),
        _cloth(fit),
        _notes(body, fit),
        _care(),
    ]
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(HEADLINES[fit.verdict])}: the {escape(fit.garment)} on a doll of "
        f"{_mm(fit.height_mm)}</title>\n<style>{CSS}</style>\n</head>\n<body>\n<main>\n"
        + "\n".join(part for part in parts if part)
        + "\n</main>\n</body>\n</html>\n"
    )


def _head(fit: Fit) -> str:
    tone = TONES[fit.verdict]
    lines = list(fit.reasons) or [_in_short(fit)]
    return (
        f"<header>\n<h1>The {escape(fit.garment)} in {escape(fit.fabric.name)}, "
        f"on a doll of {_both(fit.height_mm)}</h1>\n"
        f'<div class="verdict is-{tone}"><svg viewBox="0 0 64 64" fill="none" stroke="currentColor" stroke-width="4" '
        f'stroke-linecap="round" stroke-linejoin="round" aria-hidden="true">{SIGNS[tone]}</svg>\n'
        f"<div><strong>{HEADLINES[fit.verdict]}</strong>"
        + "".join(f"<p>{escape(line)}</p>" for line in lines)
        + "</div></div>\n</header>"
    )


def _in_short(fit: Fit) -> str:
    said = [f"The fronts close, {fit.fronts}."] if fit.fronts else []
    eased = [level for level in fit.levels if level.ease_mm is not None]
    off = [level for level in eased if level.verdict != FITS]
    for verdict in (TIGHT, LOOSE):
        if names := [plain(level.name) for level in off if level.verdict == verdict]:
            said.append(f"{verdict.capitalize()} at the {_listed(names)}.")
    if eased and not off:
        least = min(eased, key=lambda level: level.ease_mm or 0.0)
        said.append(f"Least ease at the {plain(least.name)}: {_mm(least.ease_mm)}, {_wanted(least)} wanted.")
    return " ".join(said)


def _changes(fit: Fit) -> str:
    items = []
    for advice in fit.advice:
        by = f"{advice.change_mm:+.0f} mm" if advice.change_mm else ""
        by = f'<span class="by">{by} <small>{_inches(advice.change_mm)}</small></span>' if by else ""
        items.append(f"<li><span>{escape(advice.sentence)}</span>{by}</li>")
    return f'<section><h2>What to change</h2>\n<ol class="change">{"".join(items)}</ol></section>'


def _glance(fit: Fit) -> str:
    rows = []
    for level in fit.levels:
        tone = TONES.get(level.verdict, "none")
        rows.append(
            f'<div class="ease"><span>{escape(plain(level.name).capitalize())}</span>{_ease_bar(level)}'
            f'<span class="tone is-{tone}">{escape(level.verdict)}</span></div>'
        )
    key = (
        '<div class="key quiet"><span><i class="band"></i>ease that suits</span>'
        '<span><i class="mark"></i>ease of this drape, mm</span><span>0 = the body itself</span></div>'
    )
    return f"<section><h2>Ease at a glance</h2>{''.join(rows)}{key}</section>" if rows else ""


def _ease_bar(level: Level) -> str:
    """The wanted ease as a band, the ease found as a mark; the body's girth is the zero."""
    low, high = level.wanted_mm
    if level.ease_mm is None:
        return '<span class="quiet">the garment has no girth there</span>'
    ends = (min(0.0, level.ease_mm), max(high, level.ease_mm, 1e-9))
    across = lambda mm: 20 + 560 * (mm - ends[0]) / (ends[1] - ends[0])  # noqa: E731
    zero, left, right, mark = (across(mm) for mm in (0.0, low, high, level.ease_mm))
    label = f"{plain(level.name)}: ease {level.ease_mm:.1f} mm, {low:.1f} to {high:.1f} mm wanted"
    return (
        f'<svg viewBox="0 0 600 58" role="img" aria-label="{escape(label)}">'
        f'<line x1="10" y1="30" x2="590" y2="30" stroke="#b9b09b"/>'
        f'<rect x="{left:.1f}" y="22" width="{max(right - left, 1):.1f}" height="16" fill="#cfdcc4" stroke="#7f9a6e"/>'
        f'<line x1="{zero:.1f}" y1="20" x2="{zero:.1f}" y2="40" stroke="#5f5a50" stroke-dasharray="2 2"/>'
        f'<line x1="{mark:.1f}" y1="17" x2="{mark:.1f}" y2="43" stroke="#2a2926" stroke-width="4"/>'
        f'<text x="{mark:.1f}" y="12" text-anchor="middle" font-size="14" fill="#2a2926">{level.ease_mm:.1f}</text>'
        f'<text x="{left:.1f}" y="53" text-anchor="middle" font-size="12" fill="#5f5a50">{low:.0f}</text>'
        f'<text x="{right:.1f}" y="53" text-anchor="middle" font-size="12" fill="#5f5a50">{high:.0f}</text>'
        f"</svg>"
    )


def _pictures(pictures: Mapping[str, bytes]) -> str:
    figures = []
    for name, png in pictures.items():
        key = name.removesuffix(".png")
        caption = CAPTIONS.get(key, title(key))
        data = base64.b64encode(png).decode("ascii")
        figures.append(
            f"<figure{' class=' + chr(34) + 'wide' + chr(34) if key in WIDE else ''}>"
            f'<img src="data:image/png;base64,{data}" alt="{escape(caption)}">'
            f"<figcaption>{escape(caption)}</figcaption></figure>"
        )
    return f'<section><h2>Pictures</h2>\n<div class="pictures">{"".join(figures)}</div></section>' if figures else ""


def _levels(fit: Fit) -> str:
    rows = []
    for level in fit.levels:
        tone = TONES.get(level.verdict, "none")
        rows.append(
            (
                plain(level.name).capitalize()
                + ("<br><small>square to the sleeve</small>" if level.across == "sleeve" else ""),
                *(_cell(mm) for mm in (level.height_mm, level.body_girth_mm, level.garment_girth_mm)),
                _cell(level.tape_mm),
                _cell(level.ease_mm),
                _wanted(level),
                f'<span class="tone is-{tone}">{escape(level.verdict)}</span>',
            )
        )
    heads = ("Level", "Height", "Body", "Garment", "Outside tape", "Ease", "Wanted", "Verdict")
    caption = (
        "Garment: along the cloth, from centre front to centre front; across the arms the mean of both sides. "
        "Outside tape: a taut tape round all of it. Inches to the nearest sixteenth."
    )
    return f'<section class="stacked"><h2>Body and garment</h2>{_table(heads, rows, caption, range(1, 7))}</section>'


def _layers(fit: Fit) -> str:
    """What is worn under the garment; nothing where nothing is."""
    if fit.under is None:
        return ""
    rows = [
        (
            f"{title(layer.name)}, {escape(layer.fabric)}: {plain(level)}",
            *(_cell(mm) for mm in (girth, tape, ease)),
            escape(verdict),
        )
        for layer, levels in ((fit.under.layer, fit.under.levels), (fit.layers[1], fit.levels))
        for level, girth, tape, ease, verdict in (
            (one.name, one.garment_girth_mm, one.tape_mm, one.ease_mm, one.verdict) for one in levels
        )
    ]
    takes = " ".join(
        f"{title(layer.name)}: {layer.thickness_mm:.2f} mm of {escape(layer.fabric)} take {_mm(layer.takes_mm)} of "
        "the girth of all that goes over it, 2 pi times the thickness."
        for layer in fit.layers
    )
    heads = ("Layer and level", "Garment", "Outside tape", "Ease", "Verdict")
    return f'<section class="stacked"><h2>Layers</h2>{_table(heads, rows, takes, range(1, 4))}</section>'


def _drape(fit: Fit) -> str:
    rows: list[tuple[str, str, str]] = []
    for lap in fit.laps:
        note = "meant to be open here" if lap.drafted_mm <= 0 else f"{_mm(lap.drafted_mm)} as drafted"
        rows.append((f"Overlap of the fronts at the {escape(plain(lap.level))}", _cell(lap.overlap_mm), note))
    if fit.hem:
        rows.append(("Hem above the floor, lowest", _cell(fit.hem.lowest_mm), f"{_mm(fit.hem.mean_mm)} on average"))
    for sleeve in fit.sleeves:
        rows.append((f"{sleeve.side.capitalize()} sleeve past the wrist", _cell(sleeve.past_wrist_mm), "over the arm"))
        rows.append((f"{sleeve.side.capitalize()} sleeve depth", _cell(sleeve.drop_mm), "on the cloth, fold to bottom"))
        rows.append((f"{sleeve.side.capitalize()} sleeve hangs", _cell(sleeve.hangs_mm), "straight, fold to bottom"))
    gap, seams = fit.gap, fit.seams
    rows += [
        (
            "Room: how far the cloth stands off",
            _cell(gap.median),
            f"half is nearer; {_mm(gap.p05)} to {_mm(gap.p95)} for most",
        ),
        ("Most room", _cell(gap.max), ""),
        (
            "Touch: how much of the cloth lies on the skin",
            _percent(gap.contact_share),
            f"nearer than {_mm(gap.contact_mm)}",
        ),
        *(
            [("Cloth under the skin", f"{gap.below_deepest_mm:.1f} mm", "at the deepest; what to do is said above")]
            if sinks(gap)
            else []
        ),
        ("Cloth through cloth", f"{fit.crossings}", f"places where one bit of cloth cuts another{_parted(fit)}"),
        (
            "Pull: how much longer than drafted, all but the worst hundredth",
            _percent(fit.stretch.edges.p99),
            _by_thread(fit),
        ),
        ("Most pull", _percent(fit.stretch.edges.max), _signed(fit.stretch.edges)),
        (
            f"Seams, {seams.count} sewn",
            f"{seams.widest_open_mm:.2f} mm",
            f"widest open; {seams.widest_welded_mm:.2f} mm was closed at the end, lengths agree within "
            f"{seams.longest_mismatch_mm:.2f} mm",
        ),
        ("Movement at the end", f"{fit.speed_p99_mm_s:.1f} mm/s", "all but the fastest hundredth"),
    ]
    return f"<section><h2>How it hangs</h2>{_table(('', 'Found', ''), rows, '', (1,))}</section>"


def _rules(pattern: Pattern) -> str:
    rows = [(escape(title(rule.name)), _cell(rule.mm), escape(rule.reason)) for rule in pattern.rules]
    chosen = ", ".join(f"{title(name)} {_shown(value)}" for name, value in pattern.options.items() if value is not None)
    caption = f"Chosen: {escape(chosen)}." if chosen else ""
    table = _table(("Size", "Drafted", "Rule"), rows, caption, (1,))
    return f"<section><h2>The draft and its rules</h2>{table}</section>" if rows else ""


def _measures(body: Body) -> str:
    rows = [
        (escape(title(name)), *(_cell(mm) for mm in (one.mm, one.level_mm, one.left, one.right)))
        for name, one in body.measures.items()
    ]
    heads = ("Measure", "Used", "At height", "Left", "Right")
    return f"<section><h2>The doll's measures</h2>{_table(heads, rows, '', range(1, 5))}</section>"


def _cloth(fit: Fit) -> str:
    fabric = fit.fabric
    rows = [
        ("Weight", f"{fabric.mass_g_m2:.0f} g/m²", ""),
        ("Thickness of one layer", f"{fabric.thickness_mm:.2f} mm", "does not grow smaller with the doll"),
        (
            "Bending length",
            f"{fabric.bending_mm:.0f} mm",
            f"{fabric.warp_mm:.0f} mm along the warp, {fabric.weft_mm:.0f} mm along the weft",
        ),
        ("Bending length over size", _percent(fit.stiffness.over_size), f"of the {fit.stiffness.size}"),
        (
            "Stretch at low load",
            f"{fabric.stretch_warp:g} %",
            f"along the warp, {fabric.stretch_weft:g} % along the weft, {fabric.stretch_bias:g} % on the bias; not "
            "simulated",
        ),
        ("Friction", f"{fabric.friction:.2f}", ""),
        ("Fineness", _mm(fit.edge_mm), f"between the cloth's {fit.vertices} points"),
    ]
    caption = f"{fabric.name.capitalize()}. Source of the figures: {fabric.source}."
    words = f"<p>{escape(fit.stiffness.words)}</p>"
    return f"<section><h2>The cloth</h2>{words}{_table(('', '', ''), rows, escape(caption), (1,))}</section>"


def _notes(body: Body, fit: Fit) -> str:
    notes = [*fit.cautions, *(doubt.sentence for doubt in body.doubts), *body.skin.notes, *map(reason, body.missing)]
    items = "".join(f"<li>{escape(note)}</li>" for note in notes)
    return f"<section><h2>Notes on the scan and the drape</h2><ul>{items}</ul></section>" if items else ""


def _care() -> str:
    return (
        f'<section class="care"><h2>Take care</h2><ul>{"".join(f"<li>{escape(c)}</li>" for c in CARE)}</ul></section>'
    )


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]], caption: str, numbers: Iterable[int]) -> str:
    """Cells are HTML already; the columns in `numbers` are set to the right."""
    right = set(numbers)
    mark = lambda i: ' class="n"' if i in right else ""  # noqa: E731
    head = "".join(f'<th scope="col"{mark(i)}>{text}</th>' for i, text in enumerate(heads))
    head = f"<thead><tr>{head}</tr></thead>" if any(heads) else ""
    lines = []
    for first, *others in rows:
        cells = "".join(f"<td{mark(i)}>{text}</td>" for i, text in enumerate(others, 1))
        lines.append(f'<tr><th scope="row">{first}</th>{cells}</tr>')
    title = f"<caption>{caption}</caption>" if caption else ""
    return f'<div class="scroll"><table>{title}{head}<tbody>{"".join(lines)}</tbody></table></div>'


def _by_thread(fit: Fit) -> str:
    parts = (("warp", fit.stretch.warp), ("weft", fit.stretch.weft), ("on the bias, by shear,", fit.stretch.bias))
    return ", ".join(f"{name} {_percent(strain.p99)}" for name, strain in parts)


def _parted(fit: Fit) -> str:
    apart = fit.parted
    return f"; {apart.pairs} were pulled apart at the end, by {_mm(apart.farthest_mm)} at most" if apart.pairs else ""


def _signed(strain: Strain) -> str:
    return f"longer by {_percent(strain.longest)}, shorter by {_percent(-strain.shortest)}"


def _mm(mm: float | None) -> str:
    return "none" if mm is None else format_length(mm, "mm")


def _inches(mm: float) -> str:
    return format_length(mm, "in")


def _both(mm: float) -> str:
    return f"{_mm(mm)} ({_inches(mm)})"


def _cell(mm: float | None) -> str:
    return "–" if mm is None else f"{_mm(mm)} <small>{_inches(mm)}</small>"


def _wanted(level: Level) -> str:
    return f"{level.wanted_mm[0]:.0f} to {level.wanted_mm[1]:.0f} mm"


def _percent(share: float) -> str:
    return f"{100 * share:.1f} %"


def _listed(names: Sequence[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return _mm(float(value)) if isinstance(value, int | float) else str(value)
