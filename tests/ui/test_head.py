"""The head of the window: the batch, what is next, and an error in sight wherever one is."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from PySide6.QtCore import Qt

from planner.document.codec import decode
from planner.evaluation.outcome import evaluate
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples
from planner.ui import theme
from planner.ui.display import Display
from planner.ui.shell.head import Badge, Head
from planner.wording.finding import Level, error, note, warning

SHELF = catalogue()


@pytest.mark.parametrize(
    ("findings", "told", "short", "gravest"),
    [
        ((), "no doubts", "no doubts", None),
        ((note,), "1 note", "1", Level.NOTE),
        ((note, warning, warning), "2 warnings · 1 note", "2 · 1", Level.WARNING),
        ((warning, error, note), "1 error · 1 warning · 1 note", "1 · 1 · 1", Level.ERROR),
    ],
)
def test_that_the_badge_tells_counts_and_the_gravest(qtbot, findings, told, short, gravest):
    badge = Badge()
    qtbot.addWidget(badge)
    badge.tell_findings(tuple(make("recipe", f"So it is {place}.") for place, make in enumerate(findings)))
    assert badge.text() == told
    assert badge.gravest == gravest
    badge.set_short(True)
    assert badge.text() == short
    assert told.replace(" ·", ",") in badge.accessibleName()


def test_that_an_error_colours_the_badge(qtbot):
    def colours(make):
        badge = Badge()
        qtbot.addWidget(badge)
        badge.tell_findings((make("recipe", "So it is."),))
        badge.resize(badge.sizeHint())
        image = badge.grab().toImage()
        return {image.pixelColor(x, y).name() for x in range(image.width()) for y in range(image.height())}

    assert theme.LIGHT.problem in colours(error)
    assert theme.LIGHT.problem not in colours(warning)


def head_of(qtbot, sample, figures, present=None):
    made = Head(SHELF)
    qtbot.addWidget(made)
    batch = decode((samples() / f"{sample}.meadbatch").read_bytes())
    made.resize(figures * made.fontMetrics().horizontalAdvance("0"), made.sizeHint().height())
    made.show_batch(batch)
    made.show()
    made.show_outcome(evaluate(batch, SHELF, 50, present or datetime.now().astimezone()), Display())
    return made


@pytest.mark.parametrize(
    ("sample", "next_"),
    [("quince-planned", "Thaw 22 kg of fruit"), ("damson-stopped", "Get it going again, now")],
)
def test_that_what_is_next_stands_beside_the_stem_or_under_the_name(qtbot, sample, next_):
    wide, narrow = head_of(qtbot, sample, 190), head_of(qtbot, sample, 110)
    assert wide.next.text_shown().replace("\u00a0", " ").startswith(next_)
    assert wide.next.isVisible()
    assert not narrow.next.isVisible()
    assert narrow.beneath.text_shown().replace("\u00a0", " ").startswith(f"Next: {next_}")
    assert "of must" in wide.beneath.text_shown() or "of mead" in wide.beneath.text_shown()


def test_that_what_is_due_now_is_told_as_now_when_the_batch_is_in_tomorrow_already(qtbot, monkeypatch):
    late = datetime(2026, 11, 30, 23, 30, tzinfo=UTC)  # the batch is an hour or two further east
    monkeypatch.setattr("planner.ui.shell.head.now", lambda: late)
    head = head_of(qtbot, "damson-stopped", 190, late)
    assert head.next.text_shown().replace("\u00a0", " ").startswith("Get it going again, now")


def test_that_the_badge_is_pressed_by_a_key(qtbot):
    made = head_of(qtbot, "damson-stopped", 150)
    with qtbot.waitSignal(made.badge.clicked):
        qtbot.keyClick(made.badge, Qt.Key.Key_Space)
