"""Step 1: the doll."""

from .. import doubts, session, shelf
from ..asked import tall
from ..operators import telling
from ..operators.turning import WAYS
from .base import fields, fold, list_button, sentence

ICONS = {"left": "LOOP_BACK", "right": "LOOP_FORWARDS", "over": "UV_SYNC_SELECT", "round": "FILE_REFRESH"}
BESIDE = 3  # answers in a row


def draw(layout, context):
    """The scan, how large the doll truly is, what was found, and how she stands."""
    settings = context.scene.toile
    fields(layout).prop(settings, "height", placeholder="42cm, 16 1/2in")
    question = doubts.of_height(context.scene)
    if question is not None:
        draw_question(layout, context, question)
    column = layout.column(align=True)
    column.operator("toile.open_scan", icon="FILE_FOLDER")
    column.operator_menu_enum("toile.sample_doll", "doll", icon="OUTLINER_OB_ARMATURE")
    body = session.get(context.scene, "body")
    if body is not None:
        height, guessed = tall(context.scene, body), doubts.is_guessed(context.scene)
        words = f"about {height} tall, guessed" if guessed else f"{height} tall, crown to soles"
        icon = "CHECKMARK" if question is None else "QUESTION"
        layout.label(text=words, icon=icon, translate=False)
        layout.operator("toile.look_at_her", icon="VIEWZOOM")
        list_button(layout, "found", "What was found", len(telling.found(context.scene)), "INFO")
    draw_stance(layout, context)
    column = layout.column(align=True)
    if body is not None:
        column.operator("toile.another_doll", icon="ADD")
    for aside in shelf.dolls(context.scene):
        words = f"Go on with {aside.name.removeprefix('Pocket Toile, ')}"
        column.operator("toile.take_up", text=words, icon="OUTLINER_OB_ARMATURE").doll = aside.name


def draw_question(layout, context, question):
    """How tall she is: the likely answers, each a button."""
    column = layout.column(align=True)
    sentence(column, context, question.text, "QUESTION")
    likely, *others = question.answers
    column.operator("toile.answer_height", text=f"Yes, {likely}").height = likely
    row = column.row(align=True)
    for answer in others[:BESIDE]:
        row.operator("toile.answer_height", text=f"No, {answer}").height = answer
    sentence(column, context, "None of these? Write her height above, with its unit.")


def draw_stance(layout, context):
    """What else says how the scan is to be read."""
    settings, stance = context.scene.toile, fold(layout, context, "stance", "Size by a girth, turn, flip, stand")
    if stance is None:
        return
    column = fields(stance)
    column.prop(settings, "known")
    column.prop(settings, "known_length", placeholder="198mm")
    column.prop(settings, "stand", placeholder="none")
    turns = stance.grid_flow(columns=2, row_major=True, even_columns=True, align=True)
    for way, (words, _, _) in WAYS.items():
        turns.operator("toile.turn_her", text=words, icon=ICONS[way]).way = way
    stance.operator("toile.measure", text="Read the scan anew", icon="FILE_REFRESH")
