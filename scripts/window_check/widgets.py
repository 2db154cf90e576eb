"""Finds a button or a field in a region by what it does, never by where it stands.

The mouse is moved down the region; at each place Blender itself is asked what lies under the mouse: its operators
`ui.copy_python_command_button` and `ui.copy_data_path_button`, made for its right-click menu, write the button's
operator or the field's data path to the clipboard. So a button that is hidden, folded away, out of reach or
covered is not found, as it would not be by a person; where it stands does not matter.
"""

from dataclasses import dataclass

import bpy
from window import NotDoneError

STRIDE = 9  # pixels between two looks; a button is 20 pixels high at a scale of 1
PAGES = 12  # how often the wheel is turned down before a search is given up
ACROSS = 0.62  # of the region's width, where fields and buttons lie and the labels before them end
EDGE = 16  # pixels below the region's upper edge: on the header of the panel that holds all
MOST_ROWS = 26  # what comes next, what was said, nine headers, and as many clicks again
HEADER = 21  # pixels from a folded step's header to the next one's at a scale of 1
STEPS = ("doll", "tape", "draft", "cloth", "drape", "fit", "compare", "pictures", "paper")
TURNS = (0.02, 0.02, 0.02)  # s; Blender's loop goes round so often until the button under the moved mouse is lit


@dataclass(frozen=True)
class Widget:
    """What was found: its name, and the middle of the places where the mouse was on it, Blender's pixels."""

    name: str
    x: float
    y: float
    height: float


def under(window, area, region):
    """What the mouse is on: "toile.draft" for an operator's button, "toile.height" for a field, "" for neither."""
    manager = bpy.context.window_manager
    with bpy.context.temp_override(window=window.window, area=area, region=region):
        if bpy.ops.ui.copy_python_command_button.poll():
            bpy.ops.ui.copy_python_command_button()
            return manager.clipboard.removeprefix("bpy.ops.").partition("(")[0]
        if bpy.ops.ui.copy_data_path_button.poll():
            bpy.ops.ui.copy_data_path_button(full_path=False)
            return manager.clipboard
    return ""


def is_called(here, name):
    """Whether a data path or an operator is the one that is meant: "params.directory" is any `params.directory`."""
    return here == name or here.endswith(f".{name}")


def find(window, name, kinds=("VIEW_3D", "UI"), across=ACROSS):
    """Look for a widget where the region stands now, then from its top to its end, scrolling; its place is returned.

    Raises
    ------
    NotDoneError
        It is nowhere; the names that were seen are told.
    """
    seen = set()
    for turns in (0, -100, *[8] * PAGES):
        region = window.region(*kinds)
        if turns:
            yield from window.wheel(region.x + region.width * across, region.y + region.height - EDGE, turns)
        found = yield from look(window, name, kinds, across, seen)
        if found:
            return found
    raise NotDoneError(f"{name} is nowhere in the {kinds[1].lower()} region; seen were: {', '.join(sorted(seen))}")


def look(window, name, kinds, across, seen):
    """Look down the part of the region that shows."""
    area, region = window.area(kinds[0]), window.region(*kinds)
    x, hits = region.x + region.width * across, []
    for y in range(region.y + region.height - STRIDE, region.y, -STRIDE):
        window.move(x, y)
        yield from TURNS
        here = under(window, area, region)
        seen.add(here)
        if is_called(here, name):
            hits.append(y)
        elif hits:
            break
    if len(hits) < 2:  # a button that is cut off by the edge waits for the next page
        return None
    return Widget(name, x, sum(hits) / len(hits), hits[0] - hits[-1] + STRIDE)


def click(window, name, kinds=("VIEW_3D", "UI"), across=ACROSS):
    """Find a widget, see that the mouse is on it, and press."""
    found = yield from find(window, name, kinds, across)
    window.move(found.x, found.y)
    yield from window.until(
        lambda: is_called(under(window, window.area(kinds[0]), window.region(*kinds)), name),
        5,
        f"{name} is under the mouse where it was found",
    )
    yield from window.press(found.x, found.y)
    return found


def fill(window, name, text, kinds=("VIEW_3D", "UI"), across=ACROSS):
    """Click into a field and type over what is in it."""
    yield from click(window, name, kinds, across)
    yield from window.keys("ctrl+a", "BackSpace")
    yield from window.write(text)
    yield from window.keys("Return")


def pick_next(window, name, kinds=("VIEW_3D", "UI"), across=ACROSS):
    """Take the next item of a menu: the wheel turned over it while Ctrl is held, as Blender has it for every menu."""
    found = yield from find(window, name, kinds, across)
    window.move(found.x, found.y)
    yield 0.5
    window.mouse("keydown", "ctrl")
    yield 0.2
    yield from window.wheel(found.x, found.y, 1)
    window.mouse("keyup", "ctrl")
    yield 0.5


def unfold(window, step):
    """Open a step of the road in the sidebar by a click on its header.

    Blender tells nothing of a header under the mouse, so all steps are folded first (by their properties, the only
    thing here that is not done by hand), the sidebar is clicked at from the top down, past every button and field,
    until any step opens, and the wanted one is as many headers below as it comes after that one.
    """
    folds = bpy.context.window_manager.toile_folds
    if getattr(folds, step):
        return
    yield from fold_all(window, folds)
    area, region = window.area("VIEW_3D"), window.region("VIEW_3D", "UI")
    x, y = region.x + region.width * ACROSS, region.y + region.height - EDGE
    header = HEADER * bpy.context.preferences.system.ui_scale
    stride = header / 3  # a click on the line between two headers opens neither, or the wrong one
    yield from window.wheel(x, y, -100)
    y -= header  # past the header of the panel that holds all: a click would fold it
    for _ in range(3 * MOST_ROWS):
        y -= stride
        window.move(x, y)
        yield from TURNS
        if under(window, area, region):
            continue
        yield from window.press(x, y)
        yield from window.at_rest()  # a slow machine has not answered yet
        if getattr(folds, step):
            return
        opened = [name for name in STEPS if getattr(folds, name)]
        if opened:
            y += stride - header * (STEPS.index(step) - STEPS.index(opened[0]))
        yield from fold_all(window, folds)
    raise NotDoneError(f"the header of {step} was not found in the sidebar")


def fold_all(window, folds):
    """Fold every step that is open, and let Blender draw it."""
    if any(getattr(folds, step) for step in STEPS):
        view = window.region(
            "VIEW_3D", "WINDOW"
        )  # where a row goes from under the mouse, Blender lights no other any more
        window.move(view.x + 0.3 * view.width, view.y + 0.2 * view.height)
        yield 0.3
        for step in STEPS:
            setattr(folds, step, False)
        window.view.tag_redraw()
        yield 0.5
