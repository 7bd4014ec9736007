"""Reads the window as a screen reader does, and drives it: run by a Python that has `pyatspi`.

Prints JSON: the whole tree, and what became of a fold that was opened and of a reading that was typed and added.
"""

import json
import time

from bus import fill, find, press, program, wait_for, walk

window = wait_for(program, "the program")
wait_for(lambda: find(window, "text", "Reading, or what was done"), "the line of a reading")
table = wait_for(lambda: find(window, "table", "Log of readings"), "the log")
time.sleep(3.0)
tree = walk(window, [])
before = table.queryTable().nRows
heads = [table.queryTable().getColumnDescription(column) for column in range(table.queryTable().nColumns)]
row_name = table.queryTable().getRowDescription(0)
press(window, "push button", "Targets")
time.sleep(1.0)
opened = [one for one in walk(window, []) if one["name"] == "Targets" and one["role"] == "push button"]
fill(window, "Reading, or what was done", "1.029")
press(window, "push button", "Add")
after = wait_for(lambda: table.queryTable().nRows if table.queryTable().nRows > before else None, "another row")
print(json.dumps(
    {"tree": tree, "before": before, "after": after, "heads": heads, "row": row_name, "opened": opened}
))  # fmt: skip
