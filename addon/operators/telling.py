"""Operators that only tell: the whole of what was said last."""

import bpy

from .. import log
from ..words import OURS


class TOILE_OT_told(bpy.types.Operator):
    """What was said last; a click shows all that was done"""

    bl_idname = "toile.told"
    bl_label = "What was said"
    bl_translation_context = OURS
    bl_options = {"INTERNAL"}  # noqa: RUF012  Blender reads it as it is

    @classmethod
    def description(cls, context, _properties):
        """The whole of it, as the tooltip; Blender adds the full stop."""
        line = log.last(context.scene)
        return line.text.removesuffix(".") if line else cls.__doc__

    def execute(self, context):
        """Unfold what was done."""
        context.window_manager.toile_folds.log = True
        return {"FINISHED"}


CLASSES = (TOILE_OT_told,)
