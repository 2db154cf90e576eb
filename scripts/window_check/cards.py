"""The card of a cut: drawn only while the view's overlays are on and our tab is open, and closed by its own cross."""

import bpy
from screenshot import screen
from window import NotDoneError

INK = 225  # of 255: letters are lighter than that, and nothing else in the view's lower left is
LETTERS = 60  # pixels of them at least on a card


def cards(window):
    """Not on the road, asked for by name after a fit that is cut through: switch the overlays, the tab, and click."""
    look = window.view.spaces.active
    expect((yield from written(window)), "the cut's card is drawn")
    look.overlay.show_overlays = False
    expect(not (yield from written(window)), "no card is drawn where the overlays are off")
    look.overlay.show_overlays = True
    window.sidebar.active_panel_category = "Item"
    expect(not (yield from written(window)), "no card is drawn beside another tab")
    window.sidebar.active_panel_category = "Toile"
    expect((yield from written(window)), "the card is there again")
    region, (x, y) = window.region("VIEW_3D", "WINDOW"), cross(window)
    window.move(region.x + x - 5, region.y + y)
    yield 0.3
    yield from window.press(region.x + x, region.y + y)
    yield from window.until(lambda: not window.scene.toile.level, 10, "a click on the card's cross closes the cut")
    return "shown, switched off, and closed by its cross"


def cross(window):
    """Where the card's cross is, pixels of the view."""
    ui = bpy.context.preferences.system.ui_scale
    return window.part("legend").cross(window.part("overlay").above_scale(window.scene, ui), ui)


def written(window):
    """Whether there are letters where the card is drawn."""
    window.view.tag_redraw()
    yield from window.at_rest()
    region, (x, y) = window.region("VIEW_3D", "WINDOW"), cross(window)
    pixels, low = screen(window.folder / "Xvfb_screen0"), window.window.height - region.y
    part = pixels[int(low - y - 12) : int(low - y + 12), int(region.x + 0.25 * x) : int(region.x + 0.9 * x)]
    return int((part > INK).all(axis=2).sum()) > LETTERS


def expect(holds, what):
    """Raise where something does not hold."""
    if not holds:
        raise NotDoneError(f"expected: {what}")
