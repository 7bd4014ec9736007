"""What a screen reader does on the accessibility bus: look for things by role and name, read them, press and fill them.

For a Python that has `pyatspi`, and for nothing else: the window is another process.
"""

import contextlib
import sys
import time

import pyatspi
from gi.repository import GLib

WAITS, SOON = 60.0, 0.3
"""For what was asked to be there, and how often it is looked for. [s]"""


def walk(node, found):
    """Every accessible below one, as plain data."""
    states = node.getState()
    found.append(
        {
            "role": node.getRoleName(), "name": node.name, "description": node.description,
            "focusable": states.contains(pyatspi.STATE_FOCUSABLE), "showing": states.contains(pyatspi.STATE_SHOWING),
            "expandable": states.contains(pyatspi.STATE_EXPANDABLE), "expanded": states.contains(pyatspi.STATE_EXPANDED),
        }
    )  # fmt: skip
    for child in node:
        if child is not None:
            walk(child, found)
    return found


def program():
    """The program on the bus, once it has a window."""
    desktop = pyatspi.Registry.getDesktop(0)
    return next((one for one in desktop if one is not None and one.name == "Fruit Mead Planner" and len(one)), None)


def find(node, role, name):
    """The one of a role and name that can be used."""

    def fits(one):
        return one.getRoleName() == role and one.name == name and one.getState().contains(pyatspi.STATE_ENABLED)

    return pyatspi.findDescendant(node, fits)


def wait_for(made, what):
    """What a function makes, once it makes anything."""
    end = time.time() + WAITS
    while time.time() < end:
        try:
            found = made()
        except (
            GLib.Error,
            LookupError,
            NotImplementedError,
            RuntimeError,
        ) as trouble:  # what is being made anew while it is looked at
            found, what = None, f"{what} ({trouble})" if "(" not in what else what
        if found is not None:
            return found
        time.sleep(SOON)
    sys.exit(f"the window did not become what was waited for: {what}")


def press(node, role, name):
    """Do what something is for, once it is there."""
    pressed = wait_for(lambda: find(node, role, name), f"{role} {name}").queryAction()
    with contextlib.suppress(GLib.Error):  # what asks something in a window of its own replies when that is gone
        pressed.doAction(0)


def fill(node, name, text):
    """Put a text into a field, once it is there."""
    field = wait_for(lambda: find(node, "text", name), f"field {name}")
    field.queryComponent().grabFocus()
    field.queryEditableText().setTextContents(text)
