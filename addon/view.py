"""The 3D views of the window: drawn anew, turned to something, and where the mouse is. Nothing without a window."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import bpy


def areas() -> Iterator[tuple[bpy.types.Window, bpy.types.Area]]:
    """All 3D views that are open."""
    for window in bpy.context.window_manager.windows:
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                yield window, area


def redraw() -> None:
    """Draw all 3D views anew, panels and all."""
    for _, area in areas():
        area.tag_redraw()


def redraw_sidebars() -> None:
    """Draw only the panels beside the 3D views anew: the view itself is much slower to draw."""
    for _, area in areas():
        region_of(area, "UI").tag_redraw()


def draw_bonds(shown: bool) -> None:
    """Show or hide Blender's dashed lines from parents to children: with thirty points they hide the doll."""
    for _, area in areas():
        area.spaces.active.overlay.show_relationship_lines = shown


def region_of(area: bpy.types.Area, kind: str) -> bpy.types.Region:
    """The area's region of that kind."""
    return next(region for region in area.regions if region.type == kind)


def look_at(context: bpy.types.Context, things: Sequence[bpy.types.Object]) -> None:
    """Turn every 3D view to these objects, from the front; what was selected stays selected."""
    if bpy.app.background or not things:
        return
    layer = context.view_layer
    chosen, active = list(context.selected_objects), layer.objects.active
    for window, area in areas():
        for thing in layer.objects:
            thing.select_set(thing in things)
        with context.temp_override(window=window, area=area, region=region_of(area, "WINDOW")):
            bpy.ops.view3d.view_axis(type="FRONT")
            bpy.ops.view3d.view_selected()
    for thing in layer.objects:
        thing.select_set(thing in chosen)
    layer.objects.active = active


def shows_our_tab(area: bpy.types.Area) -> bool:
    """Whether a 3D view's sidebar is open at our tab."""
    side = region_of(area, "UI")
    return side.width > 1 and getattr(side, "active_panel_category", "") == "Toile"


def tab_is_open() -> bool:
    """Whether any 3D view's sidebar is open at our tab."""
    return any(area.spaces.active.show_region_ui and shows_our_tab(area) for _, area in areas())


def shows_ours(area: bpy.types.Area) -> bool:
    """Whether what is no object may be drawn over a 3D view: its overlays are on, and its sidebar is at our tab."""
    space = area.spaces.active
    return bool(space.overlay.show_overlays and space.show_region_ui) and shows_our_tab(area)


def over_scene(context: bpy.types.Context, event: bpy.types.Event) -> bool:
    """Whether the mouse is over a 3D view itself, and over none of the bars that lie on it."""
    for area in context.screen.areas:
        if area.type == "VIEW_3D" and _within(region_of(area, "WINDOW"), event):
            return not any(_within(region, event) for region in area.regions if region.type != "WINDOW")
    return False


def _within(region: bpy.types.Region, event: bpy.types.Event) -> bool:
    across, up = event.mouse_x - region.x, event.mouse_y - region.y
    return 0 <= across < region.width and 0 <= up < region.height
