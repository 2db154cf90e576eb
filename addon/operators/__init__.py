"""Thin operators: each reads the context, calls a plain function of the workshop, and reports."""

import bpy

from . import doll, draft, drape, drop, pictures

CLASSES = (*doll.CLASSES, *drop.CLASSES, *draft.CLASSES, *drape.CLASSES, *pictures.CLASSES)


def register() -> None:
    """Make the operators known."""
    for cls in CLASSES:
        bpy.utils.register_class(cls)
    drop.register()


def unregister() -> None:
    """Forget them."""
    drop.unregister()
    for cls in reversed(CLASSES):
        bpy.utils.unregister_class(cls)
