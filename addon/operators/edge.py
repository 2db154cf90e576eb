"""The edge between the road and Blender's window: what a step needs, how it is run, and how an error is told."""

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

import bpy

from drafting.errors import ToileError

from .. import jobs, log, outlook, readiness, table, view
from ..steps import finish
from ..turns import Turn, Turns
from ..words import OURS

WANTED = {
    "body": "Open a doll first (step 1)",
    "pattern": "Draft first (step 3)",
    "drape": "Drape first (step 5)",
    "fit": "Read the fit first (step 6)",
    "compared": "Drape all values first",
}
WORTH_TELLING = 3.0  # s
# What a maker may still do in the view while work goes on: look round. Menus and other editors are hers.
LOOKING = {"MIDDLEMOUSE", "WHEELUPMOUSE", "WHEELDOWNMOUSE", "MOUSEMOVE", "INBETWEEN_MOUSEMOVE"}
LOOKING |= {"TRACKPADPAN", "TRACKPADZOOM", "MOUSEROTATE"}


class StepOperator:
    """A step of the road as an operator: `needs` names what it stands on, `work` does it and says what was done."""

    bl_options: ClassVar = {"REGISTER", "UNDO"}
    bl_translation_context = OURS
    needs: tuple[str, ...] = ()
    as_it_is = False  # whether the step is for a scene in which something is amiss

    if TYPE_CHECKING:  # Blender's operator brings the first two, each step the third
        poll_message_set: Callable
        report: Callable
        work: Callable

    @classmethod
    def poll(cls, context):
        """True when all that the step needs is there; else the button says what is missing."""
        why = cls.hindrance(context)
        if why:
            cls.poll_message_set(why)
        return not why

    @classmethod
    def hindrance(cls, context):
        """Why the step cannot be done now, in words; "" if it can."""
        going = jobs.current()
        if going is not None:
            return f"Wait or stop first: {going.last.stage}"
        lacking = next((WANTED[step] for step in cls.needs if f"toile_{step}_token" not in context.scene), "")
        return lacking or ("" if cls.as_it_is else readiness.hindrance(context.scene, cls.needs))

    def execute(self, context):
        """Do the work; an error becomes a report."""
        try:
            self.tell(self.work(context))
        except ToileError as error:
            return self.refuse(error)
        view.redraw()
        return {"FINISHED"}

    def tell(self, text):
        """Say what was done, in the status bar and in the log."""
        log.say(text)
        self.report({"INFO"}, text)

    def refuse(self, error):
        """Say what went wrong, and leave: in the sidebar where it is open, else over the window, and not in both."""
        log.say(str(error), wrong=True)
        if bpy.app.background or not view.tab_is_open():
            self.report({"ERROR"}, str(error))
        view.redraw()
        return {"CANCELLED"}


