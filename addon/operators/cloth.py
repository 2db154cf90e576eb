"""Cloth: the maker's own."""

from pathlib import Path

import bpy

from drafting.cloth.fabric import FABRICS
from drafting.errors import ClothError

from .. import own_cloth, preferences
from ..words import OURS
from .edge import StepOperator

_items: list[tuple[str, str, str]] = []  # Blender does not hold the texts of a dynamic enum itself


def cloth_items(_self, _context):
    """The cloths of the fabric folder for a menu."""
    _items[:] = [(str(path), path.stem.replace("_", " ").capitalize(), str(path)) for path in own_cloth.files()]
    return _items


class TOILE_OT_own_cloth(StepOperator, bpy.types.Operator):
    """Drape one of your own cloths, from the fabric folder of the preferences"""

    bl_idname = "toile.own_cloth"
    bl_label = "Your own cloth"

    cloth: bpy.props.EnumProperty(name="Cloth", items=cloth_items, translation_context=OURS)

    @classmethod
    def hindrance(cls, context):
        """Only where there are any."""
        lacking = "" if own_cloth.files() else "Preferences, Add-ons, Pocket Toile: choose a folder with cloths (.toml)"
        return super().hindrance(context) or lacking

    def work(self, context):
        """Take it."""
        return f"{own_cloth.choose(context.scene, Path(self.cloth)).name} is the cloth now"


class TOILE_OT_fabric_folder(StepOperator, bpy.types.Operator):
    """Choose the folder in which your own cloths lie, a .toml file each"""

    bl_idname = "toile.fabric_folder"
    bl_label = "Folder with your own cloths"

    directory: bpy.props.StringProperty(subtype="DIR_PATH", options={"HIDDEN", "SKIP_SAVE"})
    filter_folder: bpy.props.BoolProperty(default=True, options={"HIDDEN"})

    @classmethod
    def hindrance(cls, context):
        """Only where there are preferences to keep it in."""
        lacking = "" if preferences.wishes() else "Enable Pocket Toile in Blender's preferences first"
        return super().hindrance(context) or lacking

    def invoke(self, context, _event):
        """Ask for the folder."""
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    def work(self, _context):
        """Keep it, as the preferences do."""
        found = len(own_cloth.choose_folder(Path(self.directory)))
        return f"{found} cloth{'' if found == 1 else 's'} of your own to choose from"


class TOILE_OT_save_cloth(StepOperator, bpy.types.Operator):
    """Save the cloth of these figures under a name, and drape it"""

    bl_idname = "toile.save_cloth"
    bl_label = "Save as"

    name: bpy.props.StringProperty(
        name="Name", description="What the cloth is called, such as blue lawn", translation_context=OURS
    )
    replace: bpy.props.BoolProperty(
        name="Replace",
        description="Write over the cloth of that name",
        options={"SKIP_SAVE"},
        translation_context=OURS,
    )

    @classmethod
    def hindrance(cls, context):
        """Only where the figures give a cloth."""
        return super().hindrance(context) or own_cloth.lacking(context.scene.toile)

    def invoke(self, context, _event):
        """Ask for the name."""
        return context.window_manager.invoke_props_dialog(self, width=320)

    def draw(self, _context):
        """The name, and a tick where it is taken."""
        column = self.layout.column()
        column.use_property_split = True
        column.prop(self, "name")
        taken = bool(self.name.strip(" _-.")) and own_cloth.file_of(self.name).exists()
        row = column.row()
        row.enabled = taken
        row.prop(self, "replace")
        column.label(
            text="There is a cloth of that name already" if taken else "",
            icon="ERROR" if taken else "NONE",
            translate=False,
        )

    def work(self, context):
        """Save it."""
        path = own_cloth.save(context.scene, self.name, self.replace)
        return f"{self.name.strip()} is the cloth now, kept in {path}"


class TOILE_OT_take_cloth(StepOperator, bpy.types.Operator):
    """Take this cloth"""

    bl_idname = "toile.take_cloth"
    bl_label = "Take this cloth"

    cloth: bpy.props.StringProperty(name="Cloth", options={"HIDDEN"}, translation_context=OURS)

    def work(self, context):
        """Take it."""
        if self.cloth not in FABRICS:
            raise ClothError(f"{self.cloth!r} is not a cloth of the table; choose one of {', '.join(FABRICS)}")
        context.scene.toile.fabric = self.cloth
        return f"{self.cloth.capitalize()} is the cloth now"


CLASSES = (TOILE_OT_own_cloth, TOILE_OT_fabric_folder, TOILE_OT_save_cloth, TOILE_OT_take_cloth)
