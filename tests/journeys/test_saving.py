"""Nothing is lost between two windows, a synchronised folder and a crash."""

from __future__ import annotations

import msgspec
import pytest

from planner.document import edits
from planner.document.batch import HydrometerReading
from planner.document.codec import decode, encode
from planner.reference.shipped import samples
from planner.ui.asking import Answer, Clash

SAMPLE = (samples() / "quince-planned.meadbatch").read_bytes()


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "mine.meadbatch"
    path.write_bytes(SAMPLE)
    return path


def changed_elsewhere(path):
    """What another window writes to the file; returns its batch."""
    other = edits.add_readings(decode(path.read_bytes()), HydrometerReading(gravity=1.021, day=9.0))
    path.write_bytes(encode(other))
    return other


def water(made, text):
    made.type(made.window.recipe.water.water, text)


def crash(made):
    """What the system does when a program dies: the copy stays, and its lock falls."""
    made.window._recovery.write_now()
    made.window._recovery.finish()
    made.window._recovery._lock.unlock()
    made.window._recovery._pending = None
    made.window._recovery.remember = lambda *_: None  # a program that died writes no more


def test_that_a_file_changed_elsewhere_is_not_overwritten_unasked(visit, file):
    made = visit(Clash.CANCEL, file=file)
    water(made, "3 L")
    other = changed_elsewhere(file)
    made.act("save")
    assert made.ask.asked == [("file_changed", "mine.meadbatch")]
    assert decode(file.read_bytes()) == other
    assert made.window.store.is_modified


def test_that_both_are_kept_where_that_is_chosen(visit, file, tmp_path):
    beside = tmp_path / "mine (2).meadbatch"
    made = visit(Clash.KEEP_BOTH, beside, file=file)
    water(made, "3 L")
    other = changed_elsewhere(file)
    made.act("save")
    assert made.ask.asked[1][2] == str(beside)
    assert decode(file.read_bytes()) == other
    assert decode(beside.read_bytes()) == made.batch
    assert made.window.documents.path == beside
    assert not made.window.store.is_modified


def test_that_the_other_changes_are_given_up_only_where_that_is_chosen(visit, file):
    made = visit(Clash.REPLACE, file=file)
    water(made, "3 L")
    changed_elsewhere(file)
    made.act("save")
    assert decode(file.read_bytes()) == made.batch
    water(made, "4 L")
    made.act("save")
    assert made.ask.is_done
    assert decode(file.read_bytes()) == made.batch


def test_that_two_windows_on_one_file_lose_neither_s_work(visit, file, tmp_path):
    one, two = visit(file=file), visit(Clash.CANCEL, file=file)
    water(one, "3 L")
    one.act("save")
    water(two, "5 L")
    two.act("save")
    assert decode(file.read_bytes()) == one.batch


def test_that_a_file_saved_again_and_again_is_asked_about_never(visit, file):
    made = visit(file=file)
    for litres in ("3 L", "4 L", "5 L"):
        water(made, litres)
        made.act("save")
    assert made.ask.asked == []


def test_that_a_change_from_outside_is_told_and_opened_by_a_click(visit, file):
    made = visit(file=file)
    assert made.window.status.file.isHidden()
    other = changed_elsewhere(file)
    made.qtbot.waitUntil(lambda: not made.window.status.file.isHidden(), timeout=10_000)
    assert "changed" in made.window.status.file.text()
    made.window.status.file.click()
    assert made.batch == other
    assert made.window.status.file.isHidden()


def test_that_opening_a_changed_file_again_does_not_lose_unsaved_changes_unasked(visit, file):
    made = visit(False, file=file)
    water(made, "3 L")
    mine = made.batch
    changed_elsewhere(file)
    made.window.documents.file.look()
    made.window.status.file.click()
    assert made.ask.is_done
    assert made.batch == mine


def test_that_a_file_that_is_gone_is_told_and_saved_again(visit, file):
    made = visit(file=file)
    file.unlink()
    made.window.documents.file.look()
    assert "no longer" in made.window.status.file.text()
    made.window.status.file.click()
    assert decode(file.read_bytes()) == made.batch
    assert made.window.status.file.isHidden()


def test_that_a_batch_whose_file_is_gone_is_not_closed_unasked(visit, file):
    made = visit(Answer.SAVE, file=file)
    file.unlink()
    made.window.close()
    assert made.ask.is_done
    assert decode(file.read_bytes()) == made.batch


def test_that_a_second_crash_loses_nothing(visit, file):
    first = visit(file=file)
    water(first, "3 L")
    lost = first.batch
    crash(first)
    for _ in range(2):
        again = visit(True)
        again.window.documents.offer_unsaved()
        assert again.batch == lost
        assert again.window.documents.path == file
        crash(again)


def test_that_restored_work_that_is_saved_is_not_offered_again(visit, file):
    first = visit(file=file)
    water(first, "3 L")
    crash(first)
    again = visit(True)
    again.window.documents.offer_unsaved()
    again.act("save")
    saved = again.batch
    again.window.close()
    assert decode(file.read_bytes()) == saved
    last = visit()
    last.window.documents.offer_unsaved()
    assert last.ask.asked == []


def test_that_restored_work_is_not_saved_over_a_file_that_went_on_meanwhile(visit, file):
    first = visit(file=file)
    water(first, "3 L")
    crash(first)
    other = changed_elsewhere(file)
    again = visit(True, Clash.CANCEL)
    again.window.documents.offer_unsaved()
    again.act("save")
    assert again.ask.asked[-1] == ("file_changed", "mine.meadbatch")
    assert decode(file.read_bytes()) == other


def test_that_work_restored_into_a_window_with_another_batch_keeps_its_own_copy(visit, file):
    first = visit(file=file)
    water(first, "3 L")
    lost = first.batch
    crash(first)
    again = visit(True, sample="raspberry-finished")
    again.window.documents.offer_unsaved()
    crash(again)
    last = visit(True)
    last.window.documents.offer_unsaved()
    assert last.batch == lost


def test_that_a_mead_of_a_million_litres_and_more_is_refused_and_the_original_stays(visit, file):
    made = visit(file=file)
    before, on_disk = made.batch, file.read_bytes()
    for volume in (1e4, float("nan"), -1.0):
        adjustment = msgspec.structs.replace(before.adjustment, volume=volume)
        made.window.store.edit(msgspec.structs.replace(before, adjustment=adjustment), "a route taken")
        assert made.batch == before
    assert len(made.ask.told) == 3
    assert "The batch stays as it was" in made.ask.told[0]
    assert "batch.adjustment.volume_m3: expected a number of at most 1000.0" in made.ask.told[0]
    assert file.read_bytes() == on_disk


def test_that_a_price_by_the_packet_is_bounded_as_its_kilogram_is(visit):
    made = visit(sample="raspberry-finished")
    yeast = made.window.recipe.prices.lines[made.batch.recipe.yeast.key]
    yeast.setText("90000")
    assert not yeast.accept()
    assert "The most accepted is" in yeast.problem_text or "is accepted" in yeast.problem_text
    assert yeast.text() == "90000"
