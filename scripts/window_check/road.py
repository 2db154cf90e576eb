"""The steps of the road as a maker walks them, each with what the scene must hold after it."""

from widgets import click, fill
from window import NotDoneError

FILES = "FILE_BROWSER"


def doll(window):
    """Write the height, open a scan in the file browser."""
    yield from fill(window, "toile.height", "42cm")
    yield from click(window, "toile.open_scan")
    yield from window.until(lambda: window.area(FILES) is not None, 30, "the file browser opens")
    yield 1.0
    yield from fill(window, "params.directory", f"{window.folder}/", (FILES, "UI"), 0.4)
    name = window.region(FILES, "EXECUTE")  # one row: the file's name and two buttons, of which Blender tells nothing
    yield from window.press(name.x + 0.4 * name.width, name.y + 0.5 * name.height)
    yield from window.keys("ctrl+a")
    yield from window.write("scan.glb")
    yield from window.keys("Return", "Return")  # the first ends the name, the second opens it
    yield from window.until(lambda: window.kept("body") is not None, 120, "the doll is read and measured")
    body = window.kept("body")
    expect(abs(body.height_mm - 420.0) < 0.5, f"42 cm tall, found {body.height_mm} mm")
    expect(ours(window, "doll"), "the doll stands in the scene")
    return f"{body.height_mm:.0f} mm tall"


def tape(window):
    """Measure."""
    yield from click(window, "toile.measure")
    yield from window.until(lambda: ours(window, "tape"), 120, "tapes lie on the doll")
    return f"{len(ours(window, 'tape'))} tapes on the doll"


def draft(window):
    """Draft."""
    yield from click(window, "toile.draft")
    yield from window.until(lambda: window.kept("pattern") is not None, 60, "the robe is drafted")
    panels = window.kept("pattern").panels
    expect(len(ours(window, "panel")) >= len(panels), "each panel lies beside the doll")
    return f"{len(panels)} panels"


def drape(window):
    """Drape, and watch until it is done."""
    yield from click(window, "toile.drape")
    yield from window.until(lambda: window.kept("drape") is not None, 1500, "the cloth is draped")
    expect(ours(window, "robe"), "the robe hangs in the scene")
    draped = window.kept("drape")
    return f"{len(draped.cloth.vertices)} vertices, {draped.speed_p99_mm_s:.1f} mm/s at the end"


def fit(window):
    """Read the fit."""
    yield from click(window, "toile.read_fit")
    yield from window.until(lambda: window.kept("fit") is not None, 120, "the fit is read")
    return window.kept("fit").verdict


def pictures(window):
    """Choose the folder, take the pictures."""
    folder = window.folder / "out" / "pictures"
    yield from fill(window, "toile.folder", str(folder))
    yield from fill(window, "toile.size", "400")
    yield from click(window, "toile.pictures")
    yield from window.until(lambda: len(list(folder.glob("*.png"))) >= 4, 300, "four pictures are written")
    return f"{len(list(folder.glob('*.png')))} pictures"


def ours(window, role):
    """The objects of the extension that play this role."""
    table = window.part("table")
    return [thing for thing in table.collection(window.scene).all_objects if thing.get(table.MARK) == role]


def expect(holds, what):
    """Raise where something does not hold."""
    if not holds:
        raise NotDoneError(f"expected: {what}")


STEPS = {"doll": doll, "tape": tape, "draft": draft, "drape": drape, "fit": fit, "pictures": pictures}
