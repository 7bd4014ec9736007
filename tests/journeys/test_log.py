"""The log driven through the real window: import, paste, watch, edit and undo on every sample, and input that is bad."""

from __future__ import annotations

import re
from datetime import timedelta

import numpy as np
import pytest

from planner.document.batch import (
    AcidityReading,
    Event,
    HydrometerReading,
    RefractometerReading,
    SugarReading,
    WeightReading,
    What,
)
from planner.document.timestamps import parsed
from planner.importing.reading import export_csv
from planner.reference.shipped import samples
from planner.ui.log.cells import Column
from planner.ui.log.when import now

SAMPLES = sorted(path.stem for path in samples().glob("*.meadbatch"))


def plain(text: str) -> str:
    return re.sub("[\u00a0\u2060]", " ", text).replace("\u2212", "-")


def pitched(made):
    """When the batch was pitched; one that was not is pitched now."""
    if made.batch.log.pitched_at is None:
        made.window.curve.form.pitched_now.click()
    return parsed(made.batch.log.pitched_at)


def table_of(made, *gravities, first=40.0):
    """A table that a sensor or a person may have written, after what the sample holds."""
    start = pitched(made)
    rows = ((start + timedelta(days=first + n), gravity) for n, gravity in enumerate(gravities))
    return "time,SG,temp C\n" + "".join(f"{moment.isoformat(timespec='minutes')},{g:.3f},18\n" for moment, g in rows)


def import_file(made, path, count):
    made.window.exchange.import_file(path, made.window.colours)
    dialog = made.window.exchange.dialog
    made.qtbot.waitUntil(
        lambda: len(dialog.result_readings()) == count and dialog.add_button.isEnabled(), timeout=10_000
    )
    dialog.accept()


@pytest.mark.parametrize("sample", SAMPLES)
def test_that_a_log_is_imported_pasted_typed_edited_and_undone_step_by_step(visit, sample, tmp_path, qapp):
    made = visit(sample=sample)
    text = table_of(made, 1.004, 1.003)
    before = made.batch
    count = len(before.log.readings)

    file = tmp_path / "log.csv"
    file.write_text(text, encoding="utf-8")
    import_file(made, file, 2)
    assert len(made.batch.log.readings) == count + 2

    qapp.clipboard().setText(table_of(made, 1.002, first=50.0).replace(",", "\t"))
    made.act("paste_readings")
    dialog = made.window.exchange.dialog
    made.qtbot.waitUntil(lambda: len(dialog.result_readings()) == 1 and dialog.add_button.isEnabled(), timeout=10_000)
    dialog.accept()

    form = made.window.curve.form
    for typed in ("20.5 Bx", "pH 3.4", "12 g/L", "< 2 g/L", "-0.8 kg", "racked"):
        made.type(form.when, "12")
        made.type(form.value, typed)
    added = made.batch.log.readings[count + 3 :]
    assert [type(entry) for entry in added] == [
        RefractometerReading, AcidityReading, SugarReading, SugarReading, WeightReading, Event,
    ]  # fmt: skip
    assert added[3].below
    assert added[5].what is What.RACKING

    model = made.window.curve.table.log_model
    place = count + 4
    assert model.setData(model.index(model.row_of(place), Column.READING), "pH 3.52")
    assert made.batch.log.readings[place].ph == 3.52
    assert len(made.outcome.log) == count + 9

    undo = made.window.store.undo_stack
    while undo.canUndo() and made.batch != before:
        undo.undo()
    assert made.batch == before
    while undo.canRedo():
        undo.redo()
    assert len(made.batch.log.readings) == count + 9
    assert made.outcome.verdict is not None


def test_that_a_batch_is_bottled_in_the_log_and_taken_back_out_of_the_bottles(visit):
    made = visit(sample="raspberry-finished")
    before, form, pane = made.batch, made.window.curve.form, made.window.adjustment
    tasted = parsed(made.batch.tastings[0].at).astimezone()
    made.type(form.when, f"{tasted - timedelta(days=72):%Y-%m-%d %H:%M}")
    made.type(form.value, "bottled 25 x 750 mL")
    entry = made.batch.log.readings[-1]
    assert (entry.what, entry.bottles, entry.size) == (What.BOTTLED, 25, pytest.approx(0.75e-3))
    assert made.outcome.headline.stage == "bottled"
    # Its sugar test leaves more than 2.0 g/L possible, which is said before anything else.
    assert "These bottles may push out their corks" in plain(made.window.curve.headline.sentence.text())
    assert pane.tastings.lines[0].age.text() == "72 days in the bottle"
    made.window.store.undo_stack.undo()
    assert made.batch == before
    assert made.outcome.headline.stage == "adjust"
    assert pane.tastings.lines[0].age.text() == ""


