"""What the maker sets in the window, kept on the scene. The draft's options come from the garment's own table.

Lengths are texts, read as on the command line: 82.5mm, 8.25cm, 3 1/4in. An empty one is worked out by its rule.
"""

import bpy

from drafting.body.dimensions import TABLE
from drafting.cloth.fabric import FABRICS, LAWN, lined
from drafting.fit.surface import SEEN
from drafting.garments import GARMENTS
from drafting.garments.options import cloth_options
from drafting.units import format_length
from drafting.words import title

from . import jobs, live, own_cloth
from .studio.stage import BACKDROPS
from .words import own_words

GARMENT = "robe"
NO_CLOTH = "none"
STEPS = ("doll", "tape", "draft", "cloth", "drape", "fit", "compare", "pictures", "paper")
MOST_ADVICE = 8  # more than a fit ever gives at once
PARTS = ("stance", "expected", "own", *(f"advice_{index}" for index in range(MOST_ADVICE)))
AXES = ("+X", "-X", "+Y", "-Y", "+Z", "-Z")


def option_property(option):
    """The property for one draft option."""
    words = {"name": option.label, "description": option_tip(option), "update": live.option_changed}
    if option.kind == "flag":
        return bpy.props.BoolProperty(default=bool(option.default), **words)
    if option.kind == "choice":
        items = [(choice, choice.capitalize(), words["description"]) for choice in option.choices]
        return bpy.props.EnumProperty(items=items, default=option.default, **words)
    default = "" if option.default is None else format_length(option.default)
    return bpy.props.StringProperty(default=default, **words)


def option_tip(option):
    """The trade's rule, and the range of a length; Blender adds the full stop."""
    tip = option.tip.removesuffix(".")
    if option.kind != "length":
        return tip
    return f"{tip}. From {format_length(option.low)} to {format_length(option.high)}; empty: by the rule"


def options_group(garment):
    """A property group with one property for each of a garment's options."""
    made = {option.name: option_property(option) for option in garment.options}
    return type(f"TOILE_PG_{garment.name}", (bpy.types.PropertyGroup,), {"__annotations__": made})


def cloth_items(without=""):
    """The table's cloths to choose from; first, where it is named, none of them."""
    cloths = [
        (name, name.capitalize(), f"{cloth.mass_g_m2:g} g/m², {cloth.thickness_mm:g} mm thick")
        for name, cloth in FABRICS.items()
    ]
    return [(NO_CLOTH, without, "No second cloth"), *cloths] if without else cloths


class TOILE_PG_measure(bpy.types.PropertyGroup):  # noqa: N801  Blender's way to name property groups
    """A measure, and what the maker's own tape says."""

    name: bpy.props.StringProperty(name="Measure")
    by_hand: bpy.props.StringProperty(
        name="Your own tape",
        description="What your own tape says, such as 82.5mm or 3 1/4in; empty: as taken from the scan",
        update=live.measure_changed,
    )


def fold(of, name):
    """Whether one of the sidebar's parts is unfolded, as a field of its own; unfolding it folds its neighbours."""

    def is_open(folds):
        return getattr(folds, of) == name

    def turn(folds, unfolded):
        if unfolded or is_open(folds):
            setattr(folds, of, name if unfolded else "")

    return bpy.props.BoolProperty(name=name.capitalize(), get=is_open, set=turn)


def folds_group():
    """Which step is unfolded in the sidebar, and which part within the steps: one of each at most. Kept with the
    window, not with the file.
    """
    groups = dict.fromkeys(f"group_{option.group.lower()}" for option in GARMENTS[GARMENT].options)
    made = {"step": bpy.props.StringProperty(default="doll"), "part": bpy.props.StringProperty(default="advice_0")}
    made |= {step: fold("step", step) for step in (*STEPS, "log")}
    made |= {part: fold("part", part) for part in (*PARTS, *groups)}
    return type("TOILE_PG_folds", (bpy.types.PropertyGroup,), {"__annotations__": made})


TOILE_PG_folds = folds_group()
TOILE_PG_options = options_group(GARMENTS[GARMENT])
OPTION_ITEMS = [
    (option.name, option.label, option.tip.removesuffix("."))
    for option in GARMENTS[GARMENT].options
    if option.kind in {"length", "choice"}
]
PICTURES = (
    ("plain", "Cloth", "The cloth in its colour"),
    ("print", "Print", "The printed cloth, at its true size"),
    *((name, name.capitalize(), words.capitalize()) for name, words in SEEN.items()),
)


