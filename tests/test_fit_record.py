"""The whole reading of a drape of known shape, its record, and the model file."""

from __future__ import annotations

import io
import json
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from tubes import PlainRobe, Weaver, circle, draped, pattern_of, sleeve, straight_arm, tube_body, wrap

from drafting.cloth.fabric import LAWN
from drafting.fit.fit import fit_record, read_fit
from drafting.fit.gap import Gap
from drafting.fit.model import drape_glb
from drafting.fit.sink import sink_words

QUARTER, LAP = 70.0, 25.0
ARM = straight_arm([45, 0, 330], 40, 150)  # its wrist is 120 mm from the joint
BODY = tube_body(42.0, 420.0, ARM)


def robe(quarter: float = QUARTER, drop: tuple[float, float] = (90.0, 90.0)) -> Weaver:
    weaver = wrap(circle(4 * quarter / 2 / np.pi), quarter, LAP, 25, 330, columns=60)
    for side, depth in zip(("left", "right"), drop, strict=True):
        sleeve(weaver, ARM, side, 30, 132, depth, 12)
    return weaver


def read(weaver: Weaver, low: float = 5, high: float = 300, **how: object):
    cloth = weaver.cloth()
    pattern = pattern_of(cloth, fronts="left over right", sleeve_drop=90.0)
    return read_fit(BODY, draped(cloth, **how), pattern, PlainRobe(low, high), LAWN, {"total": 31.0, "pictures": 4.0})


@pytest.fixture(scope="module")
def fit():
    return read(robe())


@pytest.fixture(scope="module")
def record(fit):
    return json.loads(json.dumps(fit_record(fit), allow_nan=False))


def test_the_record_has_the_keys_that_are_promised(record):
    promised = {
        "verdict": str, "levels": list, "gap_mm": dict, "contact_share": float, "stretch": dict, "seams": dict,
        "below_skin": dict, "hem": dict, "sleeve": dict, "settled": dict, "cloth": dict, "seconds": dict,
        "advice": list,
    }  # fmt: skip
    assert {name: type(record[name]) for name in promised} == promised
    assert [level["name"] for level in record["levels"]] == ["bust", "waist", "hip", "upper_arm", "wrist"]
    for level in record["levels"]:
        assert level.keys() >= {
            "name",
            "height_mm",
            "body_girth_mm",
            "garment_girth_mm",
            "ease_mm",
            "wanted_mm",
            "verdict",
        }
    assert record["gap_mm"].keys() == {"p05", "median", "p95", "max"}
    assert record["stretch"].keys() >= {"p99", "max", "warp", "weft", "bias"}
    assert record["seams"].keys() >= {"count", "widest_open_mm", "longest_mismatch_mm"}
    assert record["below_skin"].keys() == {"deepest_mm", "share"}
    assert record["hem"].keys() >= {"above_floor_mm"}
    assert record["sleeve"].keys() >= {"past_wrist_mm", "drop_mm"}
    assert record["sleeve"]["past_wrist_mm"].keys() == {"left", "right"}
    assert record["settled"] == {"p99_mm_per_s": 2.5}
    assert record["cloth"].keys() == {"vertices", "edge_mm", "quick", "fabric", "stiffness"}
    assert record["seconds"] == {"total": 31.0, "solver": 20.0, "pictures": 4.0}
    assert all(isinstance(sentence, str) for sentence in record["advice"])


def test_what_is_recorded_is_what_was_laid(record):
    body = 2 * np.pi * 42
    for level in record["levels"][:3]:
        assert level["body_girth_mm"] == pytest.approx(body, abs=1e-3)
        assert level["garment_girth_mm"] == pytest.approx(4 * QUARTER, abs=0.05)
        assert level["ease_mm"] == pytest.approx(4 * QUARTER - body, abs=0.05)
        assert level["verdict"] == "fits"
    assert [level["height_mm"] for level in record["levels"][:3]] == pytest.approx([294, 252, 210])
    wrist = record["levels"][4]
    assert wrist["garment_girth_mm"] == pytest.approx(180, abs=0.1)
    assert wrist["sides_mm"] == pytest.approx([180, 180], abs=0.1)
    assert record["hem"]["above_floor_mm"] == pytest.approx(25)
    assert [lap["overlap_mm"] for lap in record["lap"]] == pytest.approx([2 * LAP] * 3, abs=0.05)
    assert record["fronts"] == "left over right"
    assert record["scale"] == pytest.approx(420 / 1650, abs=1e-4)
    assert record["stretch"]["p99"] < 0.001
    assert record["verdict"] == "fits"


