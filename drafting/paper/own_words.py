"""Short lines of text in a drawing that tell how it is sewn: "cut 2", "edge side", "sew front.side to back.side"."""

from __future__ import annotations

import re

CUT = re.compile(r"cut\s+(\d+)\b.*", re.IGNORECASE)
EDGE = re.compile(r"edge\s+(\S+)", re.IGNORECASE)
SEW = re.compile(r"sew\s+(\S+)\s+to\s+(\S+?),?(?:\s+(?:with\s+)?ease\s+([^,]+?))?,?(\s+swap)?", re.IGNORECASE)


def is_command(text: str) -> bool:
    """Whether a line of text tells something, and is no name."""
    return any(pattern.fullmatch(text) for pattern in (CUT, EDGE, SEW)) or text.lower().startswith(("sew ", "grain"))


def tidy(name: str) -> str:
    """A name as it is used in addresses: no spaces, no dots."""
    return re.sub(r"[\s.]+", "_", name.strip())
