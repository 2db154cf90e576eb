"""What the maker asked for on the command line, read and checked before any work begins."""

from __future__ import annotations

import argparse
import difflib
import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NoReturn

from drafting.body.body import FloatArray
from drafting.cloth.fabric import FABRICS, LAWN, Fabric, lined
from drafting.errors import OptionError
from drafting.garments import GARMENTS
from drafting.garments.garment import Garment, Option
from drafting.garments.options import cloth_options
from drafting.garments.styles import STYLES, Style, style_of
from drafting.paper.layout import Spread
from drafting.paper.page import Page, read_page
from drafting.units import format_length, split_lengths

from . import reading
from .help import OTHERS, VERBS
from .reading import Also

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "sample_meshes" / "quarter_curvy.glb"
SAMPLE_HEIGHT_MM = 420.0
RESULTS = Path("toile_out")
A4 = read_page("A4")
WORN = ("fit", "compare", "pictures")  # verbs that drape what is worn, with what is under it
DRAWN = ("paper", "fit")  # verbs that take panels which the maker drew herself
LAWN_WIDTH = Spread(1100.0)  # a usual width of dress cotton (common practice, no source)


@dataclass(frozen=True)
class Request:
    """One call of a verb.

    Attributes
    ----------
    scan : Path
        The scan, or for `pictures` the folder of a fit.
    height_mm : float or None
        The doll's true height; None when it was not given.
    options : mapping of str to str
        Draft options as written.
    measures : mapping of str to float
        Measures given by hand, mm.
    cut_below_mm : float or None
        Height of a stand that is left out.
    known : mapping of str to float
        Taped measures that set the size, mm.
    landmarks : mapping of str to (3,) float
        Points that overrule those found, mm.
    values : tuple of str
        The values of the option `vary`, as written.
    page : Page
        What the pattern is printed on.
    also : tuple of Also
        The other dolls of a set.
    spread : Spread
        The cloth that it is cut from.
    drawing : Path or None
        Panels of the maker's own, in place of a draft.
    under : Fabric or None
        The cloth of an under-robe.
    under_options : mapping of str to str
        Draft options in which it differs, as written.
    cloths : mapping of str to str
        Draft options that follow from the cloths that were chosen.
    style : Style or None
        The robe to begin with; the options given change it.
    trust : bool
        Whether to go on although something about the doll is doubted.
    """

    verb: str
    scan: Path
    out: Path
    garment: Garment
    options: Mapping[str, str]
    measures: Mapping[str, float]
    height_mm: float | None = None
    cut_below_mm: float | None = None
    known: Mapping[str, float] = field(default_factory=dict)
    landmarks: Mapping[str, FloatArray] = field(default_factory=dict)
    unit: str | None = None
    up: str | None = None
    front: str | None = None
    show: str = "mm"
    fabric: Fabric = LAWN
    edge_mm: float | None = None
    quick: bool = False
    size: int | None = None
    vary: str = ""
    values: tuple[str, ...] = ()
    colour: tuple[float, float, float] | None = None
    printed: Path | None = None
    printed_width_mm: float = 0.0
    page: Page = A4
    also: tuple[Also, ...] = ()
    spread: Spread = LAWN_WIDTH
    drawing: Path | None = None
    under: Fabric | None = None
    under_options: Mapping[str, str] = field(default_factory=dict)
    cloths: Mapping[str, str] = field(default_factory=dict)
    style: Style | None = None
    trust: bool = False


class Reader(argparse.ArgumentParser):
    """A parser whose complaints are errors of ours."""

    def error(self, message: str) -> NoReturn:
        """Raise what argparse would print."""
        raise OptionError(f"{message.removeprefix('argument ')}; see: toile.py {self.prog.split()[-1]} --help")


