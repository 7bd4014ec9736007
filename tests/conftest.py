"""What every test shares: an offscreen screen, private folders, and a window-leak check."""

from __future__ import annotations

import gc
import os
import tempfile

import pytest
from hypothesis import HealthCheck, settings

from tests import screen

screen.choose()
os.environ.setdefault("MPLCONFIGDIR", os.path.join(tempfile.gettempdir(), "planner-tests-matplotlib"))

# The same examples in every run, so that nobody's tests turn red by chance; a seed on the command line draws others.
# A machine that is busy is slow, and no test fails for that.
settings.register_profile("seeded", deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("planner", settings.get_profile("seeded"), derandomize=True)
settings.load_profile("planner")


def pytest_configure(config: pytest.Config) -> None:
    """`--hypothesis-seed N` looks where no run has looked before."""
    if config.getoption("--hypothesis-seed", default=None) is not None:
        settings.load_profile("seeded")


@pytest.fixture(autouse=True)
def no_window_outlives_its_test(request: pytest.FixtureRequest):
    """Windows that a test opened are gone when it ends, so that none can speak into the next test."""
    yield
    if "qapp" not in request.fixturenames and "qtbot" not in request.fixturenames:
        return
    from PySide6.QtCore import QCoreApplication, QEvent
    from PySide6.QtWidgets import QApplication

    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()
    visible = [w for w in QApplication.topLevelWidgets() if w.isVisible()]
    assert not visible, f"left open: {visible}"


@pytest.fixture(autouse=True)
def no_dialog_waits_for_a_person(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest):
    """A modal dialog in a test would wait for ever; it fails instead."""
    if "qapp" not in request.fixturenames and "qtbot" not in request.fixturenames:
        return
    from PySide6.QtWidgets import QDialog

    def refuse(dialog: QDialog) -> int:
        raise AssertionError(f"a modal dialog opened: {dialog.windowTitle()!r}")

    monkeypatch.setattr(QDialog, "exec", refuse)
