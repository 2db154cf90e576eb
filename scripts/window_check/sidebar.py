"""The sidebar as it is drawn, in both themes: each step stands within the window, and what counts stands out."""

import bpy
from screenshot import screen
from sight import LEAST, lines, lowest
from widgets import STEPS, find
from window import NotDoneError

THEMES = ("dark", "light")
HEADER, TOP = (
    24,
    92,
)  # pixels at a scale of 1 from the sidebar's upper edge: past the panel's own name, past what comes next
INSET = 0.055  # of the sidebar's width: the panel's own ground, left of all text
ROW = 20.0  # pixels at a scale of 1
ABOVE, LEVELS = 2.6, 5.5  # rows from the first level up to the verdict, and down past the last
NUMBERS = (0.34, 0.82)  # of the sidebar's width, the columns of the table


def sidebar(window):
    """Not on the road, asked for by name: unfold one step after the other, as the scene is now."""
    folds, faint, tall = bpy.context.window_manager.toile_folds, [], {}
    for theme in THEMES:
        yield from window.theme(theme)
        for step, part in unfolded(folds):
            folds.step, folds.part = step, part or folds.part
            window.view.tag_redraw()
            yield from window.at_rest()
            window.shot(f"sidebar_{step}{part}_{theme}")
            tall[step + part] = height(window, f"{step} {part}")
            faint.append((top(window), f"what comes next, {theme}"))
        if window.kept("fit") is not None:
            folds.fit = True
            window.view.tag_redraw()
            yield from window.at_rest()
            faint.append(((yield from table(window)), f"verdict and numbers, {theme}"))
    for contrast, what in faint:
        if contrast < LEAST:
            raise NotDoneError(f"expected: {what} at a contrast of {LEAST} to 1 or more, found {contrast:.2f}")
    least, what = min(faint)
    most = max(tall, key=tall.get)
    return f"{tall[most]} pixels of {window.sidebar.height} at most ({most}); least contrast {least:.1f} to 1 ({what})"


def unfolded(folds):
    """Each step, and each group of the draft's options in its own."""
    groups = [name for name in folds.bl_rna.properties.keys() if name.startswith("group_")]  # noqa: SIM118
    return [*((step, "") for step in STEPS), *(("draft", group) for group in groups)]


def view_of(window):
    """The sidebar's pixels, and the scale at which they are drawn."""
    side, pixels = window.sidebar, screen(window.folder / "Xvfb_screen0")
    first = window.window.height - side.y - side.height
    return pixels[first : first + side.height, side.x : side.x + side.width], scale()


def scale():
    """Of the window's own drawing."""
    return bpy.context.preferences.system.ui_scale


def height(window, step):
    """How many pixels of the sidebar an unfolded step fills, all headers with it; it must be seen whole."""
    pixels, ui = view_of(window)
    column = pixels[int(HEADER * ui) :, int(INSET * pixels.shape[1])]
    filled = lowest(column) + int(HEADER * ui)
    if filled >= pixels.shape[0] - ROW * ui / 2:
        raise NotDoneError(f"expected: {step} stands within the sidebar's {pixels.shape[0]} pixels")
    return filled


def top(window):
    """The least contrast in what comes next and what was said last."""
    pixels, ui = view_of(window)
    wide = pixels.shape[1]
    return least(pixels[int(HEADER * ui) : int(TOP * ui), int(0.16 * wide) : int(0.85 * wide)])


def table(window):
    """The least contrast from the verdict down to the last level's numbers."""
    first = yield from find(window, "toile.show_level", across=0.2)
    window.move(window.view.x + 300, window.view.y + 300)  # away: what is under the mouse is drawn lighter
    yield from window.at_rest()
    pixels, ui = view_of(window)
    middle = window.sidebar.y + window.sidebar.height - first.y
    rows = slice(int(middle - ABOVE * ROW * ui), int(middle + (LEVELS - 1.0) * ROW * ui))
    columns = slice(*(int(share * pixels.shape[1]) for share in NUMBERS))
    return least(pixels[rows, columns])


def least(pixels):
    """The least contrast of the lines of text in a picture; there must be some."""
    found = lines(pixels)
    if not found:
        raise NotDoneError("expected: words in this part of the sidebar")
    return min(line.contrast for line in found)
