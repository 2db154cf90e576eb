"""The bridge: what goes into Blender comes out again, and nothing is left behind."""

from __future__ import annotations

import bpy
import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal
from scene_content import census

from addon import bridge

TRIANGLES = np.array([[0, 1, 2], [0, 2, 3]])
SQUARE = np.array([[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [10.0, 10.0, 0.0], [0.0, 10.0, 2.0]])


@pytest.fixture
def room():
    with bridge.workroom("test") as made:
        yield made


@pytest.fixture
def square(room):
    return bridge.mesh_object("square", SQUARE, TRIANGLES, collection=room.collection, scale=0.1, edges=[[1, 3]])


def test_mesh_goes_in_and_comes_out(square):
    assert_allclose(bridge.read_vertices(square.data), SQUARE * 0.1, rtol=1e-6)
    assert_array_equal(bridge.read_triangles(square.data), TRIANGLES)
    assert len(square.data.edges) == 6, "four sides, one diagonal, one sewing edge"
    assert [edge.is_loose for edge in square.data.edges].count(True) == 1
    assert not square.data.validate(verbose=False), "the mesh needed no repair"
    assert all(face.use_smooth for face in square.data.polygons)


def test_edges_alone_and_nothing_at_all(room):
    line = bridge.mesh_object("line", SQUARE, np.zeros((0, 3)), collection=room.collection, edges=[[0, 1], [1, 2]])
    assert (len(line.data.vertices), len(line.data.edges), len(line.data.polygons)) == (4, 2, 0)
    none = bridge.mesh_object("none", np.zeros((0, 3)), np.zeros((0, 3)), collection=room.collection)
    assert len(none.data.vertices) == 0


def test_faces_may_be_a_plain_list_or_arrays_of_several_sizes(room):
    plain = bridge.mesh_object("plain", SQUARE, TRIANGLES.tolist(), collection=room.collection)
    assert_array_equal(bridge.read_triangles(plain.data), TRIANGLES)
    points = np.concatenate([SQUARE, [[20.0, 5.0, 0.0]]])
    mixed = [np.array([[1, 4, 2]]), np.array([[0, 1, 2, 3]])]
    both = bridge.mesh_object("both", points, mixed, collection=room.collection)
    assert [len(face.vertices) for face in both.data.polygons] == [3, 4]
    assert not both.data.validate(verbose=False)


def test_a_missing_vertex_is_named_before_blender_meets_it(room):
    with pytest.raises(ValueError, match="face of bad"):
        bridge.mesh_object("bad", SQUARE, [[0, 1, 4]], collection=room.collection)
    thing = bridge.mesh_object("good", SQUARE, TRIANGLES, collection=room.collection)
    with pytest.raises(ValueError, match=r"shape \(3, 3\), expected \(4, 3\)"):
        bridge.write_vertices(thing.data, SQUARE[:3])


def test_written_vertices_and_modifiers_are_seen(room, square):
    bridge.write_vertices(square.data, SQUARE)
    assert_allclose(bridge.read_vertices(square.data), SQUARE)
    move = square.modifiers.new("move", "DISPLACE")
    move.direction, move.mid_level, move.strength = "X", 0.0, 3.0
    depsgraph = room.depsgraph()
    assert_allclose(bridge.evaluated_vertices(square, depsgraph), SQUARE + np.array([3.0, 0.0, 0.0]))


def test_shape_key_moves_the_evaluated_mesh_only(room, square):
    key = bridge.shape_key(square, "grown", SQUARE)
    key.value = 1.0
    depsgraph = room.depsgraph()
    assert_allclose(bridge.evaluated_vertices(square, depsgraph), SQUARE, rtol=1e-6)
    assert_allclose(bridge.read_vertices(square.data), SQUARE * 0.1, rtol=1e-6)


def test_corners_colours_and_weights_round_trip(square):
    random = np.random.default_rng(1)
    uv, colours = random.random((2, 3, 2)), random.random((4, 4))
    bridge.corner_uv(square.data, "flat", uv)
    assert_allclose(bridge.read_corner_uv(square.data, "flat"), uv, rtol=1e-6)
    bridge.corner_uv(square.data, "flat", uv + 1.0)
    assert len(square.data.uv_layers) == 1

    bridge.colour_attribute(square.data, "gap", colours)
    seen = np.zeros(16, np.float32)
    square.data.attributes["gap"].data.foreach_get("color", seen)
    assert_allclose(seen.reshape(4, 4), colours, rtol=1e-6)
    assert square.data.color_attributes.active_color.name == "gap"

    bridge.vertex_group(square, "pinned", np.zeros(4))
    group = bridge.vertex_group(square, "pinned", [1.0, 0.0, 0.25, 1.0])
    weights = [{g.group: g.weight for g in vertex.groups} for vertex in square.data.vertices]
    assert [w.get(group.index) for w in weights] == [1.0, None, 0.25, 1.0]
    assert len(square.vertex_groups) == 1


def test_pictures_round_trip_every_value(tmp_path):
    before = census()
    pixels = np.arange(256 * 3 * 4, dtype=np.int64).reshape(3, 256, 4)
    pixels = (pixels * 7 % 256).astype(np.uint8)
    pixels[0, :, :] = np.arange(256)[:, None]
    assert_array_equal(bridge.load_png(bridge.save_png(pixels, tmp_path / "all.png")), pixels)
    image = bridge.image_from_array("all", pixels)
    assert_array_equal(bridge.image_to_array(image), pixels)
    bpy.data.images.remove(image)
    assert census() == before
    with pytest.raises(ValueError, match="height, width, 4"):
        bridge.image_from_array("grey", pixels[..., 0])


def furnish(room):
    thing = bridge.mesh_object("thing", SQUARE, TRIANGLES, collection=room.collection)
    bridge.shape_key(thing, "grown", SQUARE)
    thing.data.materials.append(bpy.data.materials.new("paint"))
    text = bpy.data.objects.new("text", bpy.data.curves.new("text", "FONT"))
    room.collection.objects.link(text)
    room.scene.world = bpy.data.worlds.new("sky")
    bpy.data.images.new("picture", 4, 4)


@pytest.mark.parametrize("fails", [False, True])
def test_a_workroom_leaves_the_file_as_it_was(fails):
    before, scene = census(), bpy.context.scene
    names = [block.name for block in bpy.data.objects]
    try:
        with bridge.workroom("first") as outer, bridge.workroom("second") as inner:
            furnish(outer)
            furnish(inner)
            assert census()["objects"] == before["objects"] + 4
            if fails:
                raise RuntimeError("the work went wrong")
    except RuntimeError:
        assert fails
    assert census() == before
    assert bpy.context.scene == scene
    assert [block.name for block in bpy.data.objects] == names


def test_what_others_make_meanwhile_stays():
    """A window that lives while a room is open: another hand adds an object of its own, and a text."""
    before = census()
    with bridge.workroom("long work") as room:
        furnish(room)
        mesh = bpy.data.meshes.new("hers")
        bpy.context.scene.collection.objects.link(bpy.data.objects.new("hers", mesh))
        mesh.materials.append(bpy.data.materials.new("hers"))
        bpy.data.texts.new("hers")
    added = {kind: count - before[kind] for kind, count in census().items() if count != before[kind]}
    assert added == {"objects": 1, "meshes": 1, "materials": 1, "texts": 1}
    for kind in added:
        made = getattr(bpy.data, kind)
        made.remove(made["hers"])
