"""Drape, and read the fit: the long work goes on step by step while the window lives; Escape stops it."""

import bpy

from drafting.errors import ToileError

from .. import workshop
from ..drape import finish
from .edge import StepOperator, refuse

LET_THROUGH = {"MIDDLEMOUSE", "WHEELUPMOUSE", "WHEELDOWNMOUSE", "MOUSEMOVE", "INBETWEEN_MOUSEMOVE", "TRACKPADPAN"}


class TOILE_OT_drape(StepOperator, bpy.types.Operator):
    """Sew the panels round the doll and let the cloth settle; Escape stops and leaves all as it was"""

    bl_idname = "toile.drape"
    bl_label = "Drape"
    needs = ("body", "pattern")

    def work(self, context):
        """Without a window: all at once."""
        return told(finish(workshop.draping(context.scene)))

    def invoke(self, context, _event):
        """In a window: one step a tick."""
        if context.window is None or bpy.app.background:
            return self.execute(context)
        self._scene = context.scene
        self._work = workshop.draping(context.scene)
        self._timer = context.window_manager.event_timer_add(0.001, window=context.window)
        context.scene.toile.stage = "laying the cloth out"
        context.window_manager.modal_handler_add(self)
        return {"RUNNING_MODAL"}

    def modal(self, context, event):
        """A step of the drape at each tick of the timer."""
        if event.type == "ESC":
            self.leave(context)
            self.report({"INFO"}, "Draping stopped; nothing was changed")
            return {"CANCELLED"}
        if event.type != "TIMER":
            return {"PASS_THROUGH"} if event.type in LET_THROUGH else {"RUNNING_MODAL"}
        going = False
        try:
            self.show(context, next(self._work))
            going = True
        except StopIteration as done:
            self.report({"INFO"}, told(done.value))
            return {"FINISHED"}
        except ToileError as error:
            return refuse(self, error)
        finally:
            if not going:
                self.leave(context)
        return {"RUNNING_MODAL"}

    def cancel(self, context):
        """Blender itself ends the work, as when a file is opened."""
        self.leave(context)

    def show(self, context, step):
        """The stage and its share, in the panel and in the status bar."""
        settings = self._scene.toile
        settings.stage, settings.share = step.stage, step.share
        context.workspace.status_text_set(f"Toile: {step.stage}, {step.share:.0%}. Escape stops.")
        redraw(context)

    def leave(self, context):
        """Put the timer, the generator and the texts away, however the work ended."""
        self._work.close()
        context.window_manager.event_timer_remove(self._timer)
        context.workspace.status_text_set(None)
        self._scene.toile.stage, self._scene.toile.share = "", 0.0
        redraw(context)


def redraw(context):
    """Draw the 3D views anew."""
    for area in context.screen.areas:
        if area.type == "VIEW_3D":
            area.tag_redraw()


def told(draped):
    """What a finished drape says."""
    return f"Draped after {draped.frames} frames, {draped.solver_seconds:.0f} s in the solver"


class TOILE_OT_read_fit(StepOperator, bpy.types.Operator):
    """Measure the draped robe against the doll: girths, ease, gaps, stretch, and what to change"""

    bl_idname = "toile.read_fit"
    bl_label = "Read the fit"
    needs = ("body", "pattern", "drape")

    def work(self, context):
        """Read."""
        fit = workshop.fit(context.scene)
        return f"The robe {fit.verdict}" if fit.verdict in {"fits", "does not close"} else f"The robe is {fit.verdict}"


CLASSES = (TOILE_OT_drape, TOILE_OT_read_fit)
