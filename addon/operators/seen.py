"""Work that is seen while it goes on: the moving picture stands in for the doll and her robe."""

from .. import table
from .edge import LongOperator

HIDDEN = ("doll", "robe", "under", "tape", "landmark")  # what the moving picture stands in for


class SeenOperator(LongOperator):
    """A step whose work shows itself: what lies where it is drawn is hidden from the first picture on."""

    hid: tuple[str, ...] = ()

    def show_work(self, context):
        """Hide what the moving picture stands in for, once there is one."""
        if self._job.seen is not None and not self.hid:
            self.hid = tuple(thing.name for thing in table.ours(context.scene, *HIDDEN) if not thing.hide_get())
            self.show(context, False)
        super().show_work(context)

    def leave(self, context):
        """Show it again."""
        super().leave(context)
        self.show(context, True)

    def show(self, context, shown):
        """Show or hide what was visible before; it may be gone by now."""
        for thing in table.ours(context.scene, *HIDDEN):
            if thing.name in self.hid:
                thing.hide_set(not shown)
