"""Step 6: read the fit, cut through a level, and follow an advice."""

import bpy

from drafting.words import plain, title

from .. import fitting, marks, session, signpost, table, view
from .edge import LongOperator, StepOperator


class TOILE_OT_read_fit(LongOperator, bpy.types.Operator):
    """Measure the draped robe against the doll: girths, ease, gaps, stretch, and what to change"""

    bl_idname = "toile.read_fit"
    bl_label = "Read the fit"
    needs = ("body", "pattern", "drape")
    step_name = "fit"

    @classmethod
    def hindrance(cls, context):
        """As every step, and the robe must be of the cloth that is chosen."""
        changed = "" if marks.holds(context.scene, "drape") else "The cloth was changed: drape again first (step 5)"
        return super().hindrance(context) or changed

    def long_work(self, context):
        """Read."""
        return fitting.fitting(context.scene)

    def done(self, context, fit):
        """The verdict in a sentence."""
        signpost.unfold(context, "fit")
        return f"The robe {fit.verdict}" if fit.verdict in {"fits", "does not close"} else f"The robe is {fit.verdict}"


class TOILE_OT_show_level(StepOperator, bpy.types.Operator):
    """Cut body and cloth through at this level and show the room between them; once more hides it"""

    bl_idname = "toile.show_level"
    bl_label = "Cut through"
    needs = ("body", "pattern", "drape", "fit")

    level: bpy.props.StringProperty(options={"HIDDEN"})

    def work(self, context):
        """Choose it, or no level where it was chosen already."""
        settings = context.scene.toile
        settings.level = "" if settings.level == self.level else self.level
        view.redraw()
        return f"Cut through at the {plain(self.level)}" if settings.level else "No level cut through"


class TOILE_OT_close_level(StepOperator, bpy.types.Operator):
    """Close the cut"""

    bl_idname = "toile.close_level"
    bl_label = "Close the cut"

    @classmethod
    def hindrance(cls, context):
        """Only where one is shown."""
        return super().hindrance(context) or ("" if context.scene.toile.level else "No level is cut through")

    def work(self, context):
        """No level any more."""
        context.scene.toile.level = ""
        return "No level cut through"


class TOILE_OT_apply_advice(StepOperator, bpy.types.Operator):
    """Change the draft as this advice says, and draft anew; then drape again"""

    bl_idname = "toile.apply_advice"
    bl_label = "Apply"
    needs = ("body", "pattern", "drape", "fit")

    index: bpy.props.IntProperty(min=0, options={"HIDDEN"})

    @classmethod
    def description(cls, context, properties):
        """What it will change."""
        fit = session.get(context.scene, "fit")
        if fit is None or properties.index >= len(fit.advice):
            return cls.__doc__
        advice = fit.advice[properties.index]
        return f"Change {plain(advice.option)} by {advice.change_mm:+g} mm and draft anew"

    def work(self, context):
        """Follow it."""
        option = session.get(context.scene, "fit").advice[self.index].option
        pattern = fitting.apply(context.scene, self.index)
        signpost.unfold(context, "drape")
        return f"{title(option)} is now {pattern.options[option]:g} mm; drape again to see it"


class TOILE_OT_show_before(StepOperator, bpy.types.Operator):
    """Show the robe before this one in its place; once more shows this one again"""

    bl_idname = "toile.show_before"
    bl_label = "Show the robe before"

    @classmethod
    def hindrance(cls, context):
        """Only where there is one."""
        missing = "" if table.ours(context.scene, "earlier") else "There is no robe before this one"
        return super().hindrance(context) or missing

    def work(self, context):
        """Change places."""
        before, now = table.ours(context.scene, "earlier"), table.ours(context.scene, "robe")
        shown = before[0].hide_viewport
        for thing in before:
            thing.hide_viewport = thing.hide_render = not shown
        for thing in now:
            thing.hide_viewport = thing.hide_render = shown
        return "The robe before is shown" if shown else "The robe of this draft is shown"


CLASSES = (TOILE_OT_show_before, TOILE_OT_read_fit, TOILE_OT_show_level, TOILE_OT_close_level, TOILE_OT_apply_advice)
