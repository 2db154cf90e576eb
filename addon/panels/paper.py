"""Step 9: paper."""

from .. import outlook
from .base import before, fields, sentence


def draw(layout, context):
    """The page, the cloth that it is cut from, where it goes, and the button."""
    settings = context.scene.toile
    column = fields(layout)
    column.prop(settings, "page")
    column.prop(settings, "bolt")
    column.prop(settings, "folded")
    column.prop(settings, "one_way")
    column.prop(settings, "folder")
    before(layout, context, outlook.of_paper(context.scene))
    row = layout.row()
    row.scale_y = 1.3
    row.operator("toile.paper", icon="FILE_TICK")
    layout.operator("toile.open_folder", icon="FILE_FOLDER")
    sentence(layout, context, "Print at 100 % and measure both test squares before you cut.", "INFO")
