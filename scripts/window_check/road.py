"""The steps of the road as a maker walks them, each with what the scene must hold after it."""

import bpy
from cards import cards
from sidebar import sidebar
from widgets import click, fill, pick_next, unfold
from window import NotDoneError

FILES = "FILE_BROWSER"


def doll(window):
    """Write the height, open a scan in the file browser."""
    yield from open_scan(window, "42cm", "scan.glb")
    body = window.kept("body")
    expect(abs(body.height_mm - 420.0) < 0.5, f"42 cm tall, found {body.height_mm} mm")
    expect(ours(window, "doll"), "the doll stands in the scene")
    return f"{body.height_mm:.0f} mm tall"


def tape(window):
    """Light one tape, measure anew, then drag a point: the tapes follow."""
    yield from unfold(window, "tape")
    yield from click(window, "toile.lit")
    yield from window.until(lambda: window.scene.toile.lit >= 0, 10, "a measure is chosen in the list")
    before = window.kept("body")
    yield from click(window, "toile.measure")
    yield from window.until(lambda: window.kept("body") is not before, 120, "the doll is measured anew")
    expect(ours(window, "tape"), "tapes lie on the doll")
    lit = window.scene.toile.by_hand[window.scene.toile.lit].name
    yield from click(window, "toile.points", across=0.3)
    level = yield from drag_point(window, "waist_front", 12)
    yield from click(window, "toile.points", across=0.3)
    return f"{len(window.kept('body').measures)} measures, {lit} is lit, waist moved by {level:.1f} mm"


def draft(window):
    """Draft, take it back by one undo, and have it again by one redo."""
    yield from unfold(window, "draft")
    yield from click(window, "toile.draft")
    yield from window.until(lambda: window.kept("pattern") is not None, 60, "the robe is drafted")
    panels = window.kept("pattern").panels
    expect(len(ours(window, "panel")) >= len(panels), "each panel lies beside the doll")
    region = window.region("VIEW_3D", "WINDOW")
    window.move(region.x + 0.4 * region.width, region.y + 0.3 * region.height)
    yield from window.keys("ctrl+z")
    yield from window.until(lambda: window.kept("pattern") is None, 20, "one undo takes the draft back")
    expect(not ours(window, "panel"), "no panel after the undo")
    yield from window.keys("ctrl+shift+z")
    yield from window.until(lambda: window.kept("pattern") is not None, 20, "one redo brings the draft back")
    expect(len(ours(window, "panel")) >= len(panels), "each panel is there again")
    return f"{len(panels)} panels"


def cloth(window):
    """Choose another cloth in its menu."""
    yield from unfold(window, "cloth")
    before = window.scene.toile.fabric
    yield from pick_next(window, "toile.fabric")
    yield from window.until(lambda: window.scene.toile.fabric != before, 10, "another cloth is chosen")
    return f"{window.scene.toile.fabric} instead of {before}"


def drape(window):
    """Start a quick drape and stop it by Escape: all is as before. Then drape to the end."""
    yield from unfold(window, "drape")
    yield from click(window, "toile.quality", across=0.25)
    expect(window.scene.toile.quality == "quick", "a quick drape is chosen")
    before = counts()
    yield from click(window, "toile.drape")
    yield from window.until(lambda: going(window) and going(window).last.share > 0.02, 300, "the drape is under way")
    yield from window.keys("Escape")
    yield from window.until(lambda: going(window) is None, 30, "Escape stops the drape")
    expect(window.kept("drape") is None, "nothing is draped after Escape")
    expect(counts() == before, f"as many datablocks after Escape as before: {before}, found {counts()}")
    yield from click(window, "toile.drape")
    yield from window.until(lambda: going(window) and going(window).last.share > 0.3, 1500, "the drape goes on")
    window.shot("drape_under_way")
    yield from window.until(lambda: window.kept("drape") is not None, 2400, "the cloth is draped")
    expect(ours(window, "robe"), "the robe hangs in the scene")
    draped = window.kept("drape")
    return f"{len(draped.cloth.vertices)} vertices, {draped.speed_p99_mm_s:.1f} mm/s at the end"


