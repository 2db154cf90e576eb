"""Pocket Toile in Blender: a doll's scan becomes a draft, a draped robe, and a reading of its fit.

Everything here stands on `drafting`, which knows no Blender. Nothing is imported before `register`, so that the
command line can use the parts it needs alone.
"""


def register() -> None:
    """Blender enables the extension."""
    from . import follow, jobs, operators, overlay, panels, preferences, properties, recovery

    preferences.register()
    properties.register()
    operators.register()
    panels.register()
    overlay.register()
    jobs.register()
    follow.register()
    recovery.register()


def unregister() -> None:
    """Blender disables the extension; the other way round."""
    from . import follow, jobs, operators, overlay, panels, preferences, properties, recovery

    recovery.unregister()
    follow.unregister()
    jobs.unregister()
    overlay.unregister()
    panels.unregister()
    operators.unregister()
    properties.unregister()
    preferences.unregister()
