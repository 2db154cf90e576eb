"""Where on the road the maker is, and what comes next. Worked out from what is kept, without opening it."""

from __future__ import annotations

from dataclasses import dataclass

import bpy

from . import doubts, marks, readiness, session

MAKES = {
    "doll": "body",
    "draft": "pattern",
    "drape": "drape",
    "fit": "fit",
    "compare": "compared",
}  # the steps' results
# The tape follows the doll, the cloth is chosen once something is draped in it, and a fit is of its cloth.
RESTS_ON = {"tape": "doll", "cloth": "drape", "fit": "drape"}


@dataclass(frozen=True)
class Sign:
    """The next thing to do.

    Attributes
    ----------
    step : str
        Of the road: "doll", "draft" ...; "" where all is done.
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
    question = doubts.of_height(scene)
    if question is not None:
        return Sign("doll", "", f"{question.text} Say so in step 1")
    if not session.has(scene, "body"):
        return Sign("doll", "", "Open a scan of your doll, or a sample doll")
    wrong = next(iter(readiness.of_objects(scene)), None)
    if wrong is not None:
        return Sign(wrong.step, wrong.operator, wrong.text)
    if not is_done(scene, "doll"):
        return Sign("doll", "toile.measure", "Height or stance was changed: read the scan anew")
    if not session.has(scene, "pattern"):
        return Sign("draft", "toile.draft", "Check the tape, then draft")
    if not is_done(scene, "draft"):
        return Sign("draft", "toile.draft", "An option or the cloth was changed: draft again")
    if not session.has(scene, "drape"):
        again = "again " if session.has(scene, "earlier") else ""
        return Sign("drape", "toile.drape", f"Choose cloth and drape {again}".strip())
    if not is_done(scene, "drape"):
        return Sign("drape", "toile.drape", "The cloth, or how finely it is draped, was changed: drape again")
    if not session.has(scene, "fit"):
        return Sign("fit", "toile.read_fit", "Read the fit")
    if not is_done(scene, "paper"):
        return Sign("paper", "", "Follow the advice, take pictures, or print the pattern")
    return Sign("", "", "Cut and sew, or try another draft")


def is_done(scene: bpy.types.Scene, step: str) -> bool:
    """Whether a step of the road has its result, and nothing that it was made of has changed since."""
    if step == "doll" and doubts.of_height(scene) is not None:
        return False
    if step in RESTS_ON and not is_done(scene, RESTS_ON[step]):
        return False
    if step in MAKES and not session.has(scene, MAKES[step]):
        return False
    if any(one.step == step for one in readiness.of_objects(scene)):
        return False
    return step not in marks.OF or marks.holds(scene, step)


def unfold(context: bpy.types.Context, step: str) -> None:
    """Unfold this step in the sidebar; the others are folded."""
    setattr(context.window_manager.toile_folds, step, True)
