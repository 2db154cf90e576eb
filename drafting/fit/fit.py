"""The whole fit of one drape, and its written record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field

import numpy as np

from ..body.body import SIDES, Body
from ..cloth.crossing import crossing_pairs
from ..cloth.draped import Draped, Parting, SeamClosure
from ..cloth.fabric import Fabric
from ..garments.garment import Garment
from ..garments.layered import Beneath
from ..garments.robe_ease import ADULT_HEIGHT_MM
from ..pattern.pattern import Pattern
from ..words import plain
from .advice import Advice, Findings, advise
from .gap import Gap, read_gap
from .hang import Hem, Sleeve, read_hem, read_sleeves
from .lap import Lap, read_lap
from .layers import Layer, Under, layers_of, read_under
from .level import TIGHT, TRUNK_LEVELS, Level, read_levels
from .redraft import Redraft
from .sink import sink_words
from .stiffness import Stiffness, read_stiffness
from .stretch import Stretch, read_stretch
from .verdict import STRETCHED, open_reasons, verdict

# Faster than this a drape is not at rest enough to be trusted (the limit of the drape's own promise).
SPEED_MM_S = 5.0


@dataclass(frozen=True)
class Fit:
    """All that was read from a drape.

    Attributes
    ----------
    scale : float
        The doll's height over an adult's.
    reasons : tuple of str
        Why it does not close, if it does not.
    fronts : str
        "left over right", "right over left", or "" where nothing laps.
    crossings : int
        Pairs of the cloth's triangles that cut each other: cloth that passes through cloth.
    parted : Parting
        Such pairs as were pulled apart at the end.
    speed_p99_mm_s : float
        How fast the cloth still moved at the end.
    quick : bool
        Read from a quick drape.
    seconds : mapping of str to float
        "total", "solver", "pictures".
    cautions : tuple of str
        What to keep in mind when reading the numbers.
    layers : tuple of Layer
        All that is worn, from the body outwards.
    under : Under or None
        How the garment beneath fits, where there is one.
    """

    garment: str
    height_mm: float
    scale: float
    verdict: str
    reasons: tuple[str, ...]
    levels: tuple[Level, ...]
    laps: tuple[Lap, ...]
    fronts: str
    gap: Gap
    stretch: Stretch
    seams: SeamClosure
    hem: Hem | None
    sleeves: tuple[Sleeve, ...]
    crossings: int
    parted: Parting
    speed_p99_mm_s: float
    vertices: int
    edge_mm: float
    quick: bool
    fabric: Fabric
    stiffness: Stiffness
    advice: tuple[Advice, ...]
    cautions: tuple[str, ...] = ()
    layers: tuple[Layer, ...] = ()
    under: Under | None = None
    seconds: Mapping[str, float] = field(default_factory=dict)

    def sleeve(self, side: str) -> Sleeve | None:
        """The sleeve of that side, if there is one."""
        return next((sleeve for sleeve in self.sleeves if sleeve.side == side), None)


def read_fit(
    body: Body,
    draped: Draped,
    pattern: Pattern,
    garment: Garment,
    fabric: Fabric,
    seconds: Mapping[str, float],
    beneath: Beneath | None = None,
) -> Fit:
    """Read girths, gap, stretch, lap and hang of a draped garment, and draw verdict and advice from them.

    Parameters
    ----------
    seconds : mapping of str to float
        "total" and "pictures"; "solver" is taken from the drape if it is missing.
    beneath : Beneath, optional
        What is worn under it; it takes its thickness of the ease.
    """
    cloth, whole = draped.cloth, draped.whole
    scale = body.height_mm / ADULT_HEIGHT_MM
    under = read_under(draped, body, beneath, scale)
    levels = read_levels(cloth, body, garment, scale, fabric.thickness_mm, under.takes_mm if under else None)
    laps = tuple(lap for lap in (_lap(draped, body, name) for name in TRUNK_LEVELS) if lap is not None)
    stretch, gap = read_stretch(cloth, pattern), read_gap(cloth, body.skin, fabric.thickness_mm)
    hem, sleeves, fronts = read_hem(cloth), tuple(read_sleeves(cloth, body)), _fronts(draped.lap)
    sizes = {rule.name: rule.mm for rule in pattern.rules}
    crossings = len(crossing_pairs(whole.vertices, whole.faces))
    length = sizes.get("length", float(np.ptp(cloth.vertices[:, 2])))  # as it lies, where no rule set it
    redraft = Redraft(garment, {name: measure.mm for name, measure in body.measures.items()}, pattern)
    reasons = open_reasons(laps, draped.seams, stretch)
    found = Findings(body.height_mm, scale, fabric, redraft, levels, laps, hem, sleeves, reasons)
    return Fit(
        garment=pattern.garment,
        height_mm=body.height_mm,
        scale=scale,
        verdict=verdict(levels, laps, draped.seams, stretch),
        reasons=reasons,
        levels=levels,
        laps=laps,
        fronts=fronts,
        gap=gap,
        stretch=stretch,
        seams=draped.seams,
        hem=hem,
        sleeves=sleeves,
        crossings=crossings,
        parted=draped.parted,
        speed_p99_mm_s=draped.speed_p99_mm_s,
        vertices=len(whole.vertices),
        edge_mm=draped.edge_mm,
        quick=draped.quick,
        fabric=fabric,
        stiffness=read_stiffness(fabric, length, scale),
        advice=advise(found),
        cautions=(
            *_tight(under),
            *_cautions(body, [gap, *([under.gap] if under else [])], draped, stretch, fronts, pattern),
        ),
        layers=layers_of(pattern.garment, fabric, cloth, levels, under),
        under=under,
        seconds={"solver": draped.solver_seconds, **seconds},
    )


def fit_record(fit: Fit) -> dict[str, object]:
    """What is written to fit.json: plain numbers, lists and names; lengths mm, shares 0 .. 1."""
    sleeves = {side: fit.sleeve(side) for side in SIDES}
    drops = {side: None if sleeve is None else sleeve.drop_mm for side, sleeve in sleeves.items()}
    hangs = {side: None if sleeve is None else sleeve.hangs_mm for side, sleeve in sleeves.items()}
    ends = {side: None if sleeve is None else sleeve.past_wrist_mm for side, sleeve in sleeves.items()}
    hung = [drop for drop in drops.values() if drop is not None]
    record: dict[str, object] = {
        "garment": fit.garment,
        "height_mm": fit.height_mm,
        "scale": fit.scale,
        "verdict": fit.verdict,
        "reasons": fit.reasons,
        "levels": [_level(level) for level in fit.levels],
        "fronts": fit.fronts,
        "lap": [asdict(lap) | {"centres_apart_mm": lap.centres_apart_mm} for lap in fit.laps],
        "gap_mm": {name: getattr(fit.gap, name) for name in ("p05", "median", "p95", "max")},
        "contact_share": fit.gap.contact_share,
        "contact_mm": fit.gap.contact_mm,
        "stretch": {"p99": fit.stretch.edges.p99, "max": fit.stretch.edges.max} | asdict(fit.stretch),
        "seams": {
            "count": fit.seams.count,
            "widest_open_mm": fit.seams.widest_open_mm,
            "widest_welded_mm": fit.seams.widest_welded_mm,
            "longest_mismatch_mm": fit.seams.longest_mismatch_mm,
        },
        "below_skin": {"deepest_mm": fit.gap.below_deepest_mm, "share": fit.gap.below_share},
        "hem": {
            "above_floor_mm": fit.hem.lowest_mm if fit.hem else None,
            "mean_above_floor_mm": fit.hem.mean_mm if fit.hem else None,
        },
        "sleeve": {
            "past_wrist_mm": ends,
            "drop_mm": sum(hung) / len(hung) if hung else None,
            "drop_sides_mm": drops,
            "hangs_sides_mm": hangs,
        },
        "layers": [_layer(layer) for layer in fit.layers],
        "under": _under(fit.under),
        "crossings": fit.crossings,
        "parted": asdict(fit.parted),
        "settled": {"p99_mm_per_s": fit.speed_p99_mm_s},
        "cloth": {"vertices": fit.vertices, "edge_mm": fit.edge_mm, "quick": fit.quick} | _cloth(fit),
        "seconds": {name: float(fit.seconds.get(name, 0.0)) for name in ("total", "solver", "pictures")},
        "advice": [advice.sentence for advice in fit.advice],
        "changes": [{"option": one.option, "change_mm": one.change_mm} for one in fit.advice if one.option],
        "cautions": fit.cautions,
    }
    return {name: _plain(value) for name, value in record.items()}


def _level(level: Level) -> dict[str, object]:
    return asdict(level) | {"ease_mm": level.ease_mm, "verdict": level.verdict}


def _layer(layer: Layer) -> dict[str, object]:
    girths = {level: {"garment_girth_mm": cloth, "tape_mm": tape} for level, cloth, tape in layer.girths}
    return asdict(layer) | {"takes_mm": layer.takes_mm, "girths": girths}


def _under(under: Under | None) -> dict[str, object] | None:
    if under is None:
        return None
    return {
        "levels": [_level(level) for level in under.levels],
        "below_skin": {"deepest_mm": under.gap.below_deepest_mm, "share": under.gap.below_share},
        "stretch": {"p99": under.stretch.edges.p99, "max": under.stretch.edges.max},
    }


def _cloth(fit: Fit) -> dict[str, object]:
    stiffness = fit.stiffness
    told = {"over_size": stiffness.over_size, "words": stiffness.words}
    return {
        "fabric": asdict(fit.fabric) | {"bending_mm": fit.fabric.bending_mm},
        "stiffness": asdict(stiffness) | told,
    }


def _plain(value: object) -> object:
    """Only what JSON knows; numbers to a tenth of a micrometre."""
    if isinstance(value, Mapping):
        return {str(name): _plain(part) for name, part in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(part) for part in value]
    return round(float(value), 4) if isinstance(value, float) else value


def _lap(draped: Draped, body: Body, name: str) -> Lap | None:
    measure = body.measures.get(f"{name}_girth")
    if measure is None or measure.level_mm is None:
        return None
    return read_lap(draped.cloth, name, measure.level_mm)


def _fronts(uppermost: str) -> str:
    if not uppermost:
        return ""
    return "left over right" if uppermost.endswith(".left") else "right over left"


def _tight(under: Under | None) -> tuple[str, ...]:
    """Where the garment beneath is tight, a sentence each."""
    if under is None:
        return ()
    return tuple(
        f"The {under.layer.name} is tight at the {plain(level.name)}: ease {level.ease_mm:.1f} mm, "
        f"{level.wanted_mm[0]:.1f} mm is wanted; draft it wider, or choose thinner cloth for it."
        for level in under.levels
        if level.verdict == TIGHT and level.ease_mm is not None
    )


def _cautions(
    body: Body, gaps: Sequence[Gap], draped: Draped, stretch: Stretch, fronts: str, pattern: Pattern
) -> tuple[str, ...]:
    cautions, speed = [], draped.speed_p99_mm_s
    if draped.quick:
        cautions.append(
            f"A quick look with coarse cloth, {draped.edge_mm:.1f} mm from point to point: verdict and girths are to "
            "go by, hem, folds and how the sleeves hang are rough; drape in full before you cut."
        )
    cautions += sink_words(body, gaps, draped.quick)
    if stretch.edges.p99 > STRETCHED and stretch.edges.drawn <= STRETCHED and not draped.quick:
        cautions.append(
            f"The cloth is pushed together by {100 * stretch.edges.p99:.1f} % in folds too fine for it: read hem "
            "and sleeves with care, or drape again in finer cloth."
        )
    if speed > SPEED_MM_S:
        cautions.append(f"The cloth was still moving at {speed:.1f} mm per second when it was read: it is not at rest.")
    wanted = pattern.options.get("fronts")
    if fronts and isinstance(wanted, str) and wanted != fronts:
        cautions.append(f"The fronts lie {fronts}, but {wanted} was wanted.")
    return tuple(cautions)
