"""From a batch to what came of it, and on to the next one."""

from __future__ import annotations

from planner.comparing.lessons import lessons
from planner.document.next_batch import next_batch
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples
from planner.reporting.batch_file import load


def test_the_journey_from_what_came_to_the_next_batch(visit):
    made = visit(file=samples() / "raspberry-finished.meadbatch")
    outcome = made.outcome
    made.act("show_lessons")
    dialog = made.window.comparing.lessons
    made.qtbot.waitUntil(lambda: bool(dialog.lessons) and not dialog.recalculator.is_busy, timeout=60_000)
    assert [one.key for one in dialog.lessons] == [one.key for one in lessons(outcome, catalogue())]
    dialog.next.click()
    assert made.batch.name == next_batch(outcome.batch).name
    assert not dialog.isVisible()


def test_the_journey_from_the_menu_to_two_batches_side_by_side(visit):
    made = visit(samples() / "damson-stopped.meadbatch", file=samples() / "raspberry-finished.meadbatch")
    assert made.outcome is not None
    made.act("compare_batches")
    dialog = made.window.comparing.comparison
    dialog.add.click()
    made.qtbot.waitUntil(lambda: dialog.found is not None and not dialog.recalculator.is_busy, timeout=60_000)
    assert [one.name for one in dialog.batches] == [
        load(name).name for name in ("raspberry-finished", "damson-stopped")
    ]
    assert made.ask.is_done
    made.act("compare_batches")  # what was added stays
    assert len(dialog.batches) == 2


def test_the_journey_to_a_sheet_and_a_blind_test_of_the_open_batch(visit):
    made = visit(file=samples() / "raspberry-finished.meadbatch")
    before = len(made.batch.tastings)
    made.act("show_sheets")
    made.window.tasting.sheets.new.click()
    made.act("show_tests")
    assert made.window.tasting.tests.isVisible()
    assert len(made.batch.tastings) == before + 1
