"""Steps 4, 5 and 6: the drape, the fit, the pictures."""

import bpy

from .. import session
from ..drape import DrapeSettings
from .base import StepPanel, length, plain, row_of, sentence

SIGNS = {"fits": "CHECKMARK", "tight": "ERROR", "loose": "INFO", "does not close": "CANCEL"}


class TOILE_PT_drape(StepPanel, bpy.types.Panel):
    """The drape."""

    bl_label = "4  Drape"

    def draw(self, context):
        """Draw."""
        layout, settings = self.layout, context.scene.toile
        layout.use_property_split = True
        layout.use_property_decorate = False
        layout.prop(settings, "fabric")
        layout.prop(settings, "edge", placeholder="fits the doll")
        layout.prop(settings, "colour")
        layout.operator("toile.drape", icon="MOD_CLOTH")
        if settings.stage:
            layout.progress(factor=settings.share, text=settings.stage)
            layout.label(text="Escape stops", icon="CANCEL")
            return
        draped = session.get(context.scene, "drape")
        if draped is not None:
            if draped.speed_p99_mm_s <= DrapeSettings().settled_mm_s:
                layout.label(text=f"Settled after {draped.frames} frames", icon="CHECKMARK")
            else:
                creep = f"{length(context, draped.speed_p99_mm_s)} a second"
                layout.label(text=f"Still creeps after {draped.frames} frames: {creep}", icon="ERROR")
            layout.label(text=f"{len(draped.cloth.vertices)} vertices, edge {length(context, draped.edge_mm)}")


class TOILE_PT_fit(StepPanel, bpy.types.Panel):
    """The fit."""

    bl_label = "5  Fit"

    def draw(self, context):
        """Draw."""
        layout = self.layout
        layout.operator("toile.read_fit", icon="ZOOM_ALL")
        fit = session.get(context.scene, "fit")
        if fit is None:
            return
        layout.label(text=plain(fit.verdict), icon=SIGNS.get(fit.verdict, "INFO"))
        table = layout.box().column(align=True)
        row_of(table, "Level", "Body", "Robe", "Ease")
        for level in fit.levels:
            lengths = (level.body_girth_mm, level.garment_girth_mm, level.ease_mm)
            row_of(table, plain(level.name), *("" if mm is None else length(context, mm) for mm in lengths))
        for text in (*fit.reasons, *(advice.sentence for advice in fit.advice)):
            sentence(layout, context, text, "RIGHTARROW_THIN")
        for text in fit.cautions:
            sentence(layout, context, text, "ERROR")


class TOILE_PT_pictures(StepPanel, bpy.types.Panel):
    """The pictures."""

    bl_label = "6  Pictures"

    def draw(self, context):
        """Draw."""
        layout, settings = self.layout, context.scene.toile
        layout.prop(settings, "folder")
        layout.prop(settings, "size")
        layout.operator("toile.pictures", icon="RENDER_STILL")


CLASSES = (TOILE_PT_drape, TOILE_PT_fit, TOILE_PT_pictures)