def test_the_cloth_is_told_with_its_stiffness_at_this_size(record):
    cloth, stiffness = record["cloth"]["fabric"], record["cloth"]["stiffness"]
    assert cloth["name"] == stiffness["fabric"] == "lawn"
    assert cloth["bending_mm"] ** 2 == pytest.approx(cloth["warp_mm"] * cloth["weft_mm"], abs=1e-2)
    assert stiffness["size"] == "garment's length from shoulder to hem"
    assert stiffness["over_size"] == pytest.approx(cloth["bending_mm"] / stiffness["size_mm"], abs=1e-4)
    assert stiffness["grown_mm"] == pytest.approx(cloth["bending_mm"] / record["scale"], rel=1e-3)
    assert f"{stiffness['grown_mm']:.0f} mm is to a grown woman" in stiffness["words"]


def test_the_gap_over_the_trunk_alone_is_even():
    trunk = read(wrap(circle(4 * QUARTER / 2 / np.pi), QUARTER, LAP, 25, 330))
    room = 4 * QUARTER / 2 / np.pi - 42
    assert trunk.gap.median == pytest.approx(room, abs=0.05)
    assert trunk.gap.max == pytest.approx(room, abs=0.05)
    assert fit_record(trunk)["sleeve"] == {
        "past_wrist_mm": {"left": None, "right": None},
        "drop_mm": None,
        "drop_sides_mm": {"left": None, "right": None},
        "hangs_sides_mm": {"left": None, "right": None},
    }


def test_where_sleeves_end_is_read_on_the_arm_not_where_their_mouth_hangs(record):
    """The wrist edge lies square across the arm here, 12 mm past the wrist, and its whole mouth is 180 mm round."""
    assert record["sleeve"]["past_wrist_mm"] == pytest.approx({"left": 12, "right": 12}, abs=1e-3)


def test_a_mouth_that_hangs_straight_down_does_not_read_as_length():
    """Shear the sleeve so that all cloth below the arm hangs plumb: the fold still ends where it did."""
    weaver = robe()
    cloth = weaver.cloth()
    vertices = cloth.vertices.copy()
    mine = np.unique(cloth.faces[cloth.piece == cloth.pieces.index("sleeve.left")])
    down = np.array([-np.sin(np.radians(40)), 0, -np.cos(np.radians(40))])
    hang = np.maximum((vertices[mine] - ARM.axis[0]) @ down, 0)
    vertices[mine] += hang[:, None] * (np.array([0, 0, -1.0]) - down)
    plumb = replace(cloth, vertices=vertices)
    pattern = pattern_of(cloth)
    fit = read_fit(BODY, draped(plumb), pattern, PlainRobe(5, 300), LAWN, {})
    assert fit.sleeve("left").past_wrist_mm == pytest.approx(12, abs=0.5)


@pytest.mark.parametrize("drops", [(60.0, 60.0), (90.0, 120.0)])
def test_a_drop_is_taped_on_the_cloth_and_hangs_less(drops):
    """Over an arm of radius r the cloth goes round a quarter circle first: that much less deep than it is long."""
    found = fit_record(read(robe(drop=drops)))["sleeve"]
    deep = [np.hypot(12 + drop - 6 * np.pi, 12) for drop in drops]
    assert [found["hangs_sides_mm"][side] for side in ("left", "right")] == pytest.approx(deep, abs=0.02)
    assert [found["drop_sides_mm"][side] for side in ("left", "right")] == pytest.approx(drops, abs=0.02)
    assert found["drop_mm"] == pytest.approx(np.mean(drops), abs=0.02)


def test_a_tight_robe_is_called_tight_and_told_how_much():
    fit = read(robe(), low=30)
    missing = 30 - (4 * QUARTER - 2 * np.pi * 42)
    assert fit.verdict == "tight"
    # A plain tube has no options: it is changed by hand.
    assert fit.advice[0].sentence.startswith(f"Make each back and front {np.ceil(missing / 4):.0f} mm wider: at the")


