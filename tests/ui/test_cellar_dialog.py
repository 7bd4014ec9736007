"""The window of the cellar on a folder of its own."""

from __future__ import annotations

import os
import shutil

import msgspec
import pytest
import vobject
from PySide6.QtCore import QLocale, QSettings, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

from planner.cellar.row import Row
from planner.document import edits
from planner.document.codec import decode, encode
from planner.reference.shipped import samples
from planner.ui import theme
from planner.ui.cellar.dialog import CellarDialog
from planner.ui.cellar.model import COLUMNS, LATER
from planner.ui.cellar.sketch import draw
from planner.ui.cellar.work import ROUNDS
from planner.ui.settings import Settings
from planner.ui.widgets.remarks import in_words
from planner.units import System
from tests.example_batches import SHELF, plain
from tests.helpers import ScriptedAsk

COLUMN = {column.heading: place for place, column in enumerate(COLUMNS)}


class Desk:
    """A cellar on four samples and a damaged file, and what it asked of the window around it."""

    def __init__(self, qtbot, folder, settings, *answers):
        self.qtbot, self.folder, self.settings = qtbot, folder, settings
        self.ask = ScriptedAsk(*answers)
        self.opened, self.begun, self.compared, self.may = [], [], [], True
        self.dialog = CellarDialog(SHELF, settings, self.ask, self._open, self._begin, self.compared.append)
        qtbot.addWidget(self.dialog)

    def _open(self, path):
        self.opened.append(path.stem)
        return self.may

    def _begin(self, path):
        self.begun.append(path.stem)
        return self.may

    def show(self):
        with self.qtbot.waitExposed(self.dialog):
            self.dialog.show()
        self.wait(lambda: self.dialog.cellar.is_read)

    def wait(self, until):
        self.qtbot.waitUntil(until, timeout=60_000)

    def wait_whole(self):
        self.wait(lambda: not self.dialog.cellar.to_do and not self.dialog._rearranging.isActive())

    @property
    def files(self):
        return [line.path.stem if isinstance(line, Row) else line.text for line in self.dialog.model.lines]

    def choose(self, stem):
        place = self.dialog.model.place_of(self.folder / f"{stem}.meadbatch")
        self.dialog._go_to(place)  # whatever key another test held down last

    def cell(self, stem, heading, role=Qt.ItemDataRole.DisplayRole):
        place = self.dialog.model.place_of(self.folder / f"{stem}.meadbatch")
        return self.dialog.model.index(place, COLUMN[heading]).data(role)

    def row(self, stem):
        return self.dialog.cellar.rows[self.folder / f"{stem}.meadbatch"]

    @property
    def chosen(self):
        row = self.dialog._chosen()
        return None if row is None else row.path.stem


@pytest.fixture
def desk(qtbot, tmp_path, monkeypatch):
    (tmp_path / "data").mkdir()
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))  # so that no test fills the bin of a person
    folder = tmp_path / "batches"
    folder.mkdir()
    for path in samples().glob("*.meadbatch"):
        shutil.copy(path, folder)
    (folder / "hurt.meadbatch").write_bytes(b"{")
    settings = Settings(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat), QLocale("en_GB"))
    settings.cellar = folder
    made = []

    def build(*answers):
        made.append(Desk(qtbot, folder, settings, *answers))
        return made[-1]

    yield build
    for one in made:
        one.dialog.shut_down()


def test_that_all_batches_are_listed_before_any_is_worked_out_and_then_told_of(desk):
    cellar = desk()
    cellar.dialog.cellar._go_on = lambda: None  # as long as nothing is worked out
    cellar.show()
    assert len(cellar.files) == 5
    assert cellar.cell("damson-stopped", "Fruit") == "Damson"
    assert cellar.cell("damson-stopped", "Strength") == LATER
    assert "still being worked out" in cellar.dialog.status.text()
    assert not cellar.dialog.calendar.isEnabled()
    del cellar.dialog.cellar._go_on
    cellar.dialog.cellar._go_on()
    cellar.wait_whole()
    assert all(row.status.members == ROUNDS[-1] for row in cellar.dialog.cellar.rows.values() if not row.is_damaged)
    assert "vol" in cellar.cell("damson-stopped", "Strength")
    assert cellar.cell("damson-stopped", "Stage") == "Has stopped"
    assert cellar.cell("damson-stopped", "What is due next") == "Get it going again"
    assert "warning" in cellar.cell("damson-stopped", "Doubts")
    days = cellar.cell("quince-planned", "When").replace("\u00a0", " ")  # that has no date of pitching yet
    assert days == f"{-cellar.row('quince-planned').status.due.day:.0f} days before pitching"
    cellar.choose("damson-stopped")
    told = cellar.dialog.detail.toPlainText()  # which writes every space as a plain one
    for doubt in cellar.row("damson-stopped").status.doubts:
        assert in_words(doubt.text, cellar.settings.display).replace("\u00a0", " ") in told
    assert cellar.dialog.status.text() == "5 batches, 1 damaged"


