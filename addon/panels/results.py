"""Step 8: pictures."""

from .. import outlook
from .base import before, fields


def draw_pictures(layout, context):
    """Which, how they look, where they go, and the button."""
    settings = context.scene.toile
    column = fields(layout)
    column.prop(settings, "shots")
    if settings.shots in {"listing", "turntable"}:
        column.prop(settings, "shape")
        column.prop(settings, "backdrop")
        column.prop(settings, "plain_form")
    if settings.shots == "turntable":
        column.prop(settings, "frames")
        column.prop(settings, "film")
    if settings.shots != "chart":
        column.prop(settings, "size")
    column.prop(settings, "folder")
    before(layout, context, outlook.of_pictures(context.scene))
    row = layout.row()
    row.scale_y = 1.3
    row.operator("toile.pictures", icon="RENDER_STILL")
    layout.operator("toile.open_folder", icon="FILE_FOLDER")