def test_a_robe_that_is_too_narrow_to_lap_does_not_close():
    weaver = wrap(circle(45), 50.0, 10, 25, 330)
    fit = read(weaver)
    assert fit.verdict == "does not close"
    assert fit.advice[0].sentence.startswith("Make the overlap of each front")
    assert any("gape" in reason for reason in fit.reasons)


def test_an_open_seam_and_wrong_fronts_are_said():
    fit = read(robe(), open_mm=3.0, lap="front.right")
    assert fit.verdict == "does not close"
    assert any("3.0 mm" in reason for reason in fit.reasons)
    assert any("right over left, but left over right was wanted" in caution for caution in fit.cautions)


def test_cloth_under_the_skin_is_cautioned():
    fit = read(wrap(circle(41.0), 41 * np.pi / 2, LAP, 25, 330))
    assert fit.gap.below_deepest_mm == pytest.approx(1.0, abs=0.05)
    (caution,) = [caution for caution in fit.cautions if "under the skin" in caution]
    assert caution.startswith("The cloth dips 1.0 mm under the skin")
    assert caution.endswith(": drape it again, finer, or give it more ease there.")


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_dip_is_told_by_its_place_and_only_where_it_matters(side):
    """The nearest point of the body that has a name; three tenths of a millimetre and less are not spoken of."""
    shoulder = np.array([45.0 if side == "left" else -45.0, 0.0, 300.0])
    body = replace(BODY, landmarks={f"shoulder_{side}": shoulder, "crown": shoulder + 1.0, "hip_back": np.zeros(3)})
    gap = Gap(0.0, 1.0, 2.0, 3.0, 0.5, 0.1, 1.57, 0.0, tuple(shoulder + 2.0))
    for quick, do in ((True, "drape it in full"), (False, "drape it again, finer, or give it more ease there")):
        assert sink_words(body, [gap], quick) == (
            f"The cloth dips 1.6 mm under the skin at the {side} shoulder: {do}.",
        )
    assert sink_words(body, [replace(gap, below_deepest_mm=0.3)], False) == ()


@pytest.mark.parametrize(("drafted", "told"), [(1.0, False), (1.07, True)])
def test_cloth_that_is_pushed_together_is_told_and_is_no_tight_garment(drafted, told):
    """Drafted 7 % larger than it lies it has been pushed together by 6.5 %, and drawn out by nothing."""
    cloth = robe().cloth()
    crumpled = replace(cloth, flat=drafted * cloth.flat)
    pattern = pattern_of(crumpled, fronts="left over right", sleeve_drop=90.0)
    fit = read_fit(BODY, draped(crumpled), pattern, PlainRobe(5, 300), LAWN, {})
    assert any("pushed together" in caution for caution in fit.cautions) == told
    assert fit.stretch.edges.drawn < 0.01
    assert fit.verdict != "does not close"


def test_a_quick_drape_is_marked_as_coarse(record):
    quick = read(robe(), quick=True)
    assert any("quick look" in caution for caution in quick.cautions)
    assert fit_record(quick)["cloth"]["quick"]
    assert not record["cloth"]["quick"]


def test_a_doll_without_arms_or_a_measured_waist_still_has_a_fit():
    body = replace(tube_body(42.0, 420.0), measures={"hip_girth": BODY.measures["hip_girth"]})
    cloth = wrap(circle(45), 70.0, LAP, 25, 330).cloth()
    fit = read_fit(body, draped(cloth), pattern_of(cloth), PlainRobe(5, 300), LAWN, {})
    assert [level.name for level in fit.levels] == ["hip"]
    json.dumps(fit_record(fit), allow_nan=False)


def test_the_model_is_true_to_size_and_stands_up():
    cloth = robe().cloth()
    scene = trimesh.load(io.BytesIO(drape_glb(BODY.skin, draped(cloth))), file_type="glb", process=False)
    assert set(scene.geometry) == {"body", "garment"}
    for name, shape in (("body", BODY.skin), ("garment", cloth)):
        x, y, z = scene.geometry[name].vertices.T
        back = np.column_stack([x, -z, y]) * 1000
        assert np.allclose(back, shape.vertices, atol=1e-4)  # glTF stores single precision
        assert (scene.geometry[name].faces == shape.faces).all()
    assert scene.geometry["body"].extents[1] == pytest.approx(0.42)
    assert scene.geometry["body"].volume > 0, "the skin faces outwards"