def test_that_a_damaged_file_says_so_and_can_only_be_opened_or_moved(desk):
    cellar = desk()
    cellar.show()
    cellar.choose("hurt")
    assert cellar.cell("hurt", "Stage") == "Damaged"
    assert "The file is cut off at line 1" in cellar.dialog.detail.toPlainText()
    assert cellar.dialog.take.isEnabled()
    assert cellar.dialog.remove.isEnabled()
    assert not cellar.dialog.next.isEnabled()
    assert not cellar.dialog.duplicate.isEnabled()


@pytest.mark.parametrize("in_place", [True, False])
def test_that_the_list_follows_the_folder_while_it_is_open(desk, in_place):
    cellar = desk()
    cellar.show()
    path = cellar.folder / "quince-planned.meadbatch"
    changed = encode(msgspec.structs.replace(decode(path.read_bytes()), name="Another name"))
    if in_place:
        path.write_bytes(changed)
    else:
        other = cellar.folder / "other"
        other.write_bytes(changed)
        other.replace(path)
    cellar.wait(lambda: cellar.cell("quince-planned", "Name") == "Another name")
    (cellar.folder / "new.meadbatch").write_bytes(encode(plain()))
    cellar.wait(lambda: "new" in cellar.files)
    (cellar.folder / "hurt.meadbatch").unlink()
    cellar.wait(lambda: "hurt" not in cellar.files)


def test_that_what_is_known_of_a_batch_is_kept_when_another_one_changes(desk):
    cellar = desk()
    cellar.show()
    cellar.wait_whole()
    before = cellar.dialog.cellar.rows[cellar.folder / "damson-stopped.meadbatch"]
    (cellar.folder / "new.meadbatch").write_bytes(encode(plain()))
    cellar.wait(lambda: "new" in cellar.files)
    assert cellar.dialog.cellar.rows[cellar.folder / "damson-stopped.meadbatch"] is before


def test_that_a_closed_cellar_looks_at_nothing_and_one_opened_again_does(desk):
    cellar = desk()
    cellar.show()
    cellar.dialog.hide()
    cellar.dialog.cellar._pool.waitForDone()
    assert not cellar.dialog.cellar._poll.isActive()
    (cellar.folder / "new.meadbatch").write_bytes(encode(plain()))
    cellar.dialog.show()
    cellar.wait(lambda: "new" in cellar.files)


def test_that_a_search_an_order_and_groups_show_what_is_asked_for(desk):
    cellar = desk()
    cellar.show()
    dialog = cellar.dialog
    cellar.qtbot.keyClicks(dialog.search, "rasp")
    assert cellar.files == ["raspberry-finished"]
    assert "1 shown" in dialog.status.text()
    dialog.search.clear()
    dialog.order.show_key("name")
    dialog.group.setCurrentIndex(dialog.group.findData("fruit"))
    dialog.group.activated.emit(dialog.group.currentIndex())
    assert cellar.files == ["Blackcurrant", "blackcurrant-half-way", "Damson", "damson-stopped", "Quince", "quince-planned",
                            "Raspberry", "raspberry-finished", "Damaged files", "hurt"]  # fmt: skip
    assert dialog.table.columnSpan(0, 0) == len(COLUMNS)
    assert dialog.table.columnSpan(1, 0) == 1
    dialog.group.setCurrentIndex(0)
    dialog.group.activated.emit(0)
    assert dialog.table.columnSpan(0, 0) == 1


def test_that_a_heading_sorts_and_pressed_again_turns_the_order_round(desk):
    cellar = desk()
    cellar.show()
    header = cellar.dialog.table.horizontalHeader()
    header.sectionClicked.emit(COLUMN["Name"])
    forth = cellar.files
    assert cellar.dialog.order.key == "name"
    header.sectionClicked.emit(COLUMN["Name"])
    assert cellar.files == forth[::-1]
    assert cellar.dialog.backwards.isChecked()


def test_that_what_is_chosen_stays_chosen_in_another_order(desk):
    cellar = desk()
    cellar.show()
    cellar.choose("quince-planned")
    cellar.dialog.backwards.setChecked(True)
    assert cellar.chosen == "quince-planned"


def test_that_enter_opens_the_chosen_batch_and_the_list_goes_only_if_it_was_opened(desk):
    cellar = desk()
    cellar.show()
    cellar.choose("damson-stopped")
    cellar.may = False
    cellar.qtbot.keyClick(cellar.dialog.table, Qt.Key.Key_Return)
    assert cellar.opened == ["damson-stopped"]
    assert cellar.dialog.isVisible()
    cellar.may = True
    cellar.dialog.next.click()
    assert cellar.begun == ["damson-stopped"]
    assert not cellar.dialog.isVisible()


