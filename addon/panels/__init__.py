"""The sidebar tab: one panel a step, in the order of the work. Panels draw what is kept and work nothing out."""

import bpy

from . import cloth, doll, draft

CLASSES = (*doll.CLASSES, *draft.CLASSES, *cloth.CLASSES)


def register() -> None:
    """Make the panels known."""
    for cls in CLASSES:
        bpy.utils.register_class(cls)


def unregister() -> None:
    """Forget them."""
    for cls in reversed(CLASSES):
        bpy.utils.unregister_class(cls)
