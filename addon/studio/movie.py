"""Frames made into a film, by Blender's own encoder; made in a scene of its own."""

from __future__ import annotations

from collections.abc import Mapping

import bpy

from drafting.scratch import scratch

from .. import bridge

FRAMES_PER_SECOND = 12


def movie(frames: Mapping[str, bytes], width: int, height: int) -> bytes | None:
    """An mp4 (H.264) of PNG frames in the order of their names; None where this Blender cannot encode."""
    with bridge.workroom("movie") as room, scratch() as folder:
        scene = room.scene
        for frame, data in frames.items():
            (folder / frame).write_bytes(data)
        if not _can_encode(scene):
            return None
        names = sorted(frames)
        editor = scene.sequence_editor_create()
        strips = editor.strips if hasattr(editor, "strips") else editor.sequences  # named anew in 4.4
        strip = strips.new_image("frames", str(folder / names[0]), channel=1, frame_start=1)
        for other in names[1:]:
            strip.elements.append(other)
        scene.frame_start, scene.frame_end = 1, len(names)
        # H.264 knows even sizes only.
        scene.render.resolution_x, scene.render.resolution_y = width - width % 2, height - height % 2
        scene.render.resolution_percentage, scene.render.fps = 100, FRAMES_PER_SECOND
        scene.view_settings.view_transform = "Standard"
        scene.render.filepath = str(folder / "turn.mp4")
        scene.render.use_file_extension = False
        bpy.ops.render.render(animation=True, scene=scene.name)
        made = folder / "turn.mp4"
        return made.read_bytes() if made.exists() else None


def _can_encode(scene: bpy.types.Scene) -> bool:
    """Set the encoder up; False where this Blender was built without it."""
    settings = scene.render.image_settings
    try:
        if hasattr(settings, "media_type"):  # since 5.0
            settings.media_type = "VIDEO"
        settings.file_format = "FFMPEG"
        scene.render.ffmpeg.format, scene.render.ffmpeg.codec = "MPEG4", "H264"
    except TypeError:
        return False
    scene.render.ffmpeg.constant_rate_factor = "HIGH"
    return True