def test_that_a_duplicate_has_all_but_its_place_in_calendars(desk):
    cellar = desk()
    path = cellar.folder / "damson-stopped.meadbatch"
    original = edits.change_recipe(decode(path.read_bytes()), calendar="its own")
    path.write_bytes(encode(original))
    cellar.show()
    cellar.choose("damson-stopped")
    cellar.dialog.duplicate.click()
    cellar.wait(lambda: cellar.chosen == "damson-stopped copy")
    copied = decode((cellar.folder / "damson-stopped copy.meadbatch").read_bytes())
    assert copied.recipe.calendar == ""
    assert copied.name == f"{original.name} (copy)"
    assert copied.log == original.log
    cellar.choose("damson-stopped")
    cellar.dialog.duplicate.click()
    cellar.wait(lambda: cellar.chosen == "damson-stopped copy (2)")


def test_that_a_batch_goes_to_the_bin_by_a_key_and_comes_back_by_another(desk):
    cellar = desk()
    cellar.show()
    cellar.choose("damson-stopped")
    path = cellar.folder / "damson-stopped.meadbatch"
    content = path.read_bytes()
    cellar.dialog.table.setFocus()
    cellar.qtbot.keyClick(cellar.dialog.table, Qt.Key.Key_Delete)
    cellar.wait(lambda: "damson-stopped" not in cellar.files)
    assert not path.exists()
    assert cellar.chosen is not None
    assert "damson-stopped" in cellar.dialog.undo.text()
    cellar.qtbot.keyClick(cellar.dialog.table, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    cellar.wait(lambda: cellar.chosen == "damson-stopped")
    assert path.read_bytes() == content
    assert not cellar.dialog.undo.isEnabled()


def test_that_a_file_that_went_meanwhile_cannot_be_binned_and_that_is_said(desk):
    cellar = desk()
    cellar.show()
    cellar.choose("damson-stopped")
    (cellar.folder / "damson-stopped.meadbatch").unlink()
    cellar.dialog.remove.click()
    assert "no file" in cellar.ask.told[0]


def test_that_all_that_is_due_goes_into_one_calendar_file(desk, tmp_path):
    cellar = desk(tmp_path / "due.ics")
    cellar.show()
    cellar.wait(lambda: cellar.dialog.calendar.isEnabled())
    cellar.dialog.calendar.click()
    cellar.wait(lambda: "Wrote due.ics" in cellar.dialog.status.text())
    events = vobject.readOne((tmp_path / "due.ics").read_text(encoding="utf-8")).vevent_list
    names = {event.summary.value.split(":")[0] for event in events}
    dated = {row.name for row in cellar.dialog.cellar.rows.values() if row.year is not None}
    assert names == dated


def test_that_where_nothing_is_due_on_a_date_no_file_is_asked_for(desk, tmp_path):
    cellar = desk(tmp_path / "other")
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "a.meadbatch").write_bytes(encode(plain()))
    cellar.show()
    cellar.dialog.choose.click()
    cellar.wait(lambda: cellar.files == ["a"] and cellar.dialog.calendar.isEnabled())
    assert cellar.settings.cellar == tmp_path / "other"
    cellar.dialog.calendar.click()
    cellar.wait(lambda: bool(cellar.ask.told))
    assert "no calendar" in cellar.ask.told[0]


def test_that_a_folder_without_batches_and_one_that_is_gone_are_told(desk, tmp_path):
    cellar = desk(tmp_path / "empty")
    (tmp_path / "empty").mkdir()
    cellar.show()
    cellar.dialog.choose.click()
    cellar.wait(lambda: "no batches" in cellar.dialog.status.text())
    os.rmdir(tmp_path / "empty")
    cellar.wait(lambda: "cannot be looked into" in cellar.dialog.status.text())


def test_that_the_folder_of_the_saved_batches_is_proposed_until_another_is_chosen(tmp_path):
    settings = Settings(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat))
    for name in ("saved", "chosen"):
        (tmp_path / name).mkdir()
    settings.remember_file(tmp_path / "saved" / "a.meadbatch")
    assert settings.cellar == tmp_path / "saved"
    settings.cellar = tmp_path / "chosen"
    settings.remember_file(tmp_path / "saved" / "a.meadbatch")
    assert settings.cellar == tmp_path / "chosen"
    (tmp_path / "chosen").rmdir()
    assert settings.cellar == tmp_path / "saved"


