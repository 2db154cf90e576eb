"""The one tree of errors that a maker may meet.

Every message says what was wrong, what was expected and what to do, in plain words. The edges (command line, Blender
operators) show it, each in its own way; nothing else catches these.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

Kind = TypeVar("Kind", bound="ToileError")


class ToileError(Exception):
    """Root of all errors whose message is written for the maker.

    Parameters
    ----------
    message : str
        Plain words: no identifier, no option of the command line, no axis.
    about : iterable of str
        What to set otherwise, by its identifier ("sleeve_drop", "hip_girth", "edge"), so that the command line can
        name its option and the window can mark its field.
    """

    def __init__(self, message: str = "", *, about: Iterable[str] = ()) -> None:
        super().__init__(message)
        self.about = tuple(about)

    def of(self: Kind, where: str) -> Kind:
        """The same error with the place it was met at before its message."""
        return type(self)(f"{where}: {self}", about=self.about)


class LengthError(ToileError):
    """A length or number could not be read, or lies outside what makes sense."""


class OptionError(ToileError):
    """An option is not known, or its value is not one of those offered."""


class ScanError(ToileError):
    """A scan could not be read, or is not a body that can be measured."""


class MeasureError(ToileError):
    """A body measure is missing or cannot be right."""


class DraftError(ToileError):
    """A pattern cannot be drafted from these measures and options."""


class ClothError(ToileError):
    """A fabric or a cloth mesh cannot be used."""


class DrapeError(ToileError):
    """The cloth would not drape: a seam stays open, the cloth exploded or never settled."""


class OutputError(ToileError):
    """A result could not be written."""


class Cancelled(ToileError):  # noqa: N818 - the maker's choice, not a mistake
    """The maker stopped the work; nothing was changed."""
