"""What the maker sets once for all her files: lengths, where results go, where her cloths lie."""

import bpy

from .words import own_words

OWN = __package__  # the name that Blender knows the extension by


class TOILE_preferences(bpy.types.AddonPreferences):  # noqa: N801  Blender's way to name its classes
    """Edit, Preferences, Add-ons, Pocket Toile."""

    bl_idname = OWN

    show: bpy.props.EnumProperty(
        name="Lengths in",
        description="How lengths are shown for a new doll",
        items=[
            ("scene", "As the scene", "Inches where the scene's units are imperial, else millimetres"),
            ("mm", "Millimetres", "Show lengths in millimetres"),
            ("in", "Inches", "Show lengths in inches and their fractions"),
        ],
    )
    folder: bpy.props.StringProperty(
        name="Results", subtype="DIR_PATH", description="Where pictures and patterns of a new doll go"
    )
    fabrics: bpy.props.StringProperty(
        name="Fabrics", subtype="DIR_PATH", description="A folder with your own cloths, a .toml file each"
    )

    def draw(self, _context):
        """Draw."""
        column = self.layout.column()
        column.use_property_split = True
        column.prop(self, "show")
        column.prop(self, "folder")
        column.prop(self, "fabrics")


def wishes() -> bpy.types.AddonPreferences | None:
    """The maker's preferences; None where Blender has not enabled the extension, as in a script."""
    known = bpy.context.preferences.addons.get(OWN)
    return known.preferences if known else None


def start_with(scene: bpy.types.Scene) -> None:
    """Give a scene the maker's own way, where she has not chosen another in it."""
    own, settings = wishes(), scene.toile
    if own is None:
        return
    if not settings.is_property_set("show"):
        imperial = scene.unit_settings.system == "IMPERIAL"
        settings.show = own.show if own.show != "scene" else ("in" if imperial else "mm")
    if not settings.folder and own.folder:
        settings.folder = own.folder


def register() -> None:
    """Make the preferences known."""
    bpy.utils.register_class(own_words(TOILE_preferences))


def unregister() -> None:
    """Forget them."""
    bpy.utils.unregister_class(TOILE_preferences)