def test_that_a_wrong_sugar_test_is_asked_about_where_it_was_typed_and_settled_by_leaving_it_out(visit):
    made = visit(sample="damson-stopped")
    window, count = made.window, len(made.batch.log.readings)
    acid, headline = made.outcome.mead.before.acid, made.outcome.headline
    form, day = window.curve.form, f"{made.outcome.log[-1].day + 0.3:.1f}"

    made.choose(form.kind, "sugar")
    form.value.setText("1.030")  # a gravity, and the chooser says otherwise
    form.add_button.click()
    assert "reads like a gravity" in form.value.problem_text
    form.when.setText(day)
    form.value.setText("2 g/L")
    form.add_button.click()
    assert isinstance(made.batch.log.readings[-1], SugarReading)

    mead = made.outcome.mead
    assert "disagree" in plain(window.curve.headline.sentence.text())
    assert any(
        "disagree" in str(finding.text) for finding in made.outcome.findings if finding.place == f"log.readings.{count}"
    )
    assert mead.before.acid.typical == pytest.approx(acid.typical, rel=0.15)
    assert mead.before.fermentable.low < 4.0 < 30.0 < mead.before.fermentable.high
    assert made.outcome.verdict.kind not in ("finished", "stalled")

    assert form.kind.currentText() == "as typed"
    form.when.setText(day)
    form.value.setText("1.030")
    form.add_button.click()
    assert isinstance(made.batch.log.readings[-1], HydrometerReading)

    table = window.curve.table.log_model
    table.set_counts([table.row_of(count)], False)
    assert made.outcome.headline.stage == headline.stage
    assert "disagree" not in plain(window.curve.headline.sentence.text())
    assert not any("disagree" in str(finding.text) for finding in made.outcome.findings)


@pytest.mark.parametrize("sample", SAMPLES)
def test_that_a_watched_file_fills_the_log_of_any_sample(visit, sample, tmp_path):
    file = tmp_path / "spindle.csv"
    made = visit(file, sample=sample)
    file.write_text(table_of(made, 1.004, 1.003), encoding="utf-8")
    count = len(made.batch.log.readings)
    made.act("watch_file")
    dialog = made.window.exchange.dialog
    made.qtbot.waitUntil(lambda: len(dialog.result_readings()) == 2 and dialog.add_button.isEnabled(), timeout=10_000)
    assert plain(dialog.add_button.text()) == "Add 2 readings and watch"
    dialog.accept()
    made.qtbot.waitUntil(lambda: len(made.batch.log.readings) == count + 2, timeout=10_000)
    with file.open("a", encoding="utf-8") as growing:
        growing.write(table_of(made, 1.002, first=42.0).splitlines(keepends=True)[1])
    made.qtbot.waitUntil(lambda: len(made.batch.log.readings) == count + 3, timeout=10_000)
    assert made.batch.log.readings[-1].instrument == "spindle"
    assert made.window.status.watched.isVisible()
    assert "3 readings taken" in made.window.status.watched.text()
    made.window.store.undo_stack.undo()
    assert len(made.batch.log.readings) == count + 2
    made.act("stop_watching")
    assert not made.window.status.watched.isVisible()


@pytest.mark.parametrize("sample", SAMPLES)
def test_that_an_exported_log_is_known_again(visit, sample, tmp_path):
    made = visit(sample=sample)
    pitched(made)
    file = tmp_path / "out.csv"
    file.write_text(export_csv(made.batch, made.outcome), encoding="utf-8-sig")
    if not made.batch.log.readings:
        return
    made.window.exchange.import_file(file, made.window.colours)
    dialog = made.window.exchange.dialog
    made.qtbot.waitUntil(lambda: "in the log already" in dialog.sentence.text(), timeout=10_000)
    assert not dialog.add_button.isEnabled()
    dialog.reject()


BAD = {
    "out of order": ("day,SG\n9,1.020\n0,1.090\n3,1.060\n", 3, ""),
    "2 and 0.5": ("day,SG\n0,1.090\n1,2\n2,0.5\n3,1.060\n", 2, "not a specific gravity"),
    "thousands": ("day;SG\n0;1,090\n1;1060\n2;1,050\n", 3, "more than one scale"),
    "Fahrenheit": ("day,SG,temp C\n0,1.090,66\n1,1.080,68\n", 0, "Fahrenheit|°F"),
    "mixed scales": ("day,SG\n0,1.090\n1,20 Bx\n2,1.060\n", 3, "more than one scale"),
    "future": ("", 1, "future"),
}


