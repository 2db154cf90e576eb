"""Step 7: compare the values of one option."""

import bpy

from drafting.units import split_lengths
from drafting.words import title

from .. import comparing, readiness, session, signpost
from .edge import LongOperator, StepOperator, look_at
from .pictures import FolderOperator
from .seen import SeenOperator


class TOILE_OT_compare(SeenOperator, bpy.types.Operator):
    """Drape the robe once for each value and stand the dolls side by side; Escape stops and leaves all as it was"""

    bl_idname = "toile.compare"
    bl_label = "Drape all"
    needs = ("body", "pattern")
    step_name = "compare"

    @classmethod
    def hindrance(cls, context):
        """As every step, and two values."""
        few = len(split_lengths(context.scene.toile.values)) < 2
        wrong = next((one.text for one in readiness.of_cloth(context.scene)), "")
        return super().hindrance(context) or wrong or ("Write two or more values with commas between" if few else "")

    def long_work(self, context):
        """Drape them."""
        return comparing.comparing(context.scene)

    def done(self, context, made):
        """How many."""
        context.view_layer.update()
        look_at(context, "doll", "variant")
        signpost.unfold(context, "compare")
        return f"{len(made)} variants side by side"


class TOILE_OT_take_variant(LongOperator, bpy.types.Operator):
    """Go on with this value: the draft takes it over, the doll wears the robe that was draped for it"""

    bl_idname = "toile.take_variant"
    bl_label = "Take this one"
    needs = ("body", "pattern", "compared")
    step_name = "fit"  # not "compare": the next one would be told to be as quick

    index: bpy.props.IntProperty(min=0, options={"HIDDEN"})

    def long_work(self, context):
        """Take it."""
        return comparing.taking(context.scene, self.index)

    def done(self, context, worn):
        """What it is now, and whether its robe is on the doll."""
        option, made = session.get(context.scene, "compared")
        then = "the doll wears its robe" if worn else "cloth or draft have changed since it was draped: drape again"
        return f"{title(option)} is now {made[self.index][0]}; {then}"


class TOILE_OT_clear_variants(StepOperator, bpy.types.Operator):
    """Put the variants away; the robe on the doll stays"""

    bl_idname = "toile.clear_variants"
    bl_label = "Clear the variants"
    needs = ("compared",)

    def work(self, context):
        """Put them away."""
        comparing.clear(context.scene)
        return "Variants cleared"


class TOILE_OT_compare_sheet(FolderOperator, bpy.types.Operator):
    """Write one sheet of all variants into the folder: a picture with their figures, and a table"""

    bl_idname = "toile.compare_sheet"
    bl_label = "Write the sheet"
    needs = ("body", "compared")
    step_name = "compare"

    def long_work(self, context):
        """Write it."""
        return comparing.sheeting(context.scene)


CLASSES = (TOILE_OT_compare, TOILE_OT_take_variant, TOILE_OT_clear_variants, TOILE_OT_compare_sheet)
