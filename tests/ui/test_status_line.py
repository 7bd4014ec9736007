"""The line at the foot of the window says in which units numbers are."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtGui import QUndoStack

from planner.ui.settings import Settings
from planner.ui.shell.status_line import StatusLine
from planner.units import GravityScale, System
from planner.wording.finding import error, note, warning
from planner.wording.phrases import literal


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


@pytest.mark.parametrize(
    ("findings", "tone"),
    [((), ""), ((note,), ""), ((note, warning), "warning"), ((warning, error, note), "problem")],
)
def test_that_the_gravest_doubt_is_in_sight_by_its_sign_and_its_colour(qtbot, tmp_path, findings, tone):
    settings = Settings(QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat))
    line = StatusLine(QUndoStack(), settings)
    qtbot.addWidget(line)
    line.tell_findings(tuple(make("recipe", literal("So it is.")) for make in findings))
    assert (line.counted.property("tone") or "") == tone
    assert line.counted.icon().isNull() == (not findings)
