"""The edge between the road and Blender's window: what a step needs, and how an error is told."""

from drafting.errors import ToileError

from .. import session

WANTED = {
    "body": "Open a doll first",
    "pattern": "Draft first",
    "drape": "Drape first",
    "fit": "Read the fit first",
}


class StepOperator:
    """A step of the road as an operator: `needs` names what it stands on, `work` does it and says what was done."""

    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012  Blender reads it as it is
    needs = ()

    @classmethod
    def poll(cls, context):
        """True when all that the step needs is there; else the button says what is missing."""
        if context.scene.toile.stage:
            cls.poll_message_set("The cloth is being draped; press Escape in the 3D view to stop it")
            return False
        for step in cls.needs:
            if f"toile_{step}_token" not in context.scene:
                cls.poll_message_set(WANTED[step])
                return False
        return True

    def execute(self, context):
        """Do the work; an error becomes a report."""
        try:
            self.report({"INFO"}, self.work(context))
        except ToileError as error:
            return refuse(self, error)
        return {"FINISHED"}


def refuse(operator, error):
    """Report an error and leave."""
    operator.report({"ERROR"}, str(error))
    return {"CANCELLED"}


def measured(scene):
    """The doll on the table, or None."""
    return session.get(scene, "body")