class LongOperator(StepOperator):
    """A step that takes a while: `long_work` gives the generator, `done` says what came of it.

    From a script it runs to its end at once. From a button it goes on a step a tick while the window lives; Escape or
    the panel's button stops it.
    """

    step_name = ""
    keeps_undo = True  # whether the key for undo waits for the work, which it would end

    if TYPE_CHECKING:
        long_work: Callable
        done: Callable

    def work(self, context):
        """All at once."""
        return self.done(context, finish(self.long_work(context)))

    def invoke(self, context, _event):
        """In a window: one step a tick."""
        return self.begin(context)

    def begin(self, context):
        """Start the timer; without a window do it all at once."""
        if context.window is None or bpy.app.background:
            return self.execute(context)
        self._scene = context.scene
        self._job = jobs.start(self.step_name, self.long_work(context))
        self._turns = Turns()
        self._timer = context.window_manager.event_timer_add(0.001, window=context.window)
        context.window_manager.modal_handler_add(self)
        return {"RUNNING_MODAL"}

    def modal(self, context, event):
        """At each tick of the timer a step of the work, or a look at it."""
        if jobs.current() is not self._job or not lives(self._scene):  # the panel's button, a file, Edit and Undo
            return self.stopped(context)
        if event.type == "ESC" and event.value == "PRESS":
            return self.stopped(context)
        if event.type == "Z" and (event.ctrl or event.oskey):
            return self.keep_from_undo(event) if self.keeps_undo else {"PASS_THROUGH"}
        if event.type != "TIMER":
            passes = event.type in LOOKING or not view.over_scene(context, event)
            return {"PASS_THROUGH"} if passes else {"RUNNING_MODAL"}
        try:
            return self.turn(context, self._turns.next())
        finally:
            self._turns.end()

    def keep_from_undo(self, event):
        """The key for undo and redo would end the work, and is struck out of habit: say so instead."""
        if event.value == "PRESS":
            log.say("Undo waits while work goes on; Escape stops the work")
            view.redraw_sidebars()
        return {"RUNNING_MODAL"}

    def turn(self, context, turn):
        """One turn: a step of the work, or what it has come to is shown."""
        if turn is Turn.SHOW:
            self.show_work(context)
        return self.go_on(context) if turn is Turn.WORK else {"RUNNING_MODAL"}

    def show_work(self, context):
        """How far it is, in the status bar and the sidebar; the view only where there is something else to see."""
        context.workspace.status_text_set(f"Toile: {self._job.words()}. Escape stops.")
        if self._job.seen is self._job.shown:
            view.redraw_sidebars()
        else:
            view.redraw()
        self._job.shown = self._job.seen

    def go_on(self, context):
        """One step of the work; at its end, what came of it."""
        try:
            self._job.step()
        except StopIteration as ended:
            self.leave(context)
            outlook.note(context.scene, self._job.name, self._job.seconds())
            self.tell(f"{self.done(context, ended.value)}{took(self._job.seconds())}")
            return {"FINISHED"}
        except ToileError as error:
            self.leave(context)
            return self.refuse(error)
        except BaseException:
            self.leave(context)
            raise
        return {"RUNNING_MODAL"}

    def stopped(self, context):
        """The maker stopped it."""
        self.leave(context)
        self.tell("Stopped; nothing was changed")
        return {"CANCELLED"}

    def cancel(self, context):
        """Blender itself ends the work, as when its window is closed."""
        self.leave(context)

    def leave(self, context):
        """Put the timer, the work and the text in the status bar away, however the work ended."""
        if jobs.current() is self._job:
            jobs.stop()
        if self._timer is not None:
            context.window_manager.event_timer_remove(self._timer)
            self._timer = None
        for workspace in bpy.data.workspaces:  # the maker may have changed to another meanwhile
            workspace.status_text_set(None)
        if lives(self._scene) and context.window is not None and context.scene != self._scene:
            context.window.scene = self._scene  # or looked at another scene: work ends where it was begun
        view.redraw()


def lives(scene):
    """Whether a scene is still in the file: the maker may delete it, or undo, while work goes on."""
    try:
        return bool(scene.name)
    except ReferenceError:
        return False


def took(seconds):
    """How long it took by the clock, after what was done; nothing where one did not wait."""
    return "" if seconds < WORTH_TELLING else f"; it took {jobs.in_words(seconds)}"


class TOILE_OT_stop(bpy.types.Operator):
    """Stop the work that goes on; the scene is then as it was before"""

    bl_idname = "toile.stop"
    bl_label = "Stop"
    bl_translation_context = OURS
    bl_options: ClassVar = {"INTERNAL"}

    @classmethod
    def poll(cls, _context):
        """Only while work goes on."""
        if jobs.current() is None:
            cls.poll_message_set("Nothing is going on")
            return False
        return True

    def execute(self, _context):
        """Stop it."""
        jobs.stop()
        view.redraw()
        return {"FINISHED"}


def look_at(context, *roles):
    """Turn the 3D view to our objects of these roles, from the front, where there is a view."""
    view.look_at(context, [thing for thing in table.ours(context.scene) if thing.get(table.MARK) in roles])


CLASSES = (TOILE_OT_stop,)
