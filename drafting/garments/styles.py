"""Presets of the draft's options: robes to begin with, each in proportion to the doll."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from ..errors import OptionError
from ..units import round_up

MARK = 0.5  # mm: what a share of the height is rounded up to


@dataclass(frozen=True)
class Style:
    """A robe to begin with.

    Attributes
    ----------
    about : str
        What it looks like, in a maker's words.
    options : mapping of str to str
        Draft options as typed.
    shares : mapping of str to float
        Lengths as shares of the doll's height.
    """

    name: str
    about: str
    options: Mapping[str, str]
    shares: Mapping[str, float]

    def texts(self, height_mm: float) -> dict[str, str]:
        """All its options as typed, for a doll of this height."""
        lengths = {name: f"{round_up(share * height_mm, MARK):g}mm" for name, share in self.shares.items()}
        return {**self.options, **lengths}


def style_of(name: str) -> Style:
    """The style of that name.

    Raises
    ------
    OptionError
        There is none; lists those there are.
    """
    if name not in STYLES:
        near = difflib.get_close_matches(name, STYLES, 1)
        hint = f"did you mean {near[0]}? " if near else ""
        raise OptionError(f"There is no style {name!r}: {hint}choose one of: {', '.join(STYLES)}.")
    return STYLES[name]


def _table() -> dict[str, Style]:
    rows = tomllib.loads(Path(__file__).with_name("styles.toml").read_text(encoding="utf-8"))
    return {
        name: Style(
            name, row.pop("about"), {key: value for key, value in row.items() if key != "shares"}, row["shares"]
        )
        for name, row in rows.items()
    }


STYLES = _table()
