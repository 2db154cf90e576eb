"""What a file holds, to compare: before and after work that is stopped or undone."""

from __future__ import annotations

import hashlib

import bpy

from addon import bridge


def census() -> dict[str, int]:
    """How many datablocks of every kind there are."""
    kinds = [rna.identifier for rna in bpy.data.bl_rna.properties if rna.type == "COLLECTION"]
    kinds = [kind for kind in kinds if kind != "all_ids"]  # Blender 5.2: all the others together
    return {kind: len(getattr(bpy.data, kind)) for kind in kinds}


def content() -> dict[str, object]:
    """The census, each mesh by its hash, and where each object stands."""
    bpy.context.view_layer.update()
    counts: dict[str, object] = {**census()}
    for mesh in bpy.data.meshes:
        counts[mesh.name] = hashlib.sha256(bridge.read_vertices(mesh).tobytes()).hexdigest()
    for thing in bpy.context.scene.objects:
        counts[thing.name_full] = (thing.hide_get(), thing.hide_viewport, *map(tuple, thing.matrix_world))
    return counts
