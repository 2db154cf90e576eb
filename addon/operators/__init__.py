"""Thin operators: each reads the context, calls a plain function of the workshop, and reports."""

import bpy

from . import (
    cloth,
    compare,
    doll,
    draft,
    drape,
    drop,
    edge,
    edges,
    fit,
    help,
    mend,
    paper,
    pictures,
    preset,
    size,
    telling,
    turning,
)

STEPS = (
    edge,
    help,
    doll,
    size,
    turning,
    mend,
    drop,
    draft,
    edges,
    preset,
    cloth,
    drape,
    fit,
    compare,
    pictures,
    paper,
    telling,
)
CLASSES = tuple(cls for step in STEPS for cls in step.CLASSES)


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
