"""Runs inside Blender: walks the road, one thing a tick of a timer, and writes the record of how each step went."""

import json
import sys
import time
import traceback
from functools import partial
from pathlib import Path

import bpy

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from astray import ASTRAY, WALK  # noqa: E402
from kept import told  # noqa: E402
from pauses import Pauses  # noqa: E402
from road import ASIDE, STEPS, lay_out  # noqa: E402
from window import NotDoneError, Window  # noqa: E402


class Walk:
    """The steps, one after the other; ends Blender after the last one or the first that fails."""

    def __init__(self, asked):
        self.asked, self.record, self.last = asked, [], time.monotonic()
        self.wanted = asked["steps"] or list(WALK if asked["astray"] else STEPS)
        self.pause = self.work = self.worked = self.bare = 0.0
        self.draws = []  # ms
        self.window, self.pauses = Window(HERE), Pauses()
        self.going = self.steps()

    def steps(self):
        """Each step with its screenshots; a generator of seconds to wait."""
        yield from self.window.prepare(self.asked["language"])
        self.bare = yield from self.window.bare_turn()
        self.watch_panel()
        if (HERE / "fit.toile").exists():
            yield from lay_out(self.window, HERE / "fit.toile")
        for number, name in enumerate(self.wanted, start=1):
            self.begun, self.pause, self.work, self.draws = time.monotonic(), 0.0, 0.0, []
            said = yield from (STEPS | ASIDE | ASTRAY)[name](self.window)
            if name in STEPS:
                yield from self.window.until(partial(self.is_ticked, name), 10, f"{name} is ticked in the sidebar")
            self.note(name, "passed", said)
            self.save(f"{number}_{name}")
            yield from self.pictures(f"{number}_{name}")

    def watch_panel(self):
        """Note how long each drawing of the sidebar takes."""
        panel = bpy.types.TOILE_PT_road
        draw = panel.draw

        def watched(drawn, context):
            begun = time.perf_counter()
            draw(drawn, context)
            self.draws.append(1000.0 * (time.perf_counter() - begun))

        panel.draw = watched

    def is_ticked(self, name):
        """Whether the sidebar shows the step as done; the cloth is, once something is draped in it."""
        return self.window.part("signpost").is_done(self.window.scene, name) or (
            name == "cloth" and self.window.kept("drape") is None
        )

    def save(self, name):
        """The file as it is now, and what it must hold when another process opens it."""
        path = HERE / "saved" / f"{name}.blend"
        bpy.ops.wm.save_as_mainfile(filepath=str(path), copy=True)
        path.with_suffix(".json").write_text(json.dumps(told(self.window.scene)))

    def pictures(self, name):
        """The window as it is now, in each theme asked for."""
        for theme in self.asked["themes"]:
            yield from self.window.theme(theme)
            yield from self.window.at_rest()
            self.window.shot(f"{name}_{theme}")

    def note(self, name, result, said):
        """A step's line in the record."""
        took = round(time.monotonic() - self.begun, 1)
        line = {"name": name, "result": result, "seconds": took, "longest_pause_s": round(self.pause, 2), "said": said}
        line["most_work_s"] = round(self.work, 2)
        line["panel_ms"] = round(sorted(self.draws)[len(self.draws) // 2], 2) if self.draws else None
        self.record.append(line)
        (HERE / "out" / "pauses.json").write_text(json.dumps(self.pauses.told, indent=1))
        record = {"blender": bpy.app.version_string, "bare_view_s": round(self.bare, 2), "steps": self.record}
        (HERE / "out" / "record.json").write_text(json.dumps(record))
        print(line, flush=True)

    def tick(self):
        """One thing of the walk; how long the window stood still since the last one counts into the step's pause.

        How much of that the window's own thread worked is told too: where no graphics card draws, other threads do.
        """
        now = time.monotonic()
        self.pause = max(self.pause, now - self.last)
        self.work = max(self.work, min(time.thread_time() - self.worked, now - self.last))
        self.pauses.over(len(self.record) + 1, now - self.last)
        try:
            wait = next(self.going)
        except StopIteration:
            return self.leave()
        except NotDoneError as error:
            return self.fail(str(error))
        except Exception:  # noqa: BLE001  whatever went wrong must end Blender, or the check would wait for its limit
            return self.fail(traceback.format_exc())
        self.pauses.forget()
        self.worked = time.thread_time()
        self.last = time.monotonic() + wait
        return wait

    def fail(self, why):
        """Say why, and leave."""
        self.window.shot("failed")
        self.begun = getattr(self, "begun", time.monotonic())
        self.note(self.wanted[min(len(self.record), len(self.wanted) - 1)], "failed", why)
        return self.leave()

    def leave(self):
        """End Blender at the next tick, outside of this one."""
        bpy.app.timers.register(lambda: bpy.ops.wm.quit_blender() and None, first_interval=0.5)


walk = Walk(json.loads((HERE / "asked.json").read_text()))
bpy.app.timers.register(walk.tick, first_interval=1.5)
