"""From a batch to what came of it, and on to the next one."""

from __future__ import annotations

from planner.comparing.lessons import lessons
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples


def test_the_journey_from_what_came_to_the_next_batch(visit):
    made = visit(file=samples() / "raspberry-finished.meadbatch")
    outcome = made.outcome
    made.act("show_lessons")
    dialog = made.window.comparing.lessons
    made.qtbot.waitUntil(lambda: bool(dialog.lessons) and not dialog.recalculator.is_busy, timeout=60_000)
    assert [one.key for one in dialog.lessons] == [one.key for one in lessons(outcome, catalogue())]
    dialog.next.click()
    assert made.batch.name == "Canes Raspberry '27"
    assert not dialog.isVisible()
