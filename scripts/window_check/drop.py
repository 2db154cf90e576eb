"""Drops a file onto a window as a file manager does: the source's side of the XDND protocol, version 5, over Xlib.

    python3 drop.py WINDOW X Y FILE

The window's X number, a place on the screen, and the file. Exit status 0 once the window has taken it. The messages and
their data are those of "Drag-and-Drop Protocol for the X Window System", freedesktop.org. Standard library only.
"""

import ctypes
import sys
import time
from ctypes import POINTER, byref, c_char_p, c_int, c_long, c_ulong, c_void_p
from pathlib import Path

VERSION, PATIENCE = 5, 60.0  # s
SELECTION_REQUEST, SELECTION_NOTIFY, CLIENT_MESSAGE = 30, 31, 33  # X.h
NAMES = ("Aware", "Enter", "Position", "Status", "Drop", "Finished", "Selection", "ActionCopy")


class ClientMessage(ctypes.Structure):
    """Xlib.h's XClientMessageEvent in its 32-bit format."""

    _fields_ = [
        *(("type", c_int), ("serial", c_ulong), ("send_event", c_int), ("display", c_void_p)),
        *(("window", c_ulong), ("message_type", c_ulong), ("format", c_int), ("data", c_long * 5)),
    ]


class SelectionRequest(ctypes.Structure):
    """Xlib.h's XSelectionRequestEvent."""

    _fields_ = [
        *(("type", c_int), ("serial", c_ulong), ("send_event", c_int), ("display", c_void_p), ("owner", c_ulong)),
        *(
            ("requestor", c_ulong),
            ("selection", c_ulong),
            ("target", c_ulong),
            ("property", c_ulong),
            ("time", c_ulong),
        ),
    ]


class SelectionNotify(ctypes.Structure):
    """Xlib.h's XSelectionEvent."""

    _fields_ = [
        *(("type", c_int), ("serial", c_ulong), ("send_event", c_int), ("display", c_void_p), ("requestor", c_ulong)),
        *(("selection", c_ulong), ("target", c_ulong), ("property", c_ulong), ("time", c_ulong)),
    ]


class Event(ctypes.Union):
    """Xlib.h's XEvent: any of them, padded."""

    _fields_ = [
        *(("type", c_int), ("message", ClientMessage), ("request", SelectionRequest)),
        *(("notify", SelectionNotify), ("pad", c_long * 24)),
    ]


class Dragger:
    """A small window of our own that holds the file and hands it over."""

    def __init__(self, path):
        self.x11 = ctypes.CDLL("libX11.so.6")
        self.x11.XOpenDisplay.restype = c_void_p
        self.x11.XOpenDisplay.argtypes = [c_char_p]
        self.display = c_void_p(self.x11.XOpenDisplay(None))
        for name in ("XDefaultRootWindow", "XCreateSimpleWindow", "XInternAtom"):
            getattr(self.x11, name).restype = c_ulong
        self.x11.XSendEvent.argtypes = [c_void_p, c_ulong, c_int, c_long, POINTER(Event)]
        root = self.x11.XDefaultRootWindow(self.display)
        self.own = self.x11.XCreateSimpleWindow(self.display, c_ulong(root), 0, 0, 1, 1, 0, c_ulong(0), c_ulong(0))
        self.atoms = {name: self.atom(f"Xdnd{name}") for name in NAMES}
        self.uris = self.atom("text/uri-list")
        self.held = f"{Path(path).resolve().as_uri()}\r\n".encode()
        self.x11.XSetSelectionOwner(self.display, c_ulong(self.atoms["Selection"]), c_ulong(self.own), c_ulong(0))

    def atom(self, name):
        """X's number for a name."""
        return self.x11.XInternAtom(self.display, name.encode(), 0)

    def tell(self, target, name, *data):
        """Send one of the protocol's messages."""
        event = Event()
        event.message.type, event.message.window, event.message.format = CLIENT_MESSAGE, target, 32
        event.message.message_type = self.atoms[name]
        event.message.data[:] = [self.own, *data, *[0] * (4 - len(data))]
        self.x11.XSendEvent(self.display, target, 0, 0, byref(event))
        self.x11.XFlush(self.display)

    def hear(self, name, seconds):
        """Wait for a message, handing the file over meanwhile when it is asked for; None where it does not come."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            while self.x11.XPending(self.display):
                event = Event()
                self.x11.XNextEvent(self.display, byref(event))
                if event.type == SELECTION_REQUEST:
                    self.hand_over(event.request)
                elif event.type == CLIENT_MESSAGE and event.message.message_type == self.atoms[name]:
                    return list(event.message.data)
            time.sleep(0.01)
        return None

    def hand_over(self, asked):
        """Write the file's address where it was asked for, and say so."""
        given = asked.property or asked.target
        self.x11.XChangeProperty(
            *(self.display, c_ulong(asked.requestor), c_ulong(given), c_ulong(self.uris), 8, 0),
            *(c_char_p(self.held), len(self.held)),
        )
        event = Event()
        event.notify.type, event.notify.requestor, event.notify.selection = (
            SELECTION_NOTIFY,
            asked.requestor,
            asked.selection,
        )
        event.notify.target, event.notify.property, event.notify.time = asked.target, given, asked.time
        self.x11.XSendEvent(self.display, asked.requestor, 0, 0, byref(event))
        self.x11.XFlush(self.display)

    def drop(self, target, x, y):
        """Enter the window, move to the place, let go; whether the window has taken the file."""
        self.tell(target, "Enter", VERSION << 24, self.uris)
        for step in (-2, -1, 0):
            self.tell(target, "Position", 0, (x + step) << 16 | y, 0, self.atoms["ActionCopy"])
            self.hear("Status", 2.0)
        self.tell(target, "Drop", 0, 0)
        return self.hear("Finished", PATIENCE) is not None


def main(words):
    """Drop the file; the exit status."""
    window, x, y = map(int, words[:3])
    return 0 if Dragger(words[3]).drop(window, x, y) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
