"""Doll and tape: open a scan or a sample, and measure it."""

from pathlib import Path

import bpy
from bpy_extras.io_utils import ImportHelper

from drafting.units import format_length

from .. import table, workshop
from .edge import StepOperator, look_at


def opened(context, body):
    """Show the doll, and say what was opened."""
    context.view_layer.update()
    hidden = table.in_the_way(context.scene, context.visible_objects)
    for thing in hidden:
        thing.hide_set(True)
    look_at(context, "doll")
    said = f"{format_length(body.height_mm, context.scene.toile.show)} tall, {len(body.skin.faces)} faces"
    return f"{said}; hidden behind it: {', '.join(thing.name for thing in hidden)}" if hidden else said


class TOILE_OT_open_scan(StepOperator, ImportHelper, bpy.types.Operator):
    """Open a doll's scan: .stl, .obj, .ply or .glb"""

    bl_idname = "toile.open_scan"
    bl_label = "Open a scan"

    filter_glob: bpy.props.StringProperty(default="*.stl;*.obj;*.ply;*.glb", options={"HIDDEN"})

    def work(self, context):
        """Open the chosen file."""
        return opened(context, workshop.open_doll(context.scene, Path(self.filepath)))


_sample_items: list[tuple[str, str, str]] = []  # Blender does not hold the texts of a dynamic enum itself


def sample_items(_self, _context):
    """The sample dolls for a menu."""
    _sample_items[:] = [
        (name, name.replace("_", " ").capitalize(), str(path)) for name, path in workshop.samples().items()
    ]
    return _sample_items


class TOILE_OT_sample_doll(StepOperator, bpy.types.Operator):
    """Put one of the sample dolls on the table"""

    bl_idname = "toile.sample_doll"
    bl_label = "Sample doll"

    doll: bpy.props.EnumProperty(name="Doll", items=sample_items)

    def work(self, context):
        """Open the chosen sample."""
        context.scene.toile.height = ""
        return opened(context, workshop.open_doll(context.scene, workshop.samples()[self.doll]))


class TOILE_OT_measure(StepOperator, bpy.types.Operator):
    """Measure the doll anew, with its height and what you measured by hand, and lay the tape on it"""

    bl_idname = "toile.measure"
    bl_label = "Measure"
    needs = ("body",)

    def work(self, context):
        """Measure."""
        body = workshop.measure(context.scene)
        return f"{len(body.measures)} measures taken"


CLASSES = (TOILE_OT_open_scan, TOILE_OT_sample_doll, TOILE_OT_measure)