def fit(window):
    """Read the fit, and cut through the robe at a level."""
    yield from unfold(window, "fit")
    yield from click(window, "toile.read_fit")
    yield from window.until(lambda: window.kept("fit") is not None, 300, "the fit is read")
    yield from click(window, "toile.show_level", across=0.2)
    yield from window.until(lambda: window.scene.toile.level, 30, "a level is cut through")
    return f"{window.kept('fit').verdict}, cut through at the {window.scene.toile.level}"


def compare(window):
    """Two values of an option, draped and set side by side."""
    yield from unfold(window, "compare")
    before = window.scene.toile.vary
    yield from pick_next(window, "toile.vary")
    yield from window.until(lambda: window.scene.toile.vary != before, 10, "another option is chosen")
    yield from fill(window, "toile.values", "0mm, 10mm")
    yield from click(window, "toile.compare")
    yield from window.until(lambda: going(window) and going(window).last.share > 0.1, 1500, "the first is under way")
    expect(all(robe.hide_get() for robe in ours(window, "robe")), "the robe is hidden while others are seen draping")
    window.shot("compare_under_way")
    yield from window.until(lambda: window.kept("compared") is not None, 3600, "both are draped")
    option, made = window.kept("compared")
    expect(len(made) == 2 and option == window.scene.toile.vary, f"two robes with another {option}")
    expect(len(ours(window, "variant")) >= 2, "they stand side by side")
    yield from window.until(lambda: going(window) is None, 30, "the work has ended")
    expect(not any(robe.hide_get() for robe in ours(window, "robe")), "the robe is shown again")
    return f"{option}: {', '.join(value for value, *_ in made)}"


def pictures(window):
    """Choose the folder and a small size, take the pictures."""
    folder = window.folder / "out" / "results"
    yield from unfold(window, "pictures")
    yield from fill(window, "toile.size", "400")
    yield from fill(window, "toile.folder", str(folder))
    yield from click(window, "toile.pictures")
    yield from window.until(lambda: len(list(folder.glob("*.png"))) >= 4, 900, "four pictures are written")
    return f"{len(list(folder.glob('*.png')))} pictures"


def paper(window):
    """Write the pattern into the same folder."""
    folder = window.folder / "out" / "results"
    yield from unfold(window, "paper")
    yield from fill(window, "toile.folder", str(folder))
    yield from click(window, "toile.paper")
    wanted = [folder / name for name in ("pattern.pdf", "guide.pdf")]
    yield from window.until(lambda: all(path.exists() for path in wanted), 300, "the pattern and its guide are written")
    expect(wanted[0].read_bytes().startswith(b"%PDF-"), "pattern.pdf is a PDF")
    return ", ".join(sorted(path.name for path in folder.iterdir() if path.suffix != ".png"))


def drop(window):
    """Not on the road, asked for by name: drag a scan onto the 3D view; of the formats that take it choose ours."""
    region = window.region("VIEW_3D", "WINDOW")
    x, y = region.x + 0.4 * region.width, region.y + 0.5 * region.height
    yield from window.drop(x, y, window.folder / "scan.glb")
    yield 1.5
    window.shot("dropped")
    yield from window.keys("o")  # "Open as a doll's scan": its letter in the menu
    yield from window.until(lambda: window.kept("body") is not None, 120, "the dropped doll is read")
    return f"{window.kept('body').height_mm:.0f} mm tall"


