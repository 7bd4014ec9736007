"""Nothing is run, fetched or followed: not from a file, not by the window, not by a report."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

WINDOW = """
import sys, tempfile
from pathlib import Path
from tests import screen
screen.choose()
from PySide6.QtCore import QLocale, QSettings
from PySide6.QtGui import QDesktopServices
from planner.app import build
from planner.ui.settings import Settings
from planner.ui.shell.screen import begin
from tests.hardening.guarding import watch_over
from tests.helpers import ScriptedAsk
from tests.journeys.test_text_is_text import hostile
from planner.document.codec import encode
import time

application = begin()
folder = Path(tempfile.mkdtemp())
file = folder / "hostile.meadbatch"
file.write_bytes(encode(hostile()))
QDesktopServices.openUrl = lambda url: sys.exit(f"followed {url}")
window = build(Settings(QSettings(str(folder / "s.ini"), QSettings.Format.IniFormat), QLocale("en_GB")), folder / "c", ScriptedAsk(), 0)
tried = watch_over(writes=False)
window.documents.load(file)
window.show()
end = time.monotonic() + 60
while time.monotonic() < end and (not window.opening.is_finished or window.recalculator.is_busy):
    application.processEvents()
for act in ("show_findings", "show_schedule", "show_routes", "edit_ingredients", "show_provenance", "show_sources", "about"):
    window.menus.actions[act].trigger()
    application.processEvents()
assert "PySide6.QtNetwork" not in sys.modules
print("tried", tried)
import os
os._exit(bool(tried))
"""
REPORT = """
import sys
from tests.hardening.guarding import watch_over
from planner.report import main
import planner.reporting.text, planner.reporting.data, planner.evaluation.outcome
tried = watch_over()
main(["raspberry-finished", "--json"])
loaded = {"socket", "ssl", "http.client", "urllib.request", "webbrowser"} & set(sys.modules)
sys.exit(", ".join((*tried, *loaded)) or 0)
"""


def run(code: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)


def test_that_a_window_on_a_hostile_file_runs_fetches_and_follows_nothing(figures):
    done = run(WINDOW)
    assert done.returncode == 0, done.stdout + done.stderr[-3000:]
    figures("hostile file in the window", {"run_fetched_followed": 0})


def test_that_a_report_opens_no_socket_and_writes_no_file():
    done = run(REPORT)
    assert done.returncode == 0, done.stderr[-3000:]
