"""The page that `help` shows."""

from __future__ import annotations

VERBS = {
    "measure": "measure a scan: a table, measures.json, measures.csv and tape.png, which shows every tape",
    "draft": "measure and draft: pattern.json and a drawing of all panels with dimensions",
    "fit": "measure, draft, sew, drape and read the fit: a report with pictures",
    "compare": "drape several values of one option and lay them side by side",
    "paper": "a pattern to cut from, true to scale: pattern.pdf, .svg, .dxf, and a sewing guide",
    "pictures": "photographs of a fit, for showing it: front, three-quarter, back, detail",
}
OTHERS = {
    "zip": "build the extension for Blender's window",
    "test": "run the tests",
    "help": "this page",
}

PAGE = """\
Pocket Toile: from a scan of a doll to a draft, a robe draped on the doll, and how it fits.

    python3 scripts/toile.py VERB [SCAN] [options]

{verbs}

    toile.py fit                                      a sample doll; results in toile_out/quarter_curvy
    toile.py fit my_doll.stl --height 42cm --out fit  your own: .stl .obj .ply .3mf .glb
    toile.py draft my_doll.stl --height "16 1/2in" --sleeve_drop 90mm
    toile.py paper my_doll.stl --height 42cm --page Letter
    toile.py compare my_doll.stl --height 42cm --vary sleeve_drop=60mm,90mm,140mm

Lengths: 82.5mm, 8.25cm, 3 1/4in. All options of a verb: toile.py VERB --help."""


def overview() -> str:
    """All verbs and some examples."""
    listed = "\n".join(f"    {verb:<9} {what}" for verb, what in {**VERBS, **OTHERS}.items())
    return PAGE.format(verbs=listed)
