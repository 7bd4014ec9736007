"""From the menu to the cellar, and from it back into the window."""

from __future__ import annotations

from planner.document.codec import decode, encode
from planner.reference.shipped import samples
from planner.ui.asking import Answer


def shown(visit, tmp_path, *answers):
    folder = tmp_path / "batches"
    folder.mkdir()
    for path in samples().glob("*.meadbatch"):
        (folder / path.name).write_bytes(path.read_bytes())
    made = visit(*answers, file=folder / "quince-planned.meadbatch")
    made.act("show_cellar")
    cellar = made.window.cellar
    made.qtbot.waitUntil(lambda: len(cellar.model.lines) == 4, timeout=30_000)
    return made, cellar, folder


def choose(cellar, path):
    cellar.table.setCurrentIndex(cellar.model.index(cellar.model.place_of(path), 0))


def test_the_journey_from_one_batch_over_the_cellar_to_the_next_one(visit, tmp_path):
    made, cellar, folder = shown(visit, tmp_path)
    place = cellar.model.place_of(folder / "quince-planned.meadbatch")
    assert cellar.model.index(place, 0).data().endswith("(open)")
    damson = folder / "damson-stopped.meadbatch"
    choose(cellar, damson)
    cellar.take.click()
    assert made.window.documents.path == damson
    assert not cellar.isVisible()
    made.act("show_cellar")
    choose(cellar, folder / "raspberry-finished.meadbatch")
    cellar.next.click()
    old = decode((folder / "raspberry-finished.meadbatch").read_bytes())
    assert made.batch.recipe.honeys == old.recipe.honeys
    assert not len(made.batch.log.readings)
    assert made.window.documents.path is None


def test_that_unsaved_changes_are_asked_about_before_the_cellar_opens_another(visit, tmp_path):
    made, cellar, folder = shown(visit, tmp_path, Answer.CANCEL)
    made.window.store.edit(decode((folder / "damson-stopped.meadbatch").read_bytes()), "another recipe")
    choose(cellar, folder / "raspberry-finished.meadbatch")
    cellar.take.click()
    assert made.ask.is_done
    assert cellar.isVisible()
    assert made.window.documents.path == folder / "quince-planned.meadbatch"


def at_rest(cellar):
    """Whether no row waits to be worked out or put in its place: a click then meets the row that was chosen."""
    return not cellar.cellar.to_do and not cellar._rearranging.isActive()


def test_that_a_damaged_file_is_told_of_and_the_window_keeps_its_batch(visit, tmp_path):
    made, cellar, folder = shown(visit, tmp_path)
    hurt = folder / "hurt.meadbatch"
    hurt.write_bytes(b"{")
    made.qtbot.waitUntil(lambda: cellar.model.place_of(hurt) is not None and at_rest(cellar), timeout=30_000)
    choose(cellar, hurt)
    cellar.take.click()
    assert "could not be opened" in made.ask.told[0]
    assert made.window.documents.path == folder / "quince-planned.meadbatch"


def test_that_the_schedule_and_the_cellar_call_a_batch_the_same_in_calendars(visit, tmp_path):
    made, cellar, folder = shown(visit, tmp_path, tmp_path / "plan.ics")
    path = folder / "quince-planned.meadbatch"
    assert made.outcome is not None
    made.window.recipe_windows.show_schedule()
    dialog = made.window.recipe_windows.schedule
    made.type(dialog.planned, "2027-09-05 18:00")
    assert made.outcome is not None
    dialog.export.click()
    assert made.batch.recipe.calendar == cellar.cellar.rows[path].identity
    path.write_bytes(encode(made.batch))
    identity = cellar.cellar.rows[path].identity
    made.qtbot.waitUntil(lambda: cellar.cellar.rows[path].year == 2027, timeout=30_000)
    assert cellar.cellar.rows[path].identity == identity
