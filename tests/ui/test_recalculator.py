"""The newest request wins, nothing stale is delivered, and closing waits for the worker."""

from __future__ import annotations

import gc
import threading
import weakref
from functools import partial

import pytest
from PySide6.QtCore import QCoreApplication, QTimer

from planner.ui.recalculator import Recalculator


class Desk:
    """Keeps what a recalculator says."""

    def __init__(self, stages, delay_ms=0):
        self.outcomes, self.errors, self.busy = [], [], []
        self.recalculator = Recalculator(stages, delay_ms)
        self.recalculator.finished.connect(self.take)
        self.recalculator.failed.connect(self.errors.append)
        self.recalculator.busy.connect(self.busy.append)

    def take(self, outcome):
        self.outcomes.append((outcome, threading.current_thread() is threading.main_thread()))


@pytest.fixture
def desk(qtbot):
    desks = []

    def make(*stages, delay_ms=0):
        desks.append(Desk(stages, delay_ms))
        return desks[-1]

    yield make
    for each in desks:
        each.recalculator.shut_down()


def test_that_of_fifty_requests_only_the_last_is_computed(desk, qtbot):
    computed = []
    table = desk(computed.append, delay_ms=10)
    for request in range(50):
        table.recalculator.request(request)
    qtbot.waitUntil(lambda: not table.recalculator.is_busy)
    assert computed == [49]
    assert len(table.outcomes) == 1


def test_that_each_stage_answers_in_the_main_thread_and_in_order(desk, qtbot):
    threads = []

    def quick(request):
        threads.append(threading.current_thread())
        return ("quick", request)

    table = desk(quick, lambda request: ("thorough", request))
    table.recalculator.request(7)
    qtbot.waitUntil(lambda: not table.recalculator.is_busy)
    assert table.outcomes == [(("quick", 7), True), (("thorough", 7), True)]
    assert threads[0] is not threading.main_thread()
    assert table.busy == [True, False]


def test_that_later_stages_are_skipped_when_a_newer_request_was_made(desk, qtbot):
    began, go_on = threading.Event(), threading.Event()
    thorough = []

    def quick(request):
        began.set()
        assert go_on.wait(10.0)
        return request

    table = desk(quick, thorough.append)
    table.recalculator.request("old")
    qtbot.waitUntil(began.is_set)
    table.recalculator.request("new")
    go_on.set()
    qtbot.waitUntil(lambda: not table.recalculator.is_busy)
    assert thorough == ["new"]
    assert [outcome for outcome, _ in table.outcomes] == ["new", None]


def test_that_a_long_stage_can_ask_whether_it_is_still_wanted(desk, qtbot):
    asked, go_on = threading.Event(), threading.Event()
    answers = []

    def stage(request):
        answers.append(table.recalculator.is_stale())
        asked.set()
        assert go_on.wait(10.0)
        answers.append(table.recalculator.is_stale())

    table = desk(stage)
    table.recalculator.request("old")
    qtbot.waitUntil(asked.is_set)
    table.recalculator.request("new")
    go_on.set()
    qtbot.waitUntil(lambda: len(answers) == 4)
    assert answers == [False, True, False, False]


def test_that_a_failure_is_delivered_like_an_answer(desk, qtbot):
    problem = ZeroDivisionError("no water")
    later = []

    def stage(request):
        raise problem

    table = desk(stage, later.append)
    table.recalculator.request(1)
    qtbot.waitUntil(lambda: not table.recalculator.is_busy)
    assert table.errors == [problem]
    assert not table.outcomes
    assert not later


def test_that_work_goes_on_after_a_failure(desk, qtbot):
    table = desk(lambda request: 1.0 / request)
    for request in (0.0, 4.0):
        table.recalculator.request(request)
        qtbot.waitUntil(lambda: not table.recalculator.is_busy)
    assert len(table.errors) == 1
    assert table.outcomes == [(0.25, True)]


def test_that_a_request_made_on_delivery_is_answered_too(desk, qtbot):
    table = desk(lambda request: request)

    def ask_once_more(outcome):
        if outcome == 1:
            table.recalculator.request(2)

    table.recalculator.finished.connect(ask_once_more)
    table.recalculator.request(1)
    qtbot.waitUntil(lambda: not table.recalculator.is_busy)
    assert [outcome for outcome, _ in table.outcomes] == [1, 2]