def test_that_figures_follow_the_units_of_the_reader(desk):
    cellar = desk()
    cellar.show()
    cellar.wait_whole()
    assert "kg" in cellar.cell("quince-planned", "What is due next")
    cellar.settings.system = System.US
    cellar.dialog.show_habits()
    assert "lb" in cellar.cell("quince-planned", "What is due next")


def test_that_every_cell_tells_what_it_is_to_those_who_listen(desk):
    cellar = desk()
    cellar.show()
    cellar.wait_whole()
    for heading in COLUMN:
        told = cellar.cell("damson-stopped", heading, Qt.ItemDataRole.AccessibleTextRole)
        assert told.startswith(f"{heading}: ")
    assert "expected to fall from" in cellar.cell("damson-stopped", "Curve", Qt.ItemDataRole.AccessibleTextRole)
    dialog = cellar.dialog
    for widget in (dialog.search, dialog.order, dialog.group, dialog.table, dialog.detail):
        assert widget.accessibleName()


def test_that_tab_leads_to_everything_in_the_order_in_which_it_stands(desk):
    cellar = desk()
    cellar.show()
    cellar.wait_whole()
    dialog = cellar.dialog
    cellar.choose("damson-stopped")
    dialog.choose.setFocus()
    stops = [dialog.search, dialog.order, dialog.backwards, dialog.group, dialog.table, dialog.detail, dialog.take, dialog.next,
             dialog.duplicate, dialog.remove, dialog.calendar, dialog.choose]  # fmt: skip
    for stop in stops:
        dialog.focusNextChild()
        assert QApplication.focusWidget() is stop


def test_that_no_letter_leads_to_two_places(desk):
    dialog = desk().dialog
    texts = [label.text() for label in dialog.findChildren(type(dialog.status))]
    texts += [button.text() for button in (dialog.choose, dialog.take, dialog.next, dialog.duplicate, dialog.remove,
                                           dialog.undo, dialog.calendar, dialog.backwards)]  # fmt: skip
    letters = [text[text.index("&") + 1].casefold() for text in texts if "&" in text]
    assert len(letters) == 11
    assert len(set(letters)) == len(letters)


def test_that_a_batch_that_cannot_be_worked_out_does_not_hide_the_others(desk, monkeypatch):
    from planner.ui.cellar import work

    def fails(batch, *rest):
        if "Damson" in batch.name:
            raise RuntimeError("no course")
        return batch_status(batch, *rest)

    batch_status = work.batch_status
    monkeypatch.setattr(work, "batch_status", fails)
    cellar = desk()
    cellar.show()
    cellar.wait_whole()
    assert "could not be worked out" in cellar.cell("damson-stopped", "What is due next")
    assert not cellar.dialog.cellar.rows[cellar.folder / "damson-stopped.meadbatch"].is_damaged
    assert "vol" in cellar.cell("raspberry-finished", "Strength")


def test_that_what_is_late_says_since_when(desk):
    cellar = desk()
    path = cellar.folder / "honey.meadbatch"
    path.write_bytes(encode(plain(fruits=(), pitch_planned="2020-01-05T12:00+00:00")))
    cellar.show()
    cellar.wait_whole()
    assert cellar.cell("honey", "When").replace("\u00a0", " ") == "since 5 Jan 2020"


@pytest.mark.parametrize("dark", [False, True])
def test_that_a_small_curve_is_drawn_in_the_colours_of_the_curve(desk, dark):
    cellar = desk()
    cellar.show()
    cellar.wait_whole()
    row = cellar.dialog.cellar.rows[cellar.folder / "damson-stopped.meadbatch"]
    tones = theme.colours(dark)
    image = QImage(120, 40, QImage.Format.Format_RGB32)
    image.fill(tones.base)
    painter = QPainter(image)
    draw(painter, row.status.sketch, image.rect().toRectF().adjusted(4, 4, -4, -4), tones)
    painter.end()
    found = {image.pixelColor(x, y).name() for x in range(120) for y in range(40)}
    assert {tones.expected, tones.logged} <= found


def test_that_several_batches_are_chosen_to_be_compared_and_to_nothing_else(desk):
    made = desk()
    made.show()
    made.wait_whole()
    made.choose("damson-stopped")
    assert not made.dialog.compare.isEnabled()
    made.dialog._select([made.folder / "raspberry-finished.meadbatch"])
    assert made.dialog.compare.isEnabled()
    assert not any(
        button.isEnabled() for button in (made.dialog.take, made.dialog.next, made.dialog.duplicate, made.dialog.remove)
    )
    made.dialog.arrange()  # what is chosen stays chosen
    made.dialog.search.setText("26")
    assert len(made.dialog.selected) == 2
    made.dialog.compare.click()
    assert sorted(path.stem for path in made.compared[0]) == ["damson-stopped", "raspberry-finished"]