@pytest.mark.parametrize("name", BAD)
def test_that_bad_input_is_told_and_nothing_enters_by_itself(visit, tmp_path, name):
    made = visit(sample="quince-planned")
    text, count, told = BAD[name]
    if name == "future":
        text = f"time,SG\n{(now() + timedelta(days=30)).isoformat()},1.060\n"
    file = tmp_path / "bad.csv"
    file.write_text(text, encoding="utf-8")
    before = made.batch
    made.window.exchange.import_file(file, made.window.colours)
    dialog = made.window.exchange.dialog
    made.qtbot.waitUntil(lambda: not dialog._recalculator.is_busy and dialog.mapping is not None, timeout=10_000)
    assert len(dialog.result_readings()) == count
    notices = " ".join(notice.text for notice in dialog._answer.notices)
    refused = " ".join((dialog._answer.refused or {}).values())
    assert re.search(told, f"{notices} {refused}")
    dialog.reject()
    assert made.batch == before


@pytest.mark.parametrize("content", [b"", b"\x00\x01\x02\xff" * 300, b"PK\x03\x04" + b"\x00" * 100, None, "gigabyte"],
                         ids=["empty", "binary", "workbook", "missing", "gigabyte"])  # fmt: skip
def test_that_a_file_without_readings_is_a_clear_message_and_the_window_lives(visit, tmp_path, content):
    made = visit(sample="damson-stopped")
    before = made.batch
    file = tmp_path / "strange.csv"
    if content == "gigabyte":
        with file.open("wb") as large:
            large.truncate(1_000_000_000)
    elif content is not None:
        file.write_bytes(content)
    made.window.exchange.import_file(file, made.window.colours)
    dialog = made.window.exchange.dialog
    made.qtbot.waitUntil(lambda: "holds no readings" in dialog._message.text(), timeout=10_000)
    assert dialog.result_readings() == ()
    dialog.reject()
    assert made.batch == before
    made.type(made.window.curve.form.value, "1.020")
    assert len(made.batch.log.readings) == len(before.log.readings) + 1


def test_that_many_readings_are_drawn_and_listed(visit, tmp_path):
    made = visit(sample="damson-stopped")
    start = pitched(made)
    minutes = np.linspace(0.0, 28.0 * 1440.0, 3000)
    gravity = 1.0262 + 0.079 * np.exp(-minutes / 1440.0 / 6.0)
    rows = (
        f"{(start + timedelta(minutes=float(m))).isoformat()},{g:.4f}\n" for m, g in zip(minutes, gravity, strict=True)
    )
    file = tmp_path / "many.csv"
    file.write_text("time,SG\n" + "".join(rows), encoding="utf-8")
    count = len(made.batch.log.readings)
    import_file(made, file, 3000)
    assert made.window.curve.table.log_model.rowCount() == count + 3000
    assert len(made.outcome.log) == count + 3000
    made.window.store.undo_stack.undo()
    assert made.window.curve.table.log_model.rowCount() == count


def test_that_the_curve_counts_by_the_calendar_and_shows_differences_when_asked(visit):
    made = visit(sample="damson-stopped")
    made.qtbot.waitUntil(lambda: made.window.curve.canvas is not None and made.outcome is not None)
    plot = made.window.curve.canvas._plot
    days = [label.get_text() for label in plot.artists.rate.get_xticklabels()]
    made.act("set_axis/dates")
    dates = [label.get_text() for label in plot.artists.rate.get_xticklabels()]
    assert days != dates
    pitched = parsed(made.batch.log.pitched_at)
    assert any(f"{pitched + timedelta(days=week):%b}" in label for label in dates for week in (0, 7, 14))
    assert "date" in plot.artists.rate.get_xlabel()
    assert made.window.settings.axis == "dates"
    made.act("set_level/difference")
    assert "above expected" in plot.artists.gravity.get_ylabel()
    assert np.allclose(plot.artists.expected.get_ydata(), 0.0)
    assert not plot.artists.zone.get_visible()
    made.act("set_level/gravity")
    assert plot.artists.gravity.get_ylabel() == "specific gravity"
    assert plot.artists.zone.get_visible()
