"""From the first start to a saved and printed batch, through the accessibility bus alone: `journey.py BATCH PDF`.

Run by a Python that has `pyatspi`. The windows in which a file and a printer are chosen are the desktop's real ones.
"""

import sys
from pathlib import Path

from bus import fill, find, press, program, wait_for

batch, printed = map(Path, sys.argv[1:])
window = wait_for(program, "the program")
fill(window, "What the tree gave", "9 kg quinces")
press(window, "push button", "Make a recipe")
fill(window, "Weight of Quince", "8 kg")
fill(window, "Reading, or what was done", "1.090")
press(window, "push button", "Add")
table = find(window, "table", "Log of readings")
wait_for(lambda: table.queryTable().nRows or None, "a reading in the log")
press(window, "menu item", "Save")
fill(window, "File name:", str(batch))
press(window, "push button", "Save")
wait_for(lambda: batch.exists() or None, "the file")
press(window, "menu item", "Print…")
press(window, "push button", "Print…")
fill(window, "Output file:", str(printed))
press(window, "push button", "Print")
wait_for(lambda: (printed.exists() and printed.stat().st_size) or None, "the paper")
wait_for(lambda: find(window, "label", "Sent to the printer"), "word that it was printed")
