"""Work that is seen while it goes on: the moving picture stands in for the doll and her robe."""

from .. import table
from .edge import LongOperator

HIDDEN = ("doll", "robe", "under", "tape", "landmark")  # what the moving picture stands in for


class SeenOperator(LongOperator):
    """A step whose work shows itself: what lies where it is drawn is hidden meanwhile."""

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
