"""The typeface of all pages: Helvetica, one of the fonts that every PDF reader brings along (ISO 32000-1, 9.6.2.2)."""

from __future__ import annotations

# Advance widths in thousandths of the type size for the characters from space to tilde: Adobe's Core 14 font metrics,
# from memory; the tests compare them with a published copy.
_FIRST = 32
_PLAIN = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 "
    "278 278 584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 667 778 722 667 "
    "611 722 667 944 667 667 611 278 278 278 469 556 333 556 556 500 556 556 278 556 556 222 222 500 222 833 "
    "556 556 556 556 333 500 278 556 500 722 500 500 500 334 260 334 584 "
)
_BOLD = (
    "278 333 474 556 556 889 722 238 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 "
    "333 333 584 584 584 611 975 722 722 722 722 667 611 778 722 278 556 722 611 833 722 778 667 778 722 667 "
    "611 722 667 944 667 667 611 333 278 333 584 556 333 556 611 556 611 556 333 611 611 278 278 556 278 889 "
    "611 611 611 611 389 556 333 611 556 778 556 556 500 389 280 389 584 "
)
_WIDTHS = {False: [int(w) for w in _PLAIN.split()], True: [int(w) for w in _BOLD.split()]}
_OTHER = 600  # a cautious width for the characters beyond
CAPITAL = 0.718  # of the type size: a capital's height, from the same metrics
NAMES = {False: "Helvetica", True: "Helvetica-Bold"}


def encoded(text: str) -> bytes:
    """The text in the encoding that the pages use (WinAnsi, ISO 32000-1 annex D); what it lacks becomes "?"."""
    return text.encode("cp1252", errors="replace")


def text_width(text: str, height: float, bold: bool = False) -> float:
    """How long a line of text is, in the unit of its type size."""
    widths = _WIDTHS[bold]
    codes = [code - _FIRST for code in encoded(text)]
    return height / 1000 * sum(widths[code] if 0 <= code < len(widths) else _OTHER for code in codes)


def wrapped(text: str, height: float, width: float, bold: bool = False) -> list[str]:
    """A paragraph broken into lines no longer than `width`; a word that is longer stands alone."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, height, bold) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
