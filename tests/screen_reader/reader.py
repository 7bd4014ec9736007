"""Reads the window as a screen reader does, through AT-SPI, and drives it: run by a Python that has `pyatspi`.

Prints JSON: the whole tree, and what became of a reading that was typed and added through the bus alone.
"""

import json
import sys
import time

import pyatspi

WAITS = 60.0
"""For the window to be whole. [s]"""


def walk(node, found):
    """Every accessible below one, as plain data."""
    states = node.getState()
    found.append(
        {
            "role": node.getRoleName(), "name": node.name, "description": node.description,
            "focusable": states.contains(pyatspi.STATE_FOCUSABLE), "showing": states.contains(pyatspi.STATE_SHOWING),
        }
    )  # fmt: skip
    for child in node:
        if child is not None:
            walk(child, found)
    return found


def find(node, role, name):
    """The one of a role and name that is in sight."""
    return pyatspi.findDescendant(node, lambda one: one.getRoleName() == role and one.name == name)


def wait_for(made):
    """What a function makes, once it makes anything."""
    end = time.time() + WAITS
    while time.time() < end:
        found = made()
        if found is not None:
            return found
        time.sleep(0.3)
    sys.exit("the window did not become what was waited for")


def program():
    desktop = pyatspi.Registry.getDesktop(0)
    return next((one for one in desktop if one is not None and one.name == "Fruit Mead Planner" and len(one)), None)


window = wait_for(program)
field = wait_for(lambda: find(window, "text", "Reading, or what was done"))
table = wait_for(lambda: find(window, "table", "Log of readings"))
time.sleep(3.0)
tree = walk(window, [])
before = table.queryTable().nRows
heads = [table.queryTable().getColumnDescription(column) for column in range(table.queryTable().nColumns)]
row_name = table.queryTable().getRowDescription(0)
field.queryComponent().grabFocus()
field.queryEditableText().setTextContents("1.029")
add = find(window, "push button", "Add")
add.queryAction().doAction(0)
after = wait_for(lambda: table.queryTable().nRows if table.queryTable().nRows > before else None)
print(json.dumps({"tree": tree, "before": before, "after": after, "heads": heads, "row": row_name}))
