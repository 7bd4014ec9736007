"""The line at the foot of the window says in which units numbers are."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtGui import QUndoStack

from planner.ui.settings import Settings
from planner.ui.shell.status_line import StatusLine
from planner.units import GravityScale, System


@pytest.mark.parametrize(
    ("system", "scale", "text"),
    [
        (System.METRIC, GravityScale.SG, "metric · specific gravity at 20 °C"),
        (System.METRIC, GravityScale.BRIX, "metric · °Brix at 20 °C"),
        (System.US, GravityScale.BRIX, "US units · °Brix at 68 °F"),  # 20 °C is 68 °F: NIST SP 811, appendix B
    ],
)
def test_that_gravities_are_told_at_a_temperature_in_the_readers_unit(qtbot, tmp_path, system, scale, text):
    settings = Settings(QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat))
    settings.system, settings.gravity_scale = system, scale
    line = StatusLine(QUndoStack(), settings)
    qtbot.addWidget(line)
    assert line.habits.text().replace("\u00a0", " ").strip() == text
