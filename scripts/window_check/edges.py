"""A click on an edge of a panel: what it is sewn to lights up, and nothing of Blender's own selection changes."""

from __future__ import annotations

import bpy
import numpy as np
from bpy_extras.view3d_utils import location_3d_to_region_2d
from road import expect
from widgets import click, unfold


def partners(window):
    """Show what is sewn to what: click a seam's middle, look, and end by Escape."""
    edges, overlay, view = (window.part(name) for name in ("edges", "overlay", "view"))
    yield from unfold(window, "draft")
    chosen = {thing.name for thing in bpy.context.selected_objects}
    yield from click(window, "toile.show_partner")
    yield from window.until(edges.going, 10, "clicks pick edges")
    pattern = window.kept("pattern")
    place = next(seam.a for seam in pattern.seams if seam.a[0] != seam.b[0])
    line = overlay.panel_lines(window.scene)[place]
    middle = overlay.upright(0.5 * (line[len(line) // 2 - 1] + line[len(line) // 2]))
    area = next(area for _, area in view.areas())
    region = view.region_of(area, "WINDOW")
    at = location_3d_to_region_2d(region, area.spaces.active.region_3d, overlay.place(window.scene) @ middle)
    yield from window.press(region.x + float(np.round(at.x)), region.y + float(np.round(at.y)))
    yield from window.until(lambda: edges.shown(window.scene) == place, 10, f"{place} is lit")
    window.shot("partners")
    expect({thing.name for thing in bpy.context.selected_objects} == chosen, "what was selected stays selected")
    yield from window.keys("Escape")
    yield from window.until(lambda: not edges.going(), 10, "Escape ends it")
    return f"{place} and what it is sewn to"
