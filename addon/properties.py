"""What the maker sets in the window, kept on the scene. The draft's options come from the garment's own table.

Lengths are texts, read as on the command line: 82.5mm, 8.25cm, 3 1/4in. An empty one is worked out by its rule.
"""

import bpy

from drafting.cloth.fabric import FABRICS
from drafting.garments import GARMENTS
from drafting.units import format_length

GARMENT = "robe"


def option_property(option):
    """The property for one draft option."""
    words = {"name": option.label, "description": option.tip.removesuffix(".")}  # Blender adds the full stop
    if option.kind == "flag":
        return bpy.props.BoolProperty(default=bool(option.default), **words)
    if option.kind == "choice":
        items = [(choice, choice.capitalize(), words["description"]) for choice in option.choices]
        return bpy.props.EnumProperty(items=items, default=option.default, **words)
    default = "" if option.default is None else format_length(option.default)
    return bpy.props.StringProperty(default=default, **words)


def options_group(garment):
    """A property group with one property for each of a garment's options."""
    made = {option.name: option_property(option) for option in garment.options}
    return type(f"TOILE_PG_{garment.name}", (bpy.types.PropertyGroup,), {"__annotations__": made})


class TOILE_PG_measure(bpy.types.PropertyGroup):  # noqa: N801  Blender's way to name property groups
    """A measure taken by hand."""

    name: bpy.props.StringProperty(name="Measure")
    by_hand: bpy.props.StringProperty(name="By hand", description="Your own tape's length; empty: as on the scan")


TOILE_PG_options = options_group(GARMENTS[GARMENT])


class TOILE_PG_settings(bpy.types.PropertyGroup):  # noqa: N801
    """All settings, in the order of the steps."""

    scan: bpy.props.StringProperty(name="Scan", subtype="FILE_PATH", description="The doll's scan that is open")
    height: bpy.props.StringProperty(
        name="Height", description="Crown above soles, such as 42cm or 16 1/2in; empty: guessed from the scan"
    )
    show: bpy.props.EnumProperty(
        name="Lengths in",
        items=[("mm", "Millimetres", "Show lengths in millimetres"), ("in", "Inches", "Show lengths in inches")],
    )
    by_hand: bpy.props.CollectionProperty(type=TOILE_PG_measure)
    options: bpy.props.PointerProperty(type=TOILE_PG_options)
    fabric: bpy.props.EnumProperty(
        name="Cloth",
        items=[
            (name, name.capitalize(), f"{cloth.mass_g_m2:g} g/m², {cloth.thickness_mm:g} mm thick")
            for name, cloth in FABRICS.items()
        ],
        default="lawn",
    )
    edge: bpy.props.StringProperty(
        name="Mesh edge", description="Edge length of the cloth's triangles, such as 6mm; empty: fits the doll's size"
    )
    colour: bpy.props.FloatVectorProperty(
        name="Colour", subtype="COLOR_GAMMA", size=3, min=0.0, max=1.0, default=(0.36, 0.45, 0.60)
    )
    folder: bpy.props.StringProperty(name="Folder", subtype="DIR_PATH", description="Where the pictures go")
    size: bpy.props.IntProperty(name="Pixels", min=256, max=8000, default=1000, description="Width of each picture")
    stage: bpy.props.StringProperty(options={"SKIP_SAVE"})
    share: bpy.props.FloatProperty(min=0.0, max=1.0, subtype="FACTOR", options={"SKIP_SAVE"})


CLASSES = (TOILE_PG_measure, TOILE_PG_options, TOILE_PG_settings)


def option_texts(settings):
    """The draft options as texts, as the command line would give them; empty ones left out."""
    texts = {}
    for option in GARMENTS[GARMENT].options:
        value = getattr(settings.options, option.name)
        if option.kind == "flag":
            texts[option.name] = "yes" if value else "no"
        elif str(value).strip():
            texts[option.name] = str(value)
    return texts


def register() -> None:
    """Put the settings on every scene."""
    for cls in CLASSES:
        bpy.utils.register_class(cls)
    bpy.types.Scene.toile = bpy.props.PointerProperty(type=TOILE_PG_settings)


def unregister() -> None:
    """Take them away."""
    del bpy.types.Scene.toile
    for cls in reversed(CLASSES):
        bpy.utils.unregister_class(cls)