def lay_out(window, path):
    """Not a step: doll, draft and drape of a fit that the command line made, so that only later steps are walked."""
    body, pattern, draped, _ = window.part("keep").unpack(path.read_bytes())
    window.scene.toile.quality = "quick"  # for what is compared
    parts = {name: window.part(name) for name in ("session", "marks", "table", "sheets", "rack", "workshop")}
    for step, value in (("scanned", body), ("body", body), ("pattern", pattern), ("drape", draped)):
        parts["session"].put(window.scene, step, value)
    for step in ("doll", "draft", "drape"):
        parts["marks"].keep(window.scene, step)
    parts["table"].lay_doll(window.scene, body)
    parts["table"].lay_tape(window.scene, body)
    parts["table"].lay_landmarks(window.scene, body)
    with window.part("live").held():
        for name in body.measures:
            window.scene.toile.by_hand.add().name = name
    parts["sheets"].lay_panels(window.scene, body, pattern)
    parts["rack"].lay_robe(window.scene, draped, parts["workshop"].cloth(window.scene))
    yield 1.0
    for thing in parts["table"].in_the_way(window.scene, window.scene.objects):
        thing.hide_set(True)
    yield 1.0


def open_scan(window, height, scan):
    """Write a height, open a scan of the walk's folder in the file browser, and wait until she is measured."""
    yield from fill(window, "toile.height", height)
    yield from click(window, "toile.open_scan")
    yield from window.until(lambda: window.area(FILES) is not None, 30, "the file browser opens")
    yield 1.0
    yield from fill(window, "params.directory", f"{window.folder}/", (FILES, "UI"), 0.4)
    name = window.region(FILES, "EXECUTE")  # one row: the file's name and two buttons, of which Blender tells nothing
    yield from window.press(name.x + 0.4 * name.width, name.y + 0.5 * name.height)
    yield from window.keys("ctrl+a")
    yield from window.write(scan)
    yield from window.keys("Return", "Return")  # the first ends the name, the second opens it
    yield from window.until(lambda: window.kept("body") is not None, 120, "the doll is read and measured")
    yield from window.until(lambda: going(window) is None, 30, "the work has ended")


def drag_point(window, name, pixels):
    """Move a point up as by hand (only its choice is not); the millimetres that the waist's tape moved with it."""
    (point,) = [thing for thing in ours(window, "landmark") if thing[window.part("table").POINT] == name]
    region = window.region("VIEW_3D", "WINDOW")
    x, y = region.x + 0.4 * region.width, region.y + 0.3 * region.height
    with bpy.context.temp_override(window=window.window, area=window.view, region=region):
        bpy.ops.object.select_all(action="DESELECT")
        point.select_set(True)
        bpy.context.view_layer.objects.active = point
    before = window.kept("body")
    window.move(x, y)
    yield 0.3
    yield from window.keys("g", "z")
    for step in range(1, 5):
        window.move(x, y + step * pixels / 4)
        yield 0.1
    yield from window.press(x, y + pixels)
    yield from window.until(lambda: window.kept("body") is not before, 60, "the tapes follow the point")
    levels = [body.measures["waist_girth"].level_mm for body in (before, window.kept("body"))]
    expect(levels[0] != levels[1], "the waist's tape lies where its point was dragged to")
    return levels[1] - levels[0]


def going(window):
    """The work that goes on, None where there is none."""
    return window.part("jobs").current()


def counts():
    """How many datablocks of each kind the file holds."""
    kinds = [kind.identifier for kind in bpy.data.bl_rna.properties if kind.type == "COLLECTION"]
    return {kind: len(getattr(bpy.data, kind)) for kind in kinds if len(getattr(bpy.data, kind))}


def ours(window, role):
    """The objects of the extension that play this role."""
    table = window.part("table")
    return [thing for thing in table.collection(window.scene).all_objects if thing.get(table.MARK) == role]


def expect(holds, what):
    """Raise where something does not hold."""
    if not holds:
        raise NotDoneError(f"expected: {what}")


STEPS = {step.__name__: step for step in (doll, tape, draft, cloth, drape, fit, compare, pictures, paper)}
ASIDE = {step.__name__: step for step in (drop, sidebar, cards)}  # walked only where they are asked for
