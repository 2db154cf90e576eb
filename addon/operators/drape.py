"""Step 5: the drape. The cloth is seen moving; Escape or the panel's button stops it and leaves all as it was."""

import bpy

from .. import signpost, table, workshop
from ..jobs import in_words
from .edge import LongOperator

HIDDEN = ("doll", "robe", "tape", "landmark")  # what the moving picture stands in for


class TOILE_OT_drape(LongOperator, bpy.types.Operator):
    """Sew the panels round the doll and let the cloth settle; Escape stops and leaves all as it was"""

    bl_idname = "toile.drape"
    bl_label = "Drape"
    needs = ("body", "pattern")
    step_name = "drape"

    def long_work(self, context):
        """Drape."""
        return workshop.draping(context.scene)

    def begin(self, context):
        """Hide what the moving picture stands in for."""
        self._hid = []
        begun = super().begin(context)
        if begun == {"RUNNING_MODAL"}:
            self._hid = [thing.name for thing in table.ours(context.scene, *HIDDEN) if not thing.hide_get()]
            self.show(context, False)
        return begun

    def leave(self, context):
        """Show it again."""
        super().leave(context)
        self.show(context, True)

    def show(self, context, shown):
        """Show or hide what was visible before; it may be gone by now."""
        for thing in table.ours(context.scene, *HIDDEN):
            if thing.name in self._hid:
                thing.hide_set(not shown)

    def done(self, context, draped):
        """What a finished drape says."""
        signpost.unfold(context, "fit")
        return f"Draped; the cloth took {in_words(draped.solver_seconds)} of computing"


CLASSES = (TOILE_OT_drape,)