class TOILE_PG_settings(bpy.types.PropertyGroup):  # noqa: N801
    """All settings, in the order of the steps."""

    scan: bpy.props.StringProperty(name="Scan", subtype="FILE_PATH", description="The doll's scan that is open")
    height: bpy.props.StringProperty(
        name="Height",
        description="Your doll's true height, crown to soles, such as 42cm or 16 1/2in; empty: guessed from the scan",
    )
    sure: bpy.props.StringProperty(options={"HIDDEN"})  # the height that the maker was asked about and stands by
    known: bpy.props.EnumProperty(
        name="Measure",
        description="A measure you have taped, by which the scan is sized where no height is given",
        items=[(row.name, title(row.name), row.rule.removesuffix(".")) for row in TABLE],
        default="bust_girth",
    )
    known_length: bpy.props.StringProperty(
        name="Taped", description="What your tape says there, such as 198mm; empty: not used"
    )
    up: bpy.props.EnumProperty(  # of the scan; files of before hold them, and scripts may set them
        items=[(name, name, "") for name in ("found", *AXES)], options={"HIDDEN"}
    )
    front: bpy.props.EnumProperty(items=[(name, name, "") for name in ("found", *AXES)], options={"HIDDEN"})
    quarters: bpy.props.IntProperty(options={"HIDDEN"})  # of a turn to her left, since she was stood up
    flipped: bpy.props.BoolProperty(options={"HIDDEN"})
    stand: bpy.props.StringProperty(
        name="Stand", description="Height of a stand or base plate to leave out, such as 12mm; empty: none"
    )
    show: bpy.props.EnumProperty(
        name="Lengths in",
        items=[
            ("mm", "mm", "Show lengths in millimetres"),
            ("in", "Inches", "Show lengths in inches, to a sixteenth"),
        ],
        update=live.draw_again,
    )
    by_hand: bpy.props.CollectionProperty(name="Your own tape", type=TOILE_PG_measure)
    lit: bpy.props.IntProperty(
        name="Measure", description="The measure whose tape is shown on the doll", default=-1, update=live.draw_again
    )
    options: bpy.props.PointerProperty(type=TOILE_PG_options)
    live: bpy.props.BoolProperty(
        name="Redraw at once", description="Draft anew as soon as an option changes", default=True
    )
    fabric: bpy.props.EnumProperty(
        name="Cloth",
        description="What the robe is made of",
        items=cloth_items(),
        default="lawn",
        update=own_cloth.forget,
    )
    lining: bpy.props.EnumProperty(
        name="Lining",
        description="A second cloth that hangs with the first as one",
        items=cloth_items("Unlined"),
        update=live.fabric_changed,
    )
    under: bpy.props.EnumProperty(
        name="Under-robe",
        description="What is worn beneath the robe, drafted to it a little smaller; it takes room of it",
        items=cloth_items("None"),
        update=live.fabric_changed,
    )
    own_cloth: bpy.props.StringProperty(options={"HIDDEN"}, update=live.fabric_changed)
    own_name: bpy.props.StringProperty(options={"HIDDEN"})
    weighed_side: bpy.props.StringProperty(
        name="Square", description="The side of the square of cloth that you weigh, such as 100mm or 4in"
    )
    weighed_grams: bpy.props.StringProperty(name="It weighs", description="The square's weight in grams, such as 0.8")
    overhang_warp: bpy.props.StringProperty(
        name="Overhang along",
        description="A strip cut along the selvedge, pushed over a table's edge until its tip has sunk to 41.5 "
        "degrees: how far it reaches out, such as 31mm",
    )
    overhang_weft: bpy.props.StringProperty(
        name="Overhang across", description="The same of a strip cut across, from selvedge to selvedge"
    )
    own_thickness: bpy.props.StringProperty(
        name="Thickness", description="Of one layer, such as 0.2mm; empty: worked out from the weight"
    )
    colour: bpy.props.FloatVectorProperty(
        name="Colour",
        subtype="COLOR_GAMMA",
        size=3,
        min=0.0,
        max=1.0,
        default=(0.36, 0.45, 0.60),
        description="The cloth's colour",
        update=live.cloth_changed,
    )
    printed: bpy.props.StringProperty(
        name="Print",
        subtype="FILE_PATH",
        description="A picture of your printed cloth, PNG or JPEG; empty: plain",
        update=live.cloth_changed,
    )
    printed_width: bpy.props.StringProperty(
        name="True width",
        description="How wide the picture is in cloth, such as 200mm or 8in",
        update=live.cloth_changed,
    )
    quality: bpy.props.EnumProperty(
        name="Drape",
        items=[
            ("quick", "Quick", "Coarse cloth for a first look at the girths, in about a quarter of the time"),
            ("full", "Full", "Fine cloth, for the numbers that you cut by"),
        ],
        default="full",
    )
    edge: bpy.props.StringProperty(
        name="Fineness",
        description="How far apart the cloth's points are, such as 6mm: less is finer and slower; empty: fits the doll",
    )
    picture: bpy.props.EnumProperty(
        name="On the cloth", description="What the robe shows", items=PICTURES, update=live.picture_changed
    )
    level: bpy.props.StringProperty(name="Level", description="The level that is shown cut through")
    contact_mm: bpy.props.FloatProperty(options={"HIDDEN"})
    vary: bpy.props.EnumProperty(
        name="Option",
        description="The option that differs from variant to variant",
        items=OPTION_ITEMS,
        default="sleeve_drop",
    )
    values: bpy.props.StringProperty(
        name="Values", description="One for each variant, with commas between, such as 60mm, 90mm, 140mm"
    )
    folder: bpy.props.StringProperty(name="Folder", subtype="DIR_PATH", description="Where results are written")
    size: bpy.props.IntProperty(name="Pixels", min=256, max=8000, default=1000, description="Width of each picture")
    shots: bpy.props.EnumProperty(
        name="Pictures",
        items=[
            ("fit", "Of the fit", "Front, back and side, and the room between skin and cloth"),
            ("listing", "For showing", "Front, three-quarter, back and the collar, with a long lens and soft lamps"),
            ("turntable", "Turntable", "Once round the doll, a picture a frame"),
            ("chart", "Size chart", "The doll with every tape where it lies, and a table of her measures"),
        ],
    )
    shape: bpy.props.EnumProperty(
        name="Shape",
        items=[
            ("square", "Square", "As wide as high"),
            ("portrait", "Portrait", "Four to five"),
            ("banner", "Banner", "Three times as wide as high"),
        ],
    )
    backdrop: bpy.props.EnumProperty(
        name="Backdrop", items=[(name, title, "What stands behind the doll") for name, (title, _) in BACKDROPS.items()]
    )
    plain_form: bpy.props.BoolProperty(
        name="Plain form", description="Show the body in the colour of a dress form instead of skin"
    )
    frames: bpy.props.IntProperty(
        name="Frames", min=4, max=360, default=36, description="Pictures of one turn round the doll"
    )
    film: bpy.props.BoolProperty(
        name="Film", description="Make the frames into an mp4 film as well, where this Blender can", default=True
    )
    page: bpy.props.EnumProperty(
        name="Page",
        description="What the pattern is printed on",
        items=[(name, name, f"Pages of {name}") for name in ("A4", "Letter", "A3", "A0")],
    )
    bolt: bpy.props.StringProperty(
        name="Cloth width", description="The width of the cloth as you buy it, such as 1100mm or 44in", default="1100mm"
    )
    folded: bpy.props.BoolProperty(name="Folded", description="The cloth is folded lengthwise: two pieces at a cut")
    one_way: bpy.props.BoolProperty(name="One-way print", description="No piece may be laid upside down")
    stage: bpy.props.StringProperty(get=lambda _: job.last.stage if (job := jobs.current()) else "")
    share: bpy.props.FloatProperty(get=lambda _: job.last.share if (job := jobs.current()) else 0.0, subtype="FACTOR")


