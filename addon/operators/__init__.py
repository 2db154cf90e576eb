"""Thin operators: each reads the context, calls a plain function of the workshop, and reports."""

import bpy

from . import doll, draft, drape, pictures

CLASSES = (*doll.CLASSES, *draft.CLASSES, *drape.CLASSES, *pictures.CLASSES)


def register() -> None:
    """Make the operators known."""
    for cls in CLASSES:
        bpy.utils.register_class(cls)


def unregister() -> None:
    """Forget them."""
    for cls in reversed(CLASSES):
        bpy.utils.unregister_class(cls)
