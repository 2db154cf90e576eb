"""What a file holds, to compare: before and after work that is stopped or undone."""

from __future__ import annotations

import hashlib

import bpy

from addon import bridge


def content() -> dict[str, object]:
    """How many datablocks of every kind there are, and each mesh by its hash."""
    bpy.context.view_layer.update()
    kinds = [rna.identifier for rna in bpy.data.bl_rna.properties if rna.type == "COLLECTION"]
    counts: dict[str, object] = {kind: len(getattr(bpy.data, kind)) for kind in kinds}
    for mesh in bpy.data.meshes:
        counts[mesh.name] = hashlib.sha256(bridge.read_vertices(mesh).tobytes()).hexdigest()
    for thing in bpy.context.scene.objects:
        counts[thing.name_full] = (thing.hide_get(), thing.hide_viewport, *map(tuple, thing.matrix_world))
    return counts
