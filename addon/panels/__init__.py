"""The sidebar tab: one road from top to bottom, a foldable part for each step. Panels draw what is kept and work
nothing out.
"""

import bpy

from .. import drapes
from . import cloth, road, tape

CLASSES = (*tape.CLASSES, *cloth.CLASSES, *road.CLASSES)


def register() -> None:
    """Make the panels known."""
    for cls in CLASSES:
        bpy.utils.register_class(cls)


def unregister() -> None:
    """Forget them."""
    for cls in reversed(CLASSES):
        bpy.utils.unregister_class(cls)
    drapes.unregister()
