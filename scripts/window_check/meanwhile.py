"""What a maker does while long work goes on: a header's switch, another scene, the key for undo. Escape ends it."""

import bpy
from road import counts, expect, going, ours
from widgets import TURNS, click, is_called, under, unfold
from window import NotDoneError

AWHILE = 3.0  # s in which work must have gone on
STRIDE = 10  # pixels between two looks along a header


def meanwhile(window):
    """While a drape goes on: a switch of the header works, undo waits, another scene is looked at; then Escape."""
    yield from unfold(window, "drape")
    yield from click(window, "toile.quality", across=0.25)
    before, scene, overlay = counts(), window.scene, window.view.spaces.active.overlay
    shown = {thing.name for thing in ours(window, "doll") if thing.visible_get()}
    yield from click(window, "toile.drape")
    yield from window.until(lambda: going(window) and going(window).last.share > 0.01, 300, "the drape is under way")
    job = going(window)
    yield from switch(window, "overlay.show_overlays")
    yield from window.until(lambda: not overlay.show_overlays, 10, "the header's switch works")
    expect(going(window) is job, "the work goes on")
    overlay.show_overlays = True
    for part in ("HEADER", "WINDOW"):
        region = window.region("VIEW_3D", part)
        window.move(region.x + 0.4 * region.width, region.y + 0.5 * region.height)
        yield 0.3
        yield from window.keys("ctrl+z")
        yield 1.0
        expect(going(window) is job, f"undo over the {part.lower()} does not end the work")
    window.shot("undo_waits")
    expect("Undo waits" in window.part("log").lines[-1].text, "why it does not is said")
    window.window.scene = other = bpy.data.scenes.new("another")
    yield AWHILE
    expect(going(window) is job, "another scene does not end the work")
    yield from window.keys("Escape")
    yield from window.until(lambda: going(window) is None, 30, "Escape stops the work")
    yield 0.5
    expect(window.scene == scene, "the window shows the scene of the work again")
    bpy.data.scenes.remove(other)
    expect({thing.name for thing in ours(window, "doll") if thing.visible_get()} == shown, "the doll is shown again")
    expect(counts() == before, f"as many datablocks as before: {before}, found {counts()}")
    return "a switch in the header, undo refused twice, another scene looked at"


def switch(window, name):
    """Click a switch of the 3D view's header, found along it."""
    region = window.region("VIEW_3D", "HEADER")
    y = region.y + 0.5 * region.height
    for x in range(region.x + region.width - STRIDE, region.x, -STRIDE):
        window.move(x, y)
        yield from TURNS
        if is_called(under(window, window.view, region), name):
            yield from window.press(x - STRIDE, y)
            return
    raise NotDoneError(f"{name} is nowhere in the header")