def read_request(words: Sequence[str]) -> Request:
    """Read a verb and its options.

    Raises
    ------
    OptionError, LengthError
        An option that is not known, or a value that cannot be.
    """
    verb, *rest = words
    if verb not in VERBS:
        raise OptionError(f"{verb!r} is not a verb; choose one of {', '.join([*VERBS, *OTHERS])}")
    garment = GARMENTS["robe"]
    given, unknown = _reader(verb, garment).parse_known_args(_negatives_joined(rest))
    if unknown:
        raise OptionError(_unknown(unknown[0], verb, garment))
    if given.quick and given.edge:
        raise OptionError("--quick chooses the edge length; leave out --edge or --quick")
    options, drawing = _options(given, garment), _drawing(verb, given)
    style = style_of(reading.dashed(given.style)) if given.style else None
    if drawing is not None and style is not None:
        raise OptionError(f"--from {drawing} is drafted already; leave out --style")
    if drawing is not None and options:
        raise OptionError(f"--from {drawing} is drafted already; leave out --{next(iter(options))}")
    height = reading.height(given.height) if given.height else SAMPLE_HEIGHT_MM if given.scan is None else None
    vary, values = _vary(given.vary, garment) if verb == "compare" else ("", ())
    fabric, under = _fabric(given), reading.fabric(given.under, "--under") if given.under else None
    out = Path(given.out) if given.out else _own_folder(given.scan, drawing)
    return Request(
        verb=verb,
        scan=SAMPLE if given.scan is None else Path(given.scan),
        out=out,
        garment=garment,
        options=options,
        measures=dict(reading.measure(text) for text in given.measure),
        height_mm=height,
        cut_below_mm=reading.length("--cut-below", given.cut_below) if given.cut_below else None,
        known=dict(reading.measure(text, "--known") for text in given.known),
        landmarks=reading.landmarks(given.landmarks),
        unit=given.unit,
        up=given.up,
        front=given.front,
        show=given.show or reading.unit_of(given.height),
        fabric=fabric,
        edge_mm=reading.length("--edge", given.edge) if given.edge else None,
        quick=given.quick,
        size=given.size,
        vary=vary,
        values=values,
        colour=reading.colour(given.colour) if given.colour else None,
        printed=reading.printed(given.print, given.print_width),
        printed_width_mm=reading.length("--print-width", given.print_width) if given.print_width else 0.0,
        page=read_page(given.page),
        also=tuple(reading.also(text) for text in given.also),
        spread=_spread(given),
        drawing=drawing,
        under=under,
        under_options=_under_options(verb, given, garment, out),
        cloths=cloth_options(fabric if given.fabric or given.lining else None, under),
        style=style,
        trust=given.trust,
    )


def _own_folder(scan: str | None, drawing: Path | None) -> Path:
    """Where results go unless told: each doll has a folder of her name, and of the drawing's that she wears.

    A kept pattern is called as the folder that it lies in; photographs of a fit lie beside it.
    """
    path = Path(scan) if scan is not None else SAMPLE
    if os.path.isdir(path):
        return path
    name = path.stem
    if path.suffix.lower() == ".json":
        lies_in = path.absolute().parent.name
        name = lies_in if name == "pattern" else f"{lies_in}-{name}"
    if drawing is not None:
        name = drawing.stem if scan is None else f"{name}-{drawing.stem}"
    return RESULTS / (name[:80] or "doll")


def _fabric(given: argparse.Namespace) -> Fabric:
    """The garment's cloth, with its lining."""
    cloth = reading.fabric(given.fabric) if given.fabric else LAWN
    return lined(cloth, reading.fabric(given.lining, "--lining")) if given.lining else cloth


def _under_options(verb: str, given: argparse.Namespace, garment: Garment, out: Path) -> dict[str, str]:
    """In what the under-robe's draft differs."""
    if given.under and verb not in WORN:
        raise OptionError(
            f"--under is for {', '.join(WORN)}; fit writes the under-robe's draft, for: toile.py paper "
            f"{out / 'under_pattern.json'}"
        )
    if given.under_option and not given.under:
        raise OptionError("--under-option needs an under-robe: give its cloth, such as --under voile")
    if given.under and given.drawing:
        raise OptionError(f"--under drafts an under-robe to a drafted robe; leave it out, or --from {given.drawing}")
    options = {}
    for text in given.under_option:
        name, sign, value = text.partition("=")
        name = name.strip().lstrip("-").replace("-", "_")
        if not sign or not value.strip():
            raise OptionError(f"--under-option {text}: NAME=VALUE is expected, such as length=250mm")
        if name not in [option.name for option in garment.options]:
            raise OptionError(_unknown(f"--{name}", verb, garment))
        options[name] = reading.spaced(value.strip()) if name in _choices(garment) else value.strip()
    return options


def _choices(garment: Garment) -> list[str]:
    return [option.name for option in garment.options if option.kind == "choice"]


def _drawing(verb: str, given: argparse.Namespace) -> Path | None:
    """Panels that the maker drew herself, where she gave them."""
    if given.drawing is None:
        return None
    if verb not in DRAWN:
        raise OptionError(f"--from is for {' and '.join(DRAWN)}: {verb} takes a scan alone")
    if verb == "paper" and given.scan is not None:
        raise OptionError(f"give {given.scan} or --from {given.drawing}, not both")
    if Path(given.drawing).suffix.lower() != ".svg":
        raise OptionError(f"--from {given.drawing} is no drawing that can be read; save it as .svg")
    if not Path(given.drawing).is_file():
        raise OptionError(f"--from {given.drawing} is not a file; give a drawing saved as .svg")
    return Path(given.drawing)