CLASSES = tuple(map(own_words, (TOILE_PG_measure, TOILE_PG_folds, TOILE_PG_options, TOILE_PG_settings)))


def cloths_of(settings):
    """The cloth with its lining, and that of the under-robe; None where none was chosen.

    Lawn is what is assumed until the maker chooses, and a draft is then for cloth of the usual thickness.
    """
    cloth = own_cloth.chosen_in(settings.id_data)
    lining, under = (None if name == NO_CLOTH else FABRICS[name] for name in (settings.lining, settings.under))
    chosen = settings.own_cloth or settings.fabric != LAWN.name or lining
    return (lined(cloth, lining) if lining else cloth) if chosen else None, under


def option_texts(settings):
    """The draft options as texts, as the command line would give them; empty ones left out.

    How thick the cloths are follows from those that are chosen, unless the maker says it.
    """
    texts = {}
    for option in GARMENTS[GARMENT].options:
        value = getattr(settings.options, option.name)
        if option.kind == "flag":
            texts[option.name] = "yes" if value else "no"
        elif str(value).strip():
            texts[option.name] = str(value)
    cloths = cloth_options(*cloths_of(settings))
    return texts | {name: text for name, text in cloths.items() if not settings.options.is_property_set(name)}


def register() -> None:
    """Put the settings on every scene, and what is unfolded on the window."""
    for cls in CLASSES:
        bpy.utils.register_class(cls)
    bpy.types.Scene.toile = bpy.props.PointerProperty(type=TOILE_PG_settings)
    bpy.types.WindowManager.toile_folds = bpy.props.PointerProperty(type=TOILE_PG_folds)


def unregister() -> None:
    """Take them away."""
    del bpy.types.WindowManager.toile_folds
    del bpy.types.Scene.toile
    for cls in reversed(CLASSES):
        bpy.utils.unregister_class(cls)
