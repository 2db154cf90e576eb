"""Steps 1 and 2: open a scan or a sample, measure it, turn it, and follow points that were moved."""

from pathlib import Path

import bpy
from bpy_extras.io_utils import ImportHelper

from drafting.units import format_length
from drafting.words import title

from .. import doubts, restore, session, shelf, signpost, table, view, workshop
from ..asked import tall
from ..words import OURS
from .edge import LongOperator, StepOperator, look_at

SCANS = "*.stl;*.obj;*.ply;*.off;*.3mf;*.glb;*.gltf"


def opened(context, body):
    """Show the doll, and say what was opened."""
    context.view_layer.update()
    hidden = table.in_the_way(context.scene, context.visible_objects)
    for thing in hidden:
        thing.hide_set(True)
    look_at(context, "doll")
    signpost.unfold(context, "tape" if doubts.of_height(context.scene) is None else "doll")
    said = f"{tall(context.scene, body)} tall, {len(body.measures)} measures taken"
    return f"{said}; hidden, as it stood in her place: {', '.join(thing.name for thing in hidden)}" if hidden else said


class TOILE_OT_open_scan(LongOperator, ImportHelper, bpy.types.Operator):
    """Open a doll's scan: .stl, .obj, .ply, .off, .3mf or .glb"""

    bl_idname = "toile.open_scan"
    bl_label = "Open a scan"
    step_name = "doll"

    filter_glob: bpy.props.StringProperty(default=SCANS, options={"HIDDEN"})

    asked = False

    def invoke(self, context, event):
        """Ask for the file first."""
        self.asked = True
        return ImportHelper.invoke(self, context, event)

    def execute(self, context):
        """After the file was chosen in the window: a step a tick; from a script: at once."""
        if self.asked:
            self.asked = False
            return self.begin(context)
        return super().execute(context)

    def long_work(self, context):
        """Open the chosen file."""
        return workshop.opening(context.scene, Path(self.filepath))

    done = staticmethod(opened)


_sample_items: list[tuple[str, str, str]] = []  # Blender does not hold the texts of a dynamic enum itself


def sample_items(_self, _context):
    """The sample dolls for a menu."""
    _sample_items[:] = [(name, title(name), str(path)) for name, path in workshop.samples().items()]
    return _sample_items


class TOILE_OT_sample_doll(LongOperator, bpy.types.Operator):
    """Put one of the sample dolls on the table"""

    bl_idname = "toile.sample_doll"
    bl_label = "Sample doll"
    step_name = "doll"

    doll: bpy.props.EnumProperty(name="Doll", items=sample_items, translation_context=OURS)

    def long_work(self, context):
        """Open the chosen sample, at its own size."""
        settings = context.scene.toile
        settings.height = settings.known_length = settings.stand = ""
        settings.up = settings.front = "found"
        settings.quarters, settings.flipped = 0, False
        return workshop.opening(context.scene, workshop.samples()[self.doll])

    done = staticmethod(opened)


class TOILE_OT_measure(LongOperator, bpy.types.Operator):
    """Measure anew: with the height and stance as they are set now, and from the points where they lie now"""

    bl_idname = "toile.measure"
    bl_label = "Measure"
    needs = ("body",)
    step_name = "tape"
    keeps_undo = False  # a drag may be taken back at once, while it is measured from

    def long_work(self, context):
        """Measure."""
        self._stood = table.space_of_doll(context.scene)
        return workshop.measuring(context.scene)

    def done(self, context, body):
        """Look at her where her size or her place is another, and say how many there are."""
        context.view_layer.update()
        if table.space_of_doll(context.scene) != self._stood:
            look_at(context, "doll")
        return f"{len(body.measures)} measures taken"


class TOILE_OT_forget_tape(StepOperator, bpy.types.Operator):
    """Forget your own figure here, and take the scan's again"""

    bl_idname = "toile.forget_tape"
    bl_label = "As on the scan"
    needs = ("body",)

    index: bpy.props.IntProperty(min=0, options={"HIDDEN"})

    def work(self, context):
        """Empty the field; the tape follows."""
        row = context.scene.toile.by_hand[self.index]
        row.by_hand = ""
        mm = session.get(context.scene, "body").measures.get(row.name)
        words = title(row.name)
        return f"{words} {format_length(mm.mm, context.scene.toile.show)}" if mm else f"{words} is not on the scan"


class TOILE_OT_points(StepOperator, bpy.types.Operator):
    """Show or hide the points that the tapes start from; drag one and the tapes follow"""

    bl_idname = "toile.points"
    bl_label = "Points on the doll"
    needs = ("body",)

    def work(self, context):
        """The other way than now."""
        points = table.ours(context.scene, "landmark")
        hidden = all(point.hide_viewport for point in points)
        for point in points:
            point.hide_viewport = not hidden
        view.draw_bonds(not hidden)
        return "Drag a point with G; the tapes follow" if hidden else "Points hidden"


class TOILE_OT_tapes(StepOperator, bpy.types.Operator):
    """Show or hide the tapes on the doll; the one that is chosen in the list is shown all the same"""

    bl_idname = "toile.tapes"
    bl_label = "Tapes on the doll"
    needs = ("body",)

    def work(self, context):
        """The other way than now."""
        hidden = all(tape.hide_viewport for tape in table.ours(context.scene, "tape"))
        table.show_tapes(context.scene, hidden)
        return "Tapes shown" if hidden else "Tapes hidden"


class TOILE_OT_another_doll(StepOperator, bpy.types.Operator):
    """Put this doll aside, with all that was made for her, and make room for another"""

    bl_idname = "toile.another_doll"
    bl_label = "Another doll"
    needs = ("body",)
    as_it_is = True

    def work(self, context):
        """Make room; one that was deleted by hand is laid out again, for whoever takes her up."""
        restore.lay_again(context.scene)
        shelf.put_aside(context.scene)
        signpost.unfold(context, "doll")
        return "Open the other doll's scan"


class TOILE_OT_take_up(StepOperator, bpy.types.Operator):
    """Go on with this doll; the one on the table is put aside"""

    bl_idname = "toile.take_up"
    bl_label = "Go on with"

    doll: bpy.props.StringProperty(options={"HIDDEN"})

    def work(self, context):
        """Take her up."""
        restore.lay_again(context.scene)
        shelf.take_up(context.scene, self.doll)
        look_at(context, "doll")
        return f"Going on with {Path(context.scene.toile.scan).stem or 'the doll'}"


CLASSES = (
    TOILE_OT_another_doll,
    TOILE_OT_take_up,
    TOILE_OT_open_scan,
    TOILE_OT_sample_doll,
    TOILE_OT_measure,
    TOILE_OT_forget_tape,
    TOILE_OT_points,
    TOILE_OT_tapes,
)
