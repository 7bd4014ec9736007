"""An exception that nobody caught is logged and told, once, and never in the wrong thread."""

from __future__ import annotations

import logging
import sys
import threading

import pytest

from planner.ui.shell.errors import ErrorReporter, start_log


@pytest.fixture
def told():
    return []


@pytest.fixture
def reporter(qapp, told, caplog):
    def show(text, details):
        told.append((text, details, threading.current_thread() is threading.main_thread()))

    caplog.set_level(logging.ERROR, "planner")
    reporter = ErrorReporter(show)
    yield reporter
    reporter.uninstall()


def caught(message):
    try:
        raise RuntimeError(message)
    except RuntimeError as error:
        return error


def test_that_an_exception_is_logged_and_told(reporter, told, caplog, qtbot):
    reporter.report(caught("the cork is out"))
    qtbot.waitUntil(lambda: bool(told))
    text, details, _ = told[0]
    assert "RuntimeError: the cork is out" in text
    assert "save the batch under a new name" in text
    assert "Traceback" in details
    assert "the cork is out" in caplog.text


def test_that_one_fault_is_told_once_and_logged_each_time(reporter, told, caplog, qtbot):
    for attempt in range(5):
        reporter.report(caught(f"paint {attempt}"))
    reporter.report(ValueError("another fault"))
    qtbot.waitUntil(lambda: len(told) == 2)
    assert caplog.text.count("RuntimeError: paint") == 5
    assert "another fault" in told[1][0]


def test_that_no_second_dialog_opens_over_the_first(qapp, qtbot):
    shown = []

    def show(text, _details):
        shown.append(text)
        if len(shown) == 1:
            reporter.report(ValueError("while the dialog is open"))
            qapp.processEvents()

    reporter = ErrorReporter(show)
    reporter.report(caught("first"))
    qtbot.waitUntil(lambda: bool(shown))
    qapp.processEvents()
    assert len(shown) == 1


def test_that_an_exception_in_a_thread_is_told_in_the_main_thread(reporter, told, qtbot):
    reporter.install()
    thread = threading.Thread(target=fail)
    thread.start()
    thread.join()
    qtbot.waitUntil(lambda: bool(told))
    assert "in a thread" in told[0][0]
    assert told[0][2]


def fail():
    raise RuntimeError("in a thread")


def test_that_the_hook_of_python_leads_to_the_reporter(reporter, told, qtbot):
    before = sys.excepthook
    reporter.install()
    error = caught("uncaught")
    sys.excepthook(type(error), error, error.__traceback__)
    reporter.uninstall()
    assert sys.excepthook is before
    qtbot.waitUntil(lambda: bool(told))
    assert "uncaught" in told[0][0]


def test_that_an_interrupt_from_the_keyboard_stays_one(qapp, told, monkeypatch):
    passed_on = []
    monkeypatch.setattr(sys, "excepthook", lambda *caught: passed_on.append(caught))
    reporter = ErrorReporter(lambda *shown: told.append(shown))
    reporter.install()
    sys.excepthook(KeyboardInterrupt, KeyboardInterrupt(), None)
    reporter.uninstall()
    qapp.processEvents()
    assert len(passed_on) == 1
    assert not told


def test_that_the_log_goes_to_a_file(reporter, tmp_path):
    file = tmp_path / "logs" / "planner.log"
    handler = start_log(file)
    reporter.report(caught("the cork is out"))
    logging.getLogger("planner").removeHandler(handler)
    handler.close()
    assert "RuntimeError: the cork is out" in file.read_text(encoding="utf-8")
