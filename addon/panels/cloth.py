"""Step 4: the cloth."""

from .. import own_cloth, session, workshop
from .base import fields, sentence


def draw(layout, context):
    """Which cloth, what it does at this size, its colour and print."""
    settings = context.scene.toile
    column = fields(layout)
    column.prop(settings, "fabric")
    if own_cloth.files():
        layout.operator_menu_enum("toile.own_cloth", "cloth", icon="FILE_FOLDER")
    else:  # a menu would be empty
        layout.operator("toile.fabric_folder", icon="FILE_FOLDER")
    if settings.own_cloth:
        layout.label(text=f"Your own: {workshop.fabric(context.scene).name}", icon="CHECKMARK", translate=False)
    fabric, body = workshop.fabric(context.scene), session.get(context.scene, "body")
    facts = f"{fabric.mass_g_m2:g} g/m², {fabric.thickness_mm:g} mm thick"
    layout.label(text=facts, icon="BLANK1", translate=False)
    if body is not None:
        sentence(layout, context, workshop.words_of(fabric, body.height_mm, settings.show), "INFO")
    column = fields(layout)
    column.prop(settings, "lining")
    column.prop(settings, "under")
    column.prop(settings, "colour")
    column.prop(settings, "printed")
    if settings.printed:
        column.prop(settings, "printed_width", placeholder="200mm, 8in")
