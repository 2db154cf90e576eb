"""Step 5: the drape. The cloth is seen moving; Escape or the panel's button stops it and leaves all as it was."""

import bpy

from .. import signpost, workshop
from ..jobs import in_words
from .seen import SeenOperator


class TOILE_OT_drape(SeenOperator, bpy.types.Operator):
    """Sew the panels round the doll and let the cloth settle; Escape stops and leaves all as it was"""

    bl_idname = "toile.drape"
    bl_label = "Drape"
    needs = ("body", "pattern")
    step_name = "drape"

    def long_work(self, context):
        """Drape."""
        return workshop.draping(context.scene)

    def done(self, context, draped):
        """What a finished drape says."""
        signpost.unfold(context, "fit")
        return f"Draped; the cloth took {in_words(draped.solver_seconds)} of computing"


CLASSES = (TOILE_OT_drape,)
