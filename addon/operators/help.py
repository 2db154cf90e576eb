"""Help: a page about each step that comes with the extension, shown by the system's browser, else over the view."""

import webbrowser
from html.parser import HTMLParser
from pathlib import Path

import bpy

from ..words import OURS
from .telling import pop_up

PAGES = Path(__file__).parent.parent / "help"
TOLD = {"p", "li"}  # what is a sentence of its own where there is no browser


class Sentences(HTMLParser):
    """The title and the sentences of a page."""

    def __init__(self):
        """Nothing is read yet."""
        super().__init__()
        self.title, self.sentences, self._inside = "", [], []

    def handle_starttag(self, tag, _attributes):
        """A sentence begins."""
        if tag in {*TOLD, "h1"}:
            self._inside = []

    def handle_data(self, data):
        """Words."""
        self._inside.append(data)

    def handle_endtag(self, tag):
        """A sentence ends."""
        text = " ".join("".join(self._inside).split())
        if tag == "h1":
            self.title = text
        elif tag in TOLD:
            self.sentences.append(text)


def page(step):
    """Where the page about a step lies."""
    return PAGES / f"{step}.html"


def read(step):
    """The title of a step's page, and its sentences."""
    found = Sentences()
    found.feed(page(step).read_text(encoding="utf-8"))
    return found.title, found.sentences


class TOILE_OT_help(bpy.types.Operator):
    """What this step is for, what to do, and what its numbers mean: a page in your browser, from this computer"""

    bl_idname = "toile.help"
    bl_label = "Help"
    bl_translation_context = OURS
    bl_options = {"INTERNAL"}  # noqa: RUF012  Blender reads it as it is

    step: bpy.props.StringProperty(default="doll", options={"HIDDEN"}, translation_context=OURS)

    def execute(self, context):
        """Open the page; where no browser takes it, its words are shown here."""
        if not webbrowser.open(page(self.step).as_uri()):
            title, sentences = read(self.step)
            pop_up(context, title, sentences)
        return {"FINISHED"}


CLASSES = (TOILE_OT_help,)