def test_that_after_shutting_down_nothing_runs_or_speaks(desk, qtbot):
    began, go_on = threading.Event(), threading.Event()

    def stage(request):
        began.set()
        assert go_on.wait(10.0)
        return request

    table = desk(stage)
    table.recalculator.request("running")
    qtbot.waitUntil(began.is_set)
    go_on.set()
    table.recalculator.shut_down()
    table.recalculator.request("late")
    QCoreApplication.processEvents()  # what the worker sent before it was joined is waiting here
    assert not table.recalculator.is_busy
    assert not table.outcomes


def test_that_a_recalculator_that_was_shut_down_can_be_freed(qapp):
    recalculator = Recalculator([str])
    recalculator.request(1)
    recalculator.shut_down()
    trace = weakref.ref(recalculator)
    del recalculator
    gc.collect()
    assert trace() is None


def test_that_a_quick_first_stage_answers_at_once_and_the_rest_from_the_worker(qtbot):
    threads = []

    def stage(request):
        threads.append(threading.current_thread() is threading.main_thread())
        return request

    recalculator, answers = Recalculator((stage, stage), 0, quick_ms=10_000.0), []
    recalculator.finished.connect(answers.append)
    recalculator.request("opened")  # nothing is known of its pace yet
    assert answers == []
    qtbot.waitUntil(lambda: not recalculator.is_busy)
    recalculator.request("edited")
    assert answers == ["opened", "opened", "edited"]
    assert recalculator.is_busy
    qtbot.waitUntil(lambda: not recalculator.is_busy)
    assert answers == ["opened", "opened", "edited", "edited"]
    assert threads == [False, False, True, False]
    recalculator.shut_down()


def test_that_an_eager_one_answers_its_first_request_at_once(qtbot):
    recalculator, answers = Recalculator((str, repr), 0, quick_ms=10_000.0, is_eager=True), []
    recalculator.finished.connect(answers.append)
    recalculator.request("opened")
    assert answers == ["opened"]
    qtbot.waitUntil(lambda: not recalculator.is_busy)
    assert answers == ["opened", "'opened'"]
    recalculator.shut_down()


def test_that_a_held_worker_begins_with_the_newest_request_when_it_is_released(desk, qtbot):
    computed, turned = [], []
    table = desk(computed.append)
    table.recalculator.hold()
    for request in "ab":
        table.recalculator.request(request)
        QTimer.singleShot(20, partial(turned.append, request))
        qtbot.waitUntil(lambda wanted=request: wanted in turned)
        assert table.recalculator.is_busy
    assert computed == []
    table.recalculator.release()
    qtbot.waitUntil(lambda: not table.recalculator.is_busy)
    assert computed == ["b"]


def test_that_releasing_what_has_nothing_due_begins_nothing(desk, qtbot):
    computed = []
    table = desk(computed.append)
    table.recalculator.hold()
    table.recalculator.release()
    table.recalculator.request("a")
    qtbot.waitUntil(lambda: not table.recalculator.is_busy)
    assert computed == ["a"]


def test_that_a_failure_of_a_stage_that_answers_at_once_is_told(qtbot):
    def stage(request):
        return 1.0 / request

    recalculator, problems = Recalculator((stage, stage), 0, quick_ms=10_000.0), []
    recalculator.failed.connect(problems.append)
    recalculator.request(2.0)
    qtbot.waitUntil(lambda: not recalculator.is_busy)
    recalculator.request(0.0)
    assert [type(problem) for problem in problems] == [ZeroDivisionError]
    assert not recalculator.is_busy
    recalculator.shut_down()


def test_that_what_shows_an_answer_is_spread_over_turns_and_belongs_to_being_busy(desk, qtbot):
    seen = []
    table = desk(lambda request: request)
    between = QTimer()
    between.timeout.connect(lambda: seen.append("another turn"))

    def show(part):
        seen.append((part, table.recalculator.is_busy))
        between.start(0)

    def take(_answer):
        table.recalculator.spread(*(partial(show, part) for part in "abc"))
        seen.append("answered")

    table.recalculator.finished.connect(take)
    table.recalculator.request(1)
    qtbot.waitUntil(lambda: not table.recalculator.is_busy)
    between.stop()
    parts = [event for event in seen if isinstance(event, tuple)]
    assert seen[0] == "answered"
    assert parts == [("a", True), ("b", True), ("c", True)]
    assert "another turn" in seen[seen.index(parts[0]) : seen.index(parts[2])]


def test_that_a_newer_answer_takes_the_turns_of_the_one_before(qapp, desk, qtbot):
    shown = []
    table = desk(str)
    table.recalculator.spread(lambda: shown.append("old"))
    table.recalculator.spread(lambda: shown.append("new"), lambda: shown.append("newer"))
    qtbot.waitUntil(lambda: len(shown) >= 2)
    assert shown == ["new", "newer"]
