"""A design is pinned, changed, compared, swapped back, and kept."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QLocale

from planner.document import edits
from planner.document.codec import decode
from planner.ui.changes import change_text
from planner.ui.display import Display

DISPLAY, GERMAN = Display(), Display(locale=QLocale("de_DE"))


@pytest.mark.parametrize(
    ("before", "now", "display", "told"),
    [
        ("13.7 % vol", "14.5 % vol", DISPLAY, "+0.8 % vol"),
        ("1.098", "1.089", DISPLAY, "−0.009"),
        ("33 days", "41 days", DISPLAY, "+8 days"),
        ("13,7 % vol", "14,5 % vol", GERMAN, "+0,8 % vol"),
        ("3.4", "3.4", DISPLAY, ""),
        ("900 mL", "1.2 L", DISPLAY, "was 900 mL"),
        ("unknown", "3.4", DISPLAY, "was unknown"),
    ],
)
def test_that_a_change_is_the_one_that_a_reader_would_work_out(before, now, display, told):
    assert change_text(before, now, display).replace("\u00a0", " ") == told


@pytest.fixture
def pinned(visit):
    """A window with a pinned design and two kilograms more honey since."""

    def open_it(*answers):
        made = visit(*answers, sample="quince-planned")
        assert made.outcome is not None
        made.qtbot.waitUntil(lambda: made.window.opening.is_finished)
        made.before = made.outcome
        made.act("pin_design")
        made.window.store.edit(edits.change_line(made.batch, "honeys", 0, mass=4.0), "more honey")
        assert made.outcome.batch.recipe.honeys[0].mass == 4.0
        made.results = made.window.recipe.results
        made.qtbot.waitUntil(lambda: made.results.finish["alcohol"].change.text() != "")
        return made

    return open_it


def test_that_every_figure_tells_what_has_changed(pinned):
    made = pinned()
    row = made.results.finish["alcohol"]
    now = made.outcome.finish.alcohol.typical - made.before.finish.alcohol.typical
    assert row.change.text().startswith("+")
    assert float(row.change.text()[1:].split("\u00a0")[0]) == pytest.approx(100.0 * now, abs=0.11)
    assert row.bar.isHidden()
    assert "since the pinned design" in row.accessibleDescription()
    assert made.window.adjustment.mead_now.rows["alcohol"].change.text().startswith("+")


def test_that_its_curve_stays_as_a_ghost_and_goes_with_the_pin(pinned):
    made = pinned()
    scene = made.window.curve.canvas.scene
    assert list(scene.earlier.gravity) == list(made.before.curve.gravity)
    made.act("pin_design")
    assert made.window.curve.canvas.scene.earlier is None
    assert not made.results.finish["alcohol"].bar.isHidden()
    assert not made.window.status.pinned.isVisible()


def test_that_swapping_takes_it_back_and_pins_the_present_one(pinned):
    made = pinned()
    made.act("swap_pinned")
    assert made.batch.recipe == made.before.batch.recipe
    assert made.outcome is not None
    made.qtbot.waitUntil(lambda: made.results.finish["alcohol"].change.text().startswith("−"))
    assert made.window.store.undo_stack.undoText() == "swap with the pinned design"


def test_that_it_is_kept_as_a_batch_of_its_own(pinned, tmp_path):
    file = tmp_path / "kept.meadbatch"
    made = pinned(file)
    made.act("keep_pinned")
    kept = decode(file.read_bytes())
    assert kept.recipe == made.before.batch.recipe
    assert kept.name == f"{made.before.batch.name}, pinned"
    assert made.window.documents.path is None


def test_that_another_batch_unpins_it(pinned):
    made = pinned(*())
    made.window.store.mark_saved()
    made.open_sample("damson-stopped")
    assert made.window.pin.pinned is None
    assert not made.window.menus.actions["swap_pinned"].isEnabled()


def test_that_nothing_is_pinned_where_there_is_nothing(visit):
    made = visit()
    assert made.outcome is not None
    made.act("pin_design")
    assert made.window.pin.pinned is None
    assert "nothing to pin" in made.window.status.currentMessage()
