"""Step 5: the drape."""

from .. import outlook, session, signpost, table
from ..drape import DrapeSettings
from .base import before, fields, length, sentence


def draw(layout, context):
    """How fine, the button, and how it went."""
    settings = context.scene.toile
    layout.row().prop(settings, "quality", expand=True)
    fields(layout).prop(settings, "edge", placeholder="fits the doll")
    before(layout, context, outlook.of_drape(context.scene))
    row = layout.row()
    row.scale_y = 1.3
    row.operator("toile.drape", icon="MOD_CLOTH")
    draped = session.get(context.scene, "drape")
    if draped is None:
        if table.first(context.scene, "robe") is not None:
            sentence(layout, context, "The robe on the doll is of the draft before.", "INFO")
        return
    if not signpost.is_done(context.scene, "drape"):
        return  # another cloth is chosen, or the robe is gone: what rested is not what is seen
    if draped.speed_p99_mm_s <= DrapeSettings().settled_mm_s:
        layout.label(text="The cloth came to rest", icon="CHECKMARK", translate=False)
    else:
        sentence(layout, context, f"Still creeps: {length(context, draped.speed_p99_mm_s)} a second", "ERROR")
    layout.label(
        text=f"{len(draped.cloth.vertices)} points, {length(context, draped.edge_mm)} apart",
        icon="BLANK1",
        translate=False,
    )
