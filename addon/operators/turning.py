"""Step 1: turn the doll where she was stood up the wrong way, and measure her anew."""

from collections.abc import Callable

import bpy

from drafting.body.upright import Turned

from .. import asked, workshop
from ..words import OURS
from .edge import LongOperator, look_at

# A button's words, its tooltip, and what it does to how she stands.
WAYS: dict[str, tuple[str, str, Callable[[Turned], Turned]]] = {
    "left": ("Turn left", "Turn her a quarter to her own left, and measure anew", lambda now: now.by(1)),
    "right": ("Turn right", "Turn her a quarter to her own right, and measure anew", lambda now: now.by(-1)),
    "over": ("Upside down", "She stands on her head: turn her over, and measure anew", Turned.over),
    "round": ("Face me", "She shows her back: turn her round, and measure anew", lambda now: now.by(2)),
}


class TOILE_OT_turn_her(LongOperator, bpy.types.Operator):
    """Turn her, and measure anew"""

    bl_idname = "toile.turn_her"
    bl_label = "Turn her"
    needs = ("body",)
    step_name = "doll"

    way: bpy.props.EnumProperty(
        items=[(way, words, tip) for way, (words, tip, _) in WAYS.items()], translation_context=OURS
    )

    @classmethod
    def description(cls, _context, properties):
        """What this button does."""
        return WAYS[properties.way][1]

    def long_work(self, context):
        """Measure anew as she stands then; stopped or refused, she stands as before."""
        settings = context.scene.toile
        before = settings.quarters, settings.flipped
        now = WAYS[self.way][2](asked.turned(context.scene))
        settings.quarters, settings.flipped = now.quarters, now.flipped
        try:
            return (yield from workshop.measuring(context.scene))
        except BaseException:
            settings.quarters, settings.flipped = before
            raise

    def done(self, context, body):
        """Look at her as she stands now."""
        context.view_layer.update()
        look_at(context, "doll")
        return f"Turned; {len(body.measures)} measures taken"


CLASSES = (TOILE_OT_turn_her,)
