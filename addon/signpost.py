"""Where on the road the maker is, and what comes next. Worked out from what is kept, without opening it."""

from __future__ import annotations

from dataclasses import dataclass

import bpy

from . import session
from .properties import STEPS

# What each step of the road leaves behind; the cloth is chosen once something is draped in it.
MAKES = {
    "doll": "body",
    "tape": "body",
    "draft": "pattern",
    "cloth": "drape",
    "drape": "drape",
    "fit": "fit",
    "compare": "compared",
}


@dataclass(frozen=True)
class Sign:
    """The next thing to do.

    Attributes
    ----------
    step : str
        Of the road: "doll", "draft" ...
    operator : str
        The button that does it; "" where a file must be chosen first.
    text : str
        In words.
    """

    step: str
    operator: str
    text: str


def next_sign(scene: bpy.types.Scene) -> Sign:
    """What comes next for this scene."""
    if not session.has(scene, "body"):
        return Sign("doll", "", "Open a scan of your doll, or a sample doll")
    if not session.has(scene, "pattern"):
        return Sign("draft", "toile.draft", "Check the tape, then draft")
    if not session.has(scene, "drape"):
        again = "again " if session.has(scene, "earlier") else ""
        return Sign("drape", "toile.drape", f"Choose cloth and drape {again}".strip())
    if not session.has(scene, "fit"):
        return Sign("fit", "toile.read_fit", "Read the fit")
    return Sign("paper", "", "Follow the advice, take pictures, or print the pattern")


def is_done(scene: bpy.types.Scene, step: str) -> bool:
    """Whether a step of the road has its result."""
    return step in MAKES and session.has(scene, MAKES[step])


def unfold(context: bpy.types.Context, *steps: str) -> None:
    """Unfold these steps in the sidebar and fold the others."""
    folds = context.window_manager.toile_folds
    for step in STEPS:
        setattr(folds, step, step in steps)
