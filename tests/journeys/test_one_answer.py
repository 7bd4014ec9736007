"""One question has one answer: what is told stays until the whole answer to an edit is there, and nothing false flashes."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QApplication, QLabel

from planner.document import edits
from planner.document.batch import Addition, HydrometerReading, Tasting
from planner.reference.shipped import samples

SAMPLES = sorted(path.stem for path in samples().glob("*.meadbatch"))
LOGGED = ("blackcurrant-half-way", "damson-stopped", "raspberry-finished")


class Watch(QObject):
    """Keeps each text that some labels were painted with."""

    def __init__(self, *labels):
        super().__init__()
        self.seen = []
        for label in labels:
            label.installEventFilter(self)

    def eventFilter(self, label, event):
        if event.type() == QEvent.Type.Paint and label.text() not in self.seen:
            self.seen.append(label.text())
        return False


def watched(window):
    """How the batch stands, whatever of that is painted from now on."""
    return Watch(window.curve.headline.sentence, window.head.badge)


def told(window):
    return [window.curve.headline.sentence.text(), window.head.badge.text()]


def hold(window):
    """As where the typical course is worked out at once, and the worker is slow."""
    window.recalculator._quick = 60.0
    window.recalculator.hold()


@pytest.mark.parametrize("sample", SAMPLES)
def test_that_a_sample_opens_with_no_sentence_but_its_own(visit, sample):
    made = visit()
    _ = made.outcome
    before = told(made.window)
    watch = watched(made.window)
    made.open_sample(sample)
    _ = made.outcome
    made.window.repaint()
    assert set(watch.seen) <= {*before, *told(made.window), "Being worked out …", "…"}
    assert watch.seen[-1] in told(made.window)


@pytest.mark.parametrize("sample", SAMPLES)
def test_that_words_and_prices_work_nothing_out_and_change_nothing_that_is_told(visit, sample):
    made = visit(sample=sample)
    outcome, before = made.outcome, told(made.window)
    watch = watched(made.window)
    asked = []
    made.window.recalculator.request = asked.append
    store = made.window.store
    store.edit(edits.describe(store.batch, notes="A letter"), "notes")
    store.edit(edits.describe(store.batch, name="Another name"), "name")
    store.edit(edits.add_tasting(store.batch, Tasting(note="Sharp.")), "tasting")
    if store.batch.log.readings:
        store.edit(edits.change_reading(store.batch, 0, note="cloudy"), "note")
    made.window.repaint()
    assert not made.window.recalculator.is_busy or made.window.recalculator._to_show
    assert asked == []
    assert made.outcome.batch == store.batch
    assert made.outcome.findings is outcome.findings
    assert set(watch.seen) <= set(before) == set(told(made.window))


@pytest.mark.parametrize("sample", SAMPLES)
def test_that_letters_typed_into_notes_change_nothing_that_is_told_in_any_paint(visit, sample):
    made = visit(sample=sample)
    window, qtbot = made.window, made.qtbot
    qtbot.waitUntil(lambda: window.opening.is_finished)
    outcome, headline = made.outcome, window.curve.headline
    parts = (headline.sentence, headline.next, window.head.badge, *window.adjustment.mead_now.findChildren(QLabel))
    before = {part.text() for part in parts}
    watch = Watch(*parts)
    notes, tasting = window.recipe.notes.notes, window.adjustment.tastings.lines[-1].note
    for field, words in ((notes, "A letter. "), (tasting, "Sharp, 1.050")):
        field.setFocus()
        for letter in words:
            qtbot.keyClicks(field, letter)
            window.repaint()
            QApplication.processEvents()
    assert "A letter." in made.batch.notes
    assert made.batch.tastings[-1].note == "Sharp, 1.050"
    window.repaint()
    assert watch.seen
    assert set(watch.seen) <= before
    assert {part.text() for part in parts} == before
    assert made.outcome.findings is outcome.findings


@pytest.mark.parametrize("sample", LOGGED)
def test_that_what_is_told_stays_until_the_whole_answer_is_there(visit, sample):
    made = visit(sample=sample)
    window = made.window
    outcome, before = made.outcome, told(window)
    course = window.curve.canvas.scene.curve.gravity
    mead = window.adjustment.mead_now.rows["alcohol"].value.text()
    watch = watched(window)
    hold(window)
    store = window.store
    store.edit(edits.change_recipe(store.batch, water=store.batch.recipe.water + 1.0), "water")
    made.qtbot.wait(300)
    assert window.outcome is outcome
    assert told(window) == before
    assert window.adjustment.mead_now.rows["alcohol"].value.text() == mead
    assert window.curve.headline.why.isVisible()
    moved = window.curve.canvas.scene
    assert moved.curve.gravity is not course  # the expected curve moves at once
    assert moved.with_band
    assert moved.forecast is not None
    assert window.curve.headline.sentence.property("tone") == "dim"
    window.recalculator.release()
    after = made.outcome
    assert after is not outcome
    assert set(watch.seen) <= {*before, *told(window)}
    assert window.curve.headline.sentence.property("tone") == ""


def test_that_an_edit_that_is_taken_back_at_once_leaves_what_was_told(visit):
    made = visit(sample="damson-stopped")
    window, outcome = made.window, made.outcome
    hold(window)
    store = window.store
    store.edit(edits.change_recipe(store.batch, water=store.batch.recipe.water + 9.0), "water")
    store.undo_stack.undo()
    window.recalculator.release()
    assert made.outcome.findings is outcome.findings
    assert window.curve.canvas.scene.curve is outcome.curve


def test_that_a_dose_is_answered_whole_at_once(visit):
    made = visit(sample="damson-stopped")
    window, outcome = made.window, made.outcome
    asked = []
    window.recalculator.request = asked.append
    store = window.store
    for mass in (0.1, 0.2, 0.3):
        added = Addition(key="erythritol", mass=mass)
        store.edit(edits.change_adjustment(store.batch, additions=(added,)), "dose", "dose")
    assert asked == []
    assert made.outcome.mead.after.sweetness.typical > outcome.mead.after.sweetness.typical
    assert made.outcome.posterior is outcome.posterior


def test_that_a_new_reading_is_on_the_curve_at_once(visit):
    made = visit(sample="blackcurrant-half-way")
    window = made.window
    number = made.outcome.batch.log.readings
    hold(window)
    reading = HydrometerReading(day=14.0, gravity=1.05)
    window.store.edit(edits.add_readings(window.store.batch, reading), "reading")
    assert len(window.curve.canvas.scene.rows) == len(number) + 1
    window.recalculator.release()
