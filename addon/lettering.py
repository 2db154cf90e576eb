"""Lines of text as a picture, in Blender's own typeface."""

from __future__ import annotations

from collections.abc import Sequence

import bpy

from . import bridge
from .bridge import Pixels
from .studio import colour as colours
from .studio import engine

LINE = 1.35  # of the letters' size, from one line to the next
LEAST_PX = 4  # Blender renders no picture with a smaller side
LETTER_WIDTH = 0.56  # of the letters' size, a cautious mean of the typeface


def lettered(lines: Sequence[str], width: int, height: int, ink: colours.Colour, paper: colours.Colour) -> Pixels:
    """(height, width, 4) uint8: centred lines, as large as fits."""
    longest = max(len(line) for line in lines)
    size = min(0.9 * width / (LETTER_WIDTH * longest), 0.9 * height / (LINE * len(lines)))
    with bridge.workroom("lettering") as room:
        text = bpy.data.curves.new("lines", "FONT")
        text.body = "\n".join(lines)
        text.size, text.space_line = size, LINE
        text.align_x, text.align_y = "CENTER", "CENTER"
        material = bpy.data.materials.new("ink")
        material.diffuse_color = colours.paint(ink)
        text.materials.append(material)
        room.collection.objects.link(bpy.data.objects.new("lines", text))
        camera = bpy.data.cameras.new("camera")
        camera.type, camera.ortho_scale = "ORTHO", max(width, height)
        camera.clip_start, camera.clip_end = 0.1, 10.0
        eye = bpy.data.objects.new("camera", camera)
        eye.location = (0.0, 0.0, 5.0)
        room.collection.objects.link(eye)
        room.scene.camera = eye
        engine.use(room.scene, engine.quick(), 16)
        room.scene.display.shading.light = "FLAT"
        room.scene.display.shading.color_type = "MATERIAL"
        shot = engine.render(room.scene, max(width, LEAST_PX), max(height, LEAST_PX))[:height, :width]
    return colours.over(shot, colours.plain(width, height, paper))
