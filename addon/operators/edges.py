"""Draft: a click on an edge in the view shows what it is sewn to."""

import bpy
import numpy as np
from bpy_extras.view3d_utils import location_3d_to_region_2d

from .. import edges, overlay, session, view
from .edge import StepOperator


class TOILE_OT_show_partner(StepOperator, bpy.types.Operator):
    """Click an edge of a panel: it lights up with the edge that it is sewn to. Escape or a right click ends"""

    bl_idname = "toile.show_partner"
    bl_label = "Show what is sewn to what"
    bl_options = {"INTERNAL"}  # noqa: RUF012  Blender reads it as it is; nothing is changed that could be undone
    needs = ("body", "pattern")

    def invoke(self, context, _event):
        """Begin; a second press of the button ends."""
        if edges.going():
            edges.stop()
            view.redraw()
            return {"CANCELLED"}
        edges.start()
        context.window_manager.modal_handler_add(self)
        context.workspace.status_text_set("Toile: click an edge of a panel. Escape or a right click ends.")
        view.redraw()
        return {"RUNNING_MODAL"}

    def execute(self, _context):
        """Without a mouse there is nothing to click."""
        self.report({"INFO"}, "Press the button in the window, then click an edge")
        return {"CANCELLED"}

    def modal(self, context, event):
        """A click picks; all else is Blender's."""
        if not edges.going() or not session.has(context.scene, "pattern"):
            return self.end(context)
        if event.value == "PRESS" and (event.type == "ESC" or self.over_panels(context, event, "RIGHTMOUSE")):
            return self.end(context)
        if event.value == "PRESS" and self.over_panels(context, event, "LEFTMOUSE"):
            edges.show(under_mouse(context, event))
            view.redraw()
            return {"RUNNING_MODAL"}
        return {"PASS_THROUGH"}

    def over_panels(self, context, event, kind):
        """Whether this button was pressed over a 3D view itself."""
        return event.type == kind and view.over_scene(context, event)

    def end(self, context):
        """Light nothing any more."""
        self.cancel(context)
        return {"CANCELLED"}

    def cancel(self, context):
        """Blender itself ends it, as when its window is closed."""
        edges.stop()
        if context.workspace is not None:
            context.workspace.status_text_set(None)
        view.redraw()


def under_mouse(context, event):
    """The edge under the mouse in the 3D view that it is over; None where there is none."""
    for area in context.screen.areas:
        region = view.region_of(area, "WINDOW") if area.type == "VIEW_3D" else None
        at = overlay.place(context.scene)
        if region is None or at is None:
            continue
        point = np.array([event.mouse_x - region.x, event.mouse_y - region.y], dtype=float)
        if (point >= 0.0).all() and (point < [region.width, region.height]).all():
            near = edges.NEAR * context.preferences.system.ui_scale
            return edges.nearest_edge(on_screen(context.scene, region, area.spaces.active.region_3d, at), point, near)
    return None


def on_screen(scene, region, seen, at):
    """(k, 2) float for each edge that lies in front of the view, pixels."""
    drawn = {}
    for place, line in overlay.panel_lines(scene).items():
        points = [location_3d_to_region_2d(region, seen, at @ overlay.upright(point)) for point in line]
        if all(point is not None for point in points):
            drawn[place] = np.array(points)
    return drawn


CLASSES = (TOILE_OT_show_partner,)
