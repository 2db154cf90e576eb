"""Every word that a maker reads is a plain trade word: no option of the command line, no identifier, no axis.

The sentences are collected from the source by its syntax tree, and the messages by provoking them.
"""

from __future__ import annotations

import ast
import math
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from robes import DOLL, draft

from drafting.body.dimensions import TABLE
from drafting.body.landmarks import NAMES
from drafting.errors import MeasureError, ToileError
from drafting.garments import GARMENTS, ROBE
from drafting.words import edge, plain, title

ROOT = Path(__file__).parent.parent
# The command line's own folder may speak of its options; the report's style sheet and the darkroom's script are code.
SPARED = ("addon/commands/", "drafting/fit/report_style.py", "addon/darkroom.py")
OPTION, AXIS = re.compile(r"(?<![\w-])--[a-z]"), re.compile(r"(?<![\w.])[+-][XYZ]\b")
ROBES = [draft({"method": method}) for method in ("quarters", "proportions")]
IDENTIFIERS = (
    {option.name for garment in GARMENTS.values() for option in garment.options}
    | {row.name for row in TABLE}
    | set(NAMES)
    | {rule.name for robe in ROBES for rule in robe.rules}
    | {edge.name for robe in ROBES for panel in robe.panels for edge in panel.edges}
)
INNER = {name for name in IDENTIFIERS if "_" in name}
LENGTHS = [option for option in ROBE.options if option.kind == "length"]


def amiss(text: str) -> list[str]:
    """What in a text is no plain word."""
    found = OPTION.findall(text) + AXIS.findall(text)
    return found + [word for word in re.findall(r"\w+(?:\.(?:left|right))?", text) if word.split(".")[0] in INNER]


def text_of(node: ast.AST) -> str:
    """A text as it is written, braces where something is put in."""
    if isinstance(node, ast.JoinedStr):
        return "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def sentences(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Every text of a file with more than one word, and the docstrings of operators, which are tooltips."""
    documented = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    silent = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and text_of(node.value):
            silent.add(node.value)  # a docstring, or the words below a constant
        if isinstance(node, ast.JoinedStr):
            silent |= set(node.values)
        if isinstance(node, documented) and "_OT_" in getattr(node, "name", ""):
            yield node.lineno, ast.get_docstring(node) or ""
    for node in ast.walk(tree):
        if node not in silent and " " in text_of(node).strip():
            yield node.lineno, text_of(node)


SOURCES = [
    path
    for folder in ("drafting", "addon")
    for path in sorted((ROOT / folder).rglob("*.py"))
    if not str(path.relative_to(ROOT)).startswith(SPARED)
]


def test_no_sentence_of_the_source_speaks_of_options_identifiers_or_axes():
    found = [
        f"{path.relative_to(ROOT)}:{line}: {text} {amiss(text)}"
        for path in SOURCES
        for line, text in sentences(ast.parse(path.read_text()))
        if amiss(text)
    ]
    assert not found, "\n".join(found)


PAGES = [*sorted((ROOT / "addon" / "help").glob("*.html"))]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_no_page_of_help_speaks_of_options_identifiers_or_axes(page):
    assert not amiss(re.sub(r"<!--.*?-->|<[^>]*>", " ", page.read_text(), flags=re.DOTALL))


def test_the_collection_finds_what_it_is_for():
    """Each kind of text that is shown, and each kind of word that may not be."""
    source = '''
class TOILE_OT_turn:
    """Turn her to -Y"""
    bl_label = "leave --edge out"
def refuse(name):
    """Not shown: --edge."""
    raise ToileError(f"choose a larger sleeve_drop than {name}")
'''
    assert [amiss(text) for _, text in sentences(ast.parse(source))] == [["-Y"], ["--e"], ["sleeve_drop"]]
    assert amiss("sleeve.left and heel_left.left") == ["heel_left.left"]
    assert not amiss("A sleeve - the left one - 2 mm deeper, below -3 mm; well-made")


ODD = [
    *({option.name: text} for option in ROBE.options for text in ("3 apples", "-9mm", "1e9mm", "0mm", "2499mm")),
    *({option.name: value} for option in ROBE.options for value in (math.nan, 3.5, True, object)),
    *({option.name: mm, "method": "proportions"} for option in LENGTHS for mm in (0.0, 2.0, 900.0)),
    {"sleeve_dorp": 3},
]
BAD_MEASURES = [DOLL | {name: value} for name in DOLL for value in (math.nan, -3.0, 0.5, 5000.0)]
BAD_MEASURES += [{name: mm for name, mm in DOLL.items() if name != missing} for missing in DOLL]


def provoked() -> list[ToileError]:
    """All that the draft has to say against measures and options that cannot be."""
    told = []
    cases = [(DOLL, options) for options in ODD]
    cases += [(measures, {"method": method}) for measures in BAD_MEASURES for method in ("quarters", "proportions")]
    for measures, options in cases:
        try:
            ROBE.draft(measures, options)
        except ToileError as error:
            told.append(error)
    return told


def test_every_message_of_the_draft_is_plain_and_says_what_it_is_about():
    told = provoked()
    assert len(told) > 150
    assert not [f"{error} {amiss(str(error))}" for error in told if amiss(str(error))]
    about = {name for error in told for name in error.about}
    assert about <= IDENTIFIERS
    assert {option.name for option in ROBE.options} <= about
    assert {error.about for error in told if isinstance(error, MeasureError)} >= {("hip_girth",), ("arm_length",)}


@pytest.mark.parametrize("robe", ROBES, ids=("quarters", "proportions"))
def test_every_rule_is_plain_and_no_two_sizes_have_one_name(robe):
    assert not [rule for rule in robe.rules if amiss(rule.reason) or "_" in plain(rule.name)]
    names = [plain(rule.name) for rule in robe.rules]
    assert len(names) == len(set(names))


def test_one_name_a_thing():
    """An option is called on its label what its rule, its error and its advice call it."""
    for option in ROBE.options:
        assert option.label == title(option.name)
        assert not amiss(f"{option.label} {option.tip}")
    labels = [option.label for option in ROBE.options]
    assert len(labels) == len(set(labels))


def test_a_side_comes_first():
    assert plain("sleeve.left") == "left sleeve"
    assert plain("under_sleeve.right") == "right under sleeve"
    assert plain("hand_tip_left") == "left hand tip"
    assert edge("wrist_seam_back") == "back wrist seam"
    assert (edge("slope_left"), edge("slope"), edge("lap")) == ("left neckline", "neckline", "overlap neckline")
    assert plain("hip_girth") == "hip girth"


def test_an_error_keeps_what_it_is_about_where_it_was_met():
    error = MeasureError("the waist is missing", about=["waist_girth"]).of("60 mm")
    assert (type(error), str(error), error.about) == (MeasureError, "60 mm: the waist is missing", ("waist_girth",))