def _spread(given: argparse.Namespace) -> Spread:
    """The cloth as it lies on the table."""
    sizes = {
        "width": reading.length("--cloth-width", given.cloth_width) if given.cloth_width else LAWN_WIDTH.width,
        "length": reading.length("--cloth-length", given.cloth_length) if given.cloth_length else LAWN_WIDTH.length,
        "selvedge": reading.length("--selvedge", given.selvedge) if given.selvedge else LAWN_WIDTH.selvedge,
    }
    return Spread(**sizes, folded=given.folded, one_way=given.one_way, alike=given.alike)


def _negatives_joined(words: Sequence[str]) -> list[str]:
    """`--name -5mm` as `--name=-5mm`, and `--up -Z`, since argparse takes a leading minus for another option."""
    joined: list[str] = []
    for word in words:
        if re.match(r"-([\d.]|[XYZxyz]$)", word) and joined and joined[-1].startswith("--"):
            joined[-1] += f"={word}"
        else:
            joined.append(word)
    return joined


def _reader(verb: str, garment: Garment) -> Reader:
    """All that a verb understands."""
    usage = f"toile.py {verb} [SCAN] [options]"
    reader = Reader(prog=f"toile.py {verb}", usage=usage, description=VERBS[verb], allow_abbrev=False)
    whats = {"pictures": "a fit's folder, or a scan", "paper": "the scan, or a pattern.json"}
    what = whats.get(verb, "the scan: .stl .obj .ply .3mf .glb")
    reader.add_argument("scan", nargs="?", metavar="SCAN", help=f"{what}; a sample doll if left out")
    reader.add_argument("--out", metavar="DIR", help="folder for the results (toile_out and the scan's name)")
    reader.add_argument("--traceback", action="store_true", help="show where an unforeseen error happened")
    doll = reader.add_argument_group("doll")
    doll.add_argument("--height", metavar="LENGTH", help='true height, such as 42cm, 420mm, "16 1/2in"')
    doll.add_argument("--unit", choices=("mm", "cm", "in", "m"), help="the scan's unit, where no height is given")
    doll.add_argument("--up", help="the scan's axis from soles to crown, such as +Y")
    doll.add_argument("--front", help="the scan's axis from back to face, such as +Z")
    doll.add_argument(
        "--measure", action="append", default=[], metavar="NAME=LENGTH", help="a measure taken by hand; may be repeated"
    )
    doll.add_argument(
        "--known", action="append", default=[], metavar="NAME=LENGTH", help="a taped measure that sets the size"
    )
    doll.add_argument(
        "--cut-below", "--cut_below", metavar="LENGTH", help="leave out a stand: all below this height over the floor"
    )
    doll.add_argument("--landmarks", metavar="FILE", help="points that overrule those found, as in measures.json")
    doll.add_argument("--trust", action="store_true", help="draft and print although something about her is doubted")
    doll.add_argument("--show", choices=("mm", "in"), help="unit of printed tables")
    cloth = reader.add_argument_group("cloth")
    cloth.add_argument("--fabric", metavar="NAME", help=f"{', '.join(FABRICS)}, or your own as cloth.toml (lawn)")
    cloth.add_argument("--lining", metavar="NAME", help="a second cloth that hangs with the first as one")
    cloth.add_argument("--under", metavar="NAME", help="an under-robe of this cloth beneath the robe, drafted to it")
    cloth.add_argument(
        "--under-option",
        "--under_option",
        action="append",
        default=[],
        metavar="NAME=VALUE",
        help="a draft option in which the under-robe differs; may be repeated",
    )
    cloth.add_argument("--edge", metavar="LENGTH", help="edge length of the cloth's triangles")
    cloth.add_argument("--quick", action="store_true", help="coarse cloth, a first look in a quarter of the time")
    pictures = reader.add_argument_group("pictures")
    pictures.add_argument("--size", type=reading.size, metavar="PIXELS", help="width and height of each picture")
    pictures.add_argument("--colour", "--color", default="", help="the cloth's colour, such as #8fa6c0")
    pictures.add_argument("--print", metavar="IMAGE", help="a picture of printed cloth (PNG), or: sample")
    pictures.add_argument("--print-width", "--print_width", metavar="LENGTH", help="how wide that picture is on cloth")
    paper = reader.add_argument_group("paper")
    paper.add_argument("--page", default="A4", help="A4, Letter, A3, A0, or its sides as 210x297mm (A4)")
    paper.add_argument(
        "--also",
        nargs="+",
        default=[],
        metavar="SCAN[=HEIGHT]",
        help="more dolls, nested as sizes on the same sheets: third.glb=60cm, or a pattern.json",
    )
    paper.add_argument(
        "--from", dest="drawing", metavar="DRAWING.svg", help="panels that you drew yourself, in place of a draft"
    )
    paper.add_argument("--cloth-width", "--cloth_width", metavar="LENGTH", help="the cloth to cut from (110cm)")
    paper.add_argument(
        "--cloth-length", "--cloth_length", metavar="LENGTH", help="of one piece, such as a fat quarter's"
    )
    paper.add_argument("--selvedge", metavar="LENGTH", help="kept free along each selvedge (0)")
    paper.add_argument("--folded", action="store_true", help="cut from cloth folded lengthwise")
    paper.add_argument("--one-way", "--one_way", action="store_true", help="a print or a nap that runs one way")
    paper.add_argument("--alike", action="store_true", help="both faces of the cloth are alike")
    reader.add_argument("--vary", metavar="NAME=a,b,c", help="compare: the option to vary and its values")
    listed = "; ".join(f"{style.name}: {style.about}" for style in STYLES.values())
    draft = reader.add_argument_group("draft")
    draft.add_argument("--style", metavar="NAME", help=f"a robe to begin with, changed by the options below. {listed}")
    groups: dict[str, argparse._ArgumentGroup] = {}
    for option in garment.options:
        if option.group not in groups:
            groups[option.group] = reader.add_argument_group(f"draft: {option.group.lower()}")
        _add_option(groups[option.group], option)
    return reader


