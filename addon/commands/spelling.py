"""What the core says in plain words, with the command line's own options beside it."""

from __future__ import annotations

from drafting.body.dimensions import TABLE
from drafting.errors import ToileError

MOST = 4  # options named at most: a longer list is in --help
MEASURES = {row.name for row in TABLE} - {"height"}  # it has an option of its own


def spelled(error: ToileError) -> str:
    """The message, and the options that it is about where it does not name them itself."""
    message = str(error)
    options = [spelled for name in error.about if (spelled := option(name)) not in message]
    return f"{message} ({', '.join(options)})" if 0 < len(options) <= MOST else message


def option(name: str) -> str:
    """A setting by its identifier, as the command line has it: --sleeve_drop, --measure hip_girth=."""
    return f"--measure {name}=" if name in MEASURES else f"--{name}"
