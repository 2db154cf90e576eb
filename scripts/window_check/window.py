"""A person's hands and eyes in Blender's window: the mouse, the keyboard, screenshots, and the scene looked at.

The mouse and the keys are real: xdotool sends them to the screen that Blender's window stands on. What takes time is
a generator of seconds to wait, so that Blender draws and answers between.
"""

import subprocess
import sys
import time
from pathlib import Path

import bpy
from screenshot import screen, write_png

ADDON = "bl_ext.user_default.pocket_toile"
ENGLISH = "en_US"
NUDGES, SHORT = 9, 0.02  # how often a bare view is drawn to see how long that takes; s between
CALM, MOST_LOOKS = (
    8,
    200,
)  # turns without drawing in a row by which a view is done; turns after which it is taken as it is


class NotDoneError(Exception):
    """A step did not come to what was expected; says what lacked."""


class Window:
    """Blender's first window with its 3D view."""

    def __init__(self, folder):
        self.folder = Path(folder)

    def prepare(self, language):
        """A plain start: no splash screen, the file browser inside the window, the tab open and wide enough."""
        preferences = bpy.context.preferences
        self.speak(language)
        preferences.view.show_splash = False
        preferences.view.filebrowser_display_type = "SCREEN"
        preferences.use_preferences_save = False
        preferences.addons[ADDON]  # enabled by the installation, else KeyError
        yield 1.0
        self.mouse("mousemove", 800, 500, "click", 1)
        yield 0.5
        with bpy.context.temp_override(window=self.window, area=self.view):
            bpy.ops.screen.screen_full_area()
        yield 1.0
        self.view.spaces.active.show_region_ui = True
        yield from self.until(self.on_our_tab, 20, "the sidebar opens on the tab Toile")

    def speak(self, language):
        """Blender in this language: its labels, and the names that it gives to what is made."""
        view = bpy.context.preferences.view
        try:
            view.language = language
        except TypeError as error:  # a build without translations knows no language by name: it speaks English
            if language != ENGLISH:
                raise NotDoneError(f"this Blender does not speak {language}: {error}") from error
            return
        view.use_translate_interface = view.use_translate_tooltips = view.use_translate_new_dataname = True

    def bare_turn(self):
        """Seconds in which Blender draws a view with its own cube in it: this machine's part in every pause."""
        took, (cube, *_) = [], self.scene.objects
        for _ in range(NUDGES):
            cube.location.x += 0.001
            begun = time.monotonic()
            yield SHORT
            took.append(time.monotonic() - begun - SHORT)
        cube.location.x -= 0.001 * NUDGES
        return sorted(took)[NUDGES // 2]

    def on_our_tab(self):
        """Open our tab; True when it is."""
        region = self.sidebar
        try:
            region.active_panel_category = "Toile"
        except (AttributeError, TypeError):  # not drawn yet
            return False
        return True

    @property
    def window(self):
        """The window."""
        return bpy.context.window_manager.windows[0]

    @property
    def scene(self):
        """Its scene."""
        return self.window.scene

    @property
    def view(self):
        """The area that holds the 3D view."""
        return self.area("VIEW_3D")

    @property
    def sidebar(self):
        """The 3D view's sidebar."""
        return self.region("VIEW_3D", "UI")

    def area(self, kind):
        """The area of this kind, None where there is none."""
        return next((area for area in self.window.screen.areas if area.type == kind), None)

    def region(self, area, kind):
        """A region of an area, by their kinds."""
        found = self.area(area)
        return next(region for region in found.regions if region.type == kind) if found else None

    def part(self, name):
        """A module of the installed extension."""
        return sys.modules[f"{ADDON}.{name}"]

    def kept(self, step):
        """What the window keeps of a step, such as "body"; None where there is nothing."""
        return self.part("session").get(self.scene, step)

    def until(self, holds, seconds, what):
        """Wait until something holds; three times as long as an idle machine's slowest, for one that is not."""
        end = time.monotonic() + 3 * seconds
        while not holds():
            if time.monotonic() > end:
                raise NotDoneError(f"waited {3 * seconds} s in vain: {what}")
            yield 0.1

    def mouse(self, *words):
        """Words of xdotool; y counts from the top."""
        subprocess.run(["xdotool", *map(str, words)], check=True)

    def move(self, x, y):
        """The mouse to a place as Blender counts: y from below."""
        self.mouse("mousemove", int(x), int(self.window.height - y))

    def press(self, x, y):
        """A click, as slow as a person's."""
        self.move(x, y)
        yield 0.3
        self.mouse("mousedown", 1)
        yield 0.15
        self.mouse("mouseup", 1)
        yield 0.3

    def wheel(self, x, y, turns):
        """Turn the wheel over a place: downwards where positive."""
        self.move(x, y)
        yield 0.1
        self.mouse("click", "--repeat", abs(turns), "--delay", 5, 5 if turns > 0 else 4)
        yield 0.4

    def keys(self, *names):
        """Press keys one after the other, as "ctrl+a", "Return"."""
        for name in names:
            self.mouse("key", name)
            yield 0.3

    def write(self, text):
        """Type a text."""
        self.mouse("type", "--delay", 20, text)
        yield 0.3

    def drop(self, x, y, path):
        """Let go of a dragged file over a place."""
        self.move(x, y)
        asked = ["xdotool", "getmouselocation", "--shell"]
        said = subprocess.run(asked, check=True, capture_output=True, text=True).stdout.split()
        place = dict(line.split("=") for line in said)
        words = [place["WINDOW"], place["X"], place["Y"], path]
        dragging = subprocess.Popen([sys.executable, self.folder / "drop.py", *words])
        yield from self.until(lambda: dragging.poll() is not None, 60, "the dragged file is let go of")
        if dragging.returncode:
            raise NotDoneError("the window did not take the file that was dropped onto it")

    def at_rest(self):
        """Wait until Blender has drawn all that it draws of itself: it draws a view several times, ever smoother."""
        calm = 0
        for _ in range(MOST_LOOKS):
            begun = time.monotonic()
            yield SHORT
            calm = calm + 1 if time.monotonic() - begun < 3 * SHORT else 0
            if calm == CALM:
                return

    def shot(self, name):
        """The whole screen as it is drawn, into out/NAME.png."""
        write_png(self.folder / "out" / f"{name}.png", screen(self.folder / "Xvfb_screen0"))

    def theme(self, name):
        """Blender's own dark or light theme."""
        preset = next(Path(folder) / "Blender_Light.xml" for folder in bpy.utils.preset_paths("interface_theme"))
        with bpy.context.temp_override(window=self.window):
            bpy.ops.preferences.reset_default_theme()
            if name == "light":
                bpy.ops.script.execute_preset(filepath=str(preset), menu_idname="USERPREF_MT_interface_theme_presets")
        for area in self.window.screen.areas:
            area.tag_redraw()
        yield 0.5
