"""Work that is seen while it goes on: the moving picture stands in for the doll and her robe."""

from .. import table
from .edge import LongOperator

STOOD_IN_FOR = ("doll", "robe", "under", "tape", "landmark")
HIDDEN = "toile_hidden"  # on an object that is hidden only meanwhile: it may play another role when the work has ended


class SeenOperator(LongOperator):
    """A step whose work shows itself: what lies where it is drawn is hidden from its first picture on."""

    def show_work(self, context):
        """How far it is; from its first picture on that is seen alone."""
        if self._job.seen is not None and context.scene == self._scene:
            hide(self._scene)
        super().show_work(context)

    def leave(self, context):
        """Show it again."""
        super().leave(context)
        show(context.scene)


def hide(scene):
    """Hide what the moving picture stands in for, where it is shown."""
    for thing in table.ours(scene, *STOOD_IN_FOR):
        if not thing.hide_get():
            thing[HIDDEN] = True
            thing.hide_set(True)


def show(scene):
    """Show what was hidden, whatever role it plays by now."""
    for thing in table.ours(scene):
        if HIDDEN in thing:
            del thing[HIDDEN]
            thing.hide_set(False)
