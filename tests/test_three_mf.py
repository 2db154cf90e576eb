"""3MF: what a package builds comes back, in millimetres; what would harm is refused."""

from __future__ import annotations

import io
import zipfile

import numpy as np
import pytest
import trimesh
from analytic_doll import analytic_doll
from scipy.spatial.transform import Rotation
from three_mf import CORE, RELATIONS, mesh, model, packed, placed

from drafting.body.scan import read_scan
from drafting.body.size import scale_for
from drafting.body.three_mf import read_3mf
from drafting.errors import ScanError

POINTS, FACES, _ = analytic_doll()
TURN = np.vstack([Rotation.from_euler("xyz", [20, 50, -80], degrees=True).as_matrix(), [3.0, -7.0, 11.0]])
SHIFT = np.vstack([np.eye(3), [100.0, 0.0, 0.0]])


def on(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    return points @ matrix[:3] + matrix[3]


def same(data: bytes, corners: np.ndarray) -> bool:
    """Whether a package gives these (m, 3, 3) triangles, in order."""
    vertices, faces = read_3mf(data)
    return np.allclose(vertices[faces], corners, rtol=0, atol=1e-6)


@pytest.mark.parametrize(("unit", "mm"), [("millimeter", 1.0), ("inch", 25.4), ("micron", 0.001)])
def test_a_doll_comes_back_at_its_true_size(tmp_path, unit, mm):
    path = tmp_path / "doll.3mf"
    path.write_bytes(packed(model({1: mesh(POINTS / mm, FACES)}, '<item objectid="1"/>', unit)))
    assert same(path.read_bytes(), POINTS[FACES])
    found = read_scan(path)
    assert scale_for(float(np.ptp(found.vertices[:, 2])), promised=found.unit).mm == 1.0
    assert len(found.faces) == len(FACES)


def test_components_and_items_are_placed_one_within_the_other():
    half = len(FACES) // 2
    objects = {
        1: mesh(POINTS, FACES[:half]),
        2: mesh(POINTS, FACES[half:]),
        3: f'<components><component objectid="1" {placed(SHIFT)}/><component objectid="2"/></components>',
    }
    data = packed(model(objects, f'<item objectid="3" {placed(TURN)}/>'))
    wanted = np.vstack([on(TURN, on(SHIFT, POINTS))[FACES[:half]], on(TURN, POINTS)[FACES[half:]]])
    assert same(data, wanted)


ENTITIES = '<!DOCTYPE model [<!ENTITY a "lol"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
RING = '<components><component objectid="1"/></components>'
MANY = "<components>" + 500 * '<component objectid="{0}"/>' + "</components>"


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (packed(bytes(200_000_000)), "would unpack to 200 MB"),
        (packed(model({1: mesh(POINTS[:3], FACES[:1])}, '<item objectid="1"/>', before=ENTITIES)), "document type"),
        (packed(model({1: RING}, '<item objectid="1"/>')), "ring"),
        (packed(model({1: MANY.format(2), 2: MANY.format(3), 3: ""}, '<item objectid="1"/>')), "more than"),
        (packed(f'<model xmlns="{CORE}">' + "<a>" * 100 + "</a>" * 100 + "</model>"), "nested too deep"),
        (packed(model({}, "")), "builds nothing"),
        (packed("", RELATIONS.replace("3dmodel.model", "../../etc/passwd")), "etc/passwd"),
        (packed("", "<Relationships/>"), "names no model"),
        (packed(model({1: mesh(POINTS[:3], FACES[:1])}, '<item objectid="7"/>')), "7"),
        (b"PK\3\4 and no zip", "zip"),
        (b"not a zip", "not a 3MF file"),
    ],
    ids=["bomb", "entities", "ring", "many", "deep", "empty", "path", "no model", "no object", "cut", "other"],
)
def test_what_would_harm_is_refused(tmp_path, data, said):
    path = tmp_path / "doll.3mf"
    path.write_bytes(data)
    with pytest.raises(ScanError, match=said):
        read_scan(path)


PRODUCTION = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"


def test_meshes_in_other_parts_are_read_and_supports_left_out():
    box = trimesh.creation.box((1.0, 2, 3))
    part = model({7: mesh(box.vertices, box.faces)}, "")
    component = (
        f'<components><component objectid="7" p:path="/3D/Objects/a.model" xmlns:p="{PRODUCTION}"/></components>'
    )
    root = model({1: component, 2: mesh(box.vertices + 50, box.faces)}, '<item objectid="1"/><item objectid="2"/>')
    root = root.replace('id="2" type="model"', 'id="2" type="support"')
    held = io.BytesIO(packed(root))
    with zipfile.ZipFile(held, "a") as pack:
        pack.writestr("3D/Objects/a.model", part)
    corners, faces = read_3mf(held.getvalue())
    assert np.array_equal(corners, box.vertices)
    assert np.array_equal(faces, box.faces)
