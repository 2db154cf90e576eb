"""Step 1: the doll."""

from .. import session, shelf
from .base import fields, fold, length, sentence


def draw(layout, context):
    """The scan, how large the doll truly is, what was found, and how she stands."""
    settings = context.scene.toile
    fields(layout).prop(settings, "height", placeholder="42cm, 16 1/2in")
    column = layout.column(align=True)
    column.operator("toile.open_scan", icon="FILE_FOLDER")
    column.operator_menu_enum("toile.sample_doll", "doll", icon="OUTLINER_OB_ARMATURE")
    body = session.get(context.scene, "body")
    if body is not None:
        layout.label(text=f"{length(context, body.height_mm)} tall, crown to soles", icon="CHECKMARK", translate=False)
        found = fold(layout, context, "found", f"What was found ({len(body.skin.notes)})")
        if found is not None:
            for note in body.skin.notes:
                sentence(found, context, note, "DOT")
    stance = fold(layout, context, "stance", "Size by a girth, turn, flip, stand")
    if stance is not None:
        column = fields(stance)
        column.prop(settings, "known")
        column.prop(settings, "known_length", placeholder="198mm")
        column.separator()
        column.prop(settings, "up")
        column.prop(settings, "front")
        column.prop(settings, "stand", placeholder="none")
        stance.operator("toile.measure", text="Read the scan anew", icon="FILE_REFRESH")
    column = layout.column(align=True)
    if body is not None:
        column.operator("toile.another_doll", icon="ADD")
    for aside in shelf.dolls(context.scene):
        words = f"Go on with {aside.name.removeprefix('Pocket Toile, ')}"
        column.operator("toile.take_up", text=words, icon="OUTLINER_OB_ARMATURE").doll = aside.name
