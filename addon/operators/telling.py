"""Operators that only tell: the whole of what was said last, and lists too long for the sidebar."""

import textwrap

import bpy

from drafting.words import title

from .. import log, session
from ..words import OURS

LETTERS = 60  # of a line in a list
LINES = 28  # of a column: what a window of 1000 pixels holds, wherever the list is opened


class TOILE_OT_told(bpy.types.Operator):
    """What was said last; a click shows all that was done"""

    bl_idname = "toile.told"
    bl_label = "What was said"
    bl_translation_context = OURS
    bl_options = {"INTERNAL"}  # noqa: RUF012  Blender reads it as it is

    @classmethod
    def description(cls, context, _properties):
        """The whole of it, as the tooltip; Blender adds the full stop."""
        line = log.last(context.scene)
        return line.text.removesuffix(".") if line else cls.__doc__

    def execute(self, context):
        """Unfold what was done."""
        context.window_manager.toile_folds.log = True
        return {"FINISHED"}


def found(scene):
    """What is doubtful about the doll, and what was found or mended on the way."""
    body = session.get(scene, "body")
    doubts = [doubt.sentence for doubt in body.doubts] if body else []
    return [*doubts, *(note for note in body.skin.notes if note not in doubts)] if body else []


def rules(scene):
    """Every number of the draft with the reason for it."""
    pattern = session.get(scene, "pattern")
    return [f"{title(rule.name)}: {rule.reason}" for rule in pattern.rules] if pattern else []


def reasons(scene):
    """Why the verdict is what it is."""
    fit = session.get(scene, "fit")
    return list(fit.reasons) if fit else []


def cautions(scene):
    """What in a fit is to be read with care."""
    fit = session.get(scene, "fit")
    return list(fit.cautions) if fit else []


LISTS = {
    "found": ("What was found", found),
    "rules": ("Where the numbers come from", rules),
    "reasons": ("Why", reasons),
    "cautions": ("Read with care", cautions),
}


class TOILE_OT_list(bpy.types.Operator):
    """Read them all"""

    bl_idname = "toile.list"
    bl_label = "Read them all"
    bl_translation_context = OURS
    bl_options = {"INTERNAL"}  # noqa: RUF012  Blender reads it as it is

    name: bpy.props.StringProperty(options={"HIDDEN"}, translation_context=OURS)

    def invoke(self, context, _event):
        """Show them over the view, in as many columns as they need."""
        title, of = LISTS[self.name]
        pop_up(context, title, of(context.scene))
        return {"FINISHED"}


def pop_up(context, title, sentences):
    """Show sentences over the view, in as many columns as they need."""
    columns = in_columns(sentences)

    def draw(menu, _context):
        row = menu.layout.row()
        for column in columns:
            rows = row.column()
            for line, icon in column:
                rows.label(text=line, icon=icon, translate=False)

    context.window_manager.popup_menu(draw, title=title, icon="INFO")


def in_columns(sentences):
    """Sentences as lines, each with its icon, in columns that a window holds; a sentence stays in one."""
    columns: list[list[tuple[str, str]]] = [[]]
    for sentence in sentences:
        lines = textwrap.wrap(sentence, LETTERS)
        if columns[-1] and len(columns[-1]) + len(lines) > LINES:
            columns.append([])
        columns[-1] += [(line, "BLANK1" if index else "DOT") for index, line in enumerate(lines)]
    return columns


CLASSES = (TOILE_OT_told, TOILE_OT_list)