def _add_option(group: argparse._ArgumentGroup, option: Option) -> None:
    """One draft option, as --name_of_it or --name-of-it."""
    names = dict.fromkeys((f"--{option.name}", f"--{option.name.replace('_', '-')}"))
    tip = f"{option.tip} ({_usual(option)})".replace("%", "%%")
    if option.kind == "flag":
        group.add_argument(*names, dest=option.name, nargs="?", const="yes", metavar="yes|no", help=tip)
    else:
        choices = "|".join(choice.replace(" ", "-") for choice in option.choices)
        metavar = choices if option.kind == "choice" else "LENGTH"
        group.add_argument(*names, dest=option.name, metavar=metavar, help=tip)


def _usual(option: Option) -> str:
    """An option's default as it is written."""
    if option.default is None:
        return "worked out"
    if option.kind == "length":
        return format_length(float(option.default))
    return ("yes" if option.default else "no") if option.kind == "flag" else str(option.default)


def _options(given: argparse.Namespace, garment: Garment) -> dict[str, str]:
    """The draft options that were given; a choice of several words may be written with dashes."""
    texts = {}
    for option in garment.options:
        text = getattr(given, option.name)
        if text is not None:
            texts[option.name] = reading.spaced(text) if reading.spaced(text) in option.choices else text
    return texts


def _vary(text: str | None, garment: Garment) -> tuple[str, tuple[str, ...]]:
    """The option to vary and its values."""
    name, sign, listed = (text or "").partition("=")
    name = name.strip().lstrip("-").replace("-", "_")
    values = tuple(split_lengths(listed))
    if not sign or len(values) < 2:
        raise OptionError("compare needs --vary NAME=a,b with two values or more, such as --vary sleeve_drop=60mm,90mm")
    if name not in [option.name for option in garment.options]:
        raise OptionError(_unknown(f"--{name}", "compare", garment))
    return name, values


def _unknown(word: str, verb: str, garment: Garment) -> str:
    """What to say about a word that is not understood."""
    known = [f"--{option.name}" for option in garment.options] + ["--height", "--unit", "--out", "--fabric", "--edge"]
    known += ["--quick", "--known", "--cut-below", "--landmarks", "--measure", "--page", "--also", "--from"]
    known += [
        "--lining",
        "--style",
        "--under",
        "--under-option",
        "--cloth-width",
        "--cloth-length",
        "--selvedge",
        "--folded",
    ]
    known += ["--one-way", "--alike", "--trust"]
    near = difflib.get_close_matches(word.split("=")[0].replace("-", "_").replace("__", "--", 1), known, 1, 0.6)
    hint = f"did you mean {near[0]}? " if near else ""
    return f"unknown option {word}: {hint}All options: toile.py {verb} --help"
