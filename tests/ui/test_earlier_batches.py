"""The window of what earlier batches teach, and its section in the recipe pane."""

from __future__ import annotations

import msgspec
import pytest
from made_batches import SHELF, batch, having, logged
from PySide6.QtCore import QLocale, QSettings

from planner.document import edits
from planner.document.batch import TemperatureStep
from planner.document.codec import SUFFIX, encode
from planner.document.learnt import Learning, Source, Told
from planner.learning.folder import read_folder
from planner.learning.learnt_text import told
from planner.learning.pool import taught_by
from planner.ui.display import Display
from planner.ui.recipe.earlier_batches import LearningDialog
from planner.ui.recipe.pane import RecipePane
from planner.ui.settings import Settings
from planner.ui.store import BatchStore
from planner.ui.theme import LIGHT
from planner.ui.widgets.remarks import in_words
from planner.units import System
from tests.helpers import ScriptedAsk


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Three batches that were made, one of them warm, and a damaged file."""
    place = tmp_path_factory.mktemp("batches")
    warm = having(batch(), temperatures=(TemperatureStep(day=0.0, temperature=297.15),))
    for name, made in (
        ("first", logged(batch(), warm)),
        ("second", logged(batch(), noise=0.0005)),
        ("third", logged(batch())),
    ):
        (place / f"{name}{SUFFIX}").write_bytes(encode(msgspec.structs.replace(made, name=f"The {name}")))
    (place / f"torn{SUFFIX}").write_bytes(b"{")
    return place


@pytest.fixture
def store():
    return BatchStore(batch())


@pytest.fixture
def dialog(qtbot, tmp_path, folder, store):
    settings = Settings(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat), QLocale("en_GB"))
    settings.learning = folder
    made = LearningDialog(store, SHELF, settings, ScriptedAsk(folder), lambda: folder / f"third{SUFFIX}")
    store.changed.connect(made.show_batch)
    made.show_batch(store.batch)
    qtbot.addWidget(made)
    with qtbot.waitExposed(made):
        made.show()
    yield made
    made.shut_down()


def read(qtbot, dialog):
    with qtbot.waitSignal(dialog.reader.done, timeout=60_000):
        dialog.read.click()


def test_that_a_folder_is_read_without_the_batch_itself_and_one_step_back_forgets_it(qtbot, dialog, store):
    read(qtbot, dialog)
    assert [source.name for source in store.batch.learning.sources] == ["The first", "The second"]
    assert [box.text() for box in dialog.boxes] == ["The first", "The second"]
    assert f"torn{SUFFIX}" in dialog.status.text()
    assert dialog.texts() == [in_words(words, Display()) for words in told(store.batch, SHELF)]
    store.undo_stack.undo()
    assert store.batch == batch()


def test_that_the_switch_leaves_all_of_it_out_and_a_box_one_batch(qtbot, dialog, store):
    read(qtbot, dialog)
    whole = store.batch.learning
    dialog.boxes[0].click()
    assert store.batch.learning.sources[0].left_out
    assert store.batch.learning.values != whole.values
    store.undo_stack.undo()
    assert store.batch.learning == whole
    dialog.used.click()
    assert not store.batch.learning.used
    assert not any(box.isEnabled() for box in dialog.boxes)


def test_that_a_reading_that_was_called_off_changes_nothing(qtbot, dialog, store):
    dialog.reader.cancel()
    with qtbot.waitSignal(dialog.reader.done, timeout=60_000) as ended:
        dialog.read.click()
        dialog.cancel.click()
    assert ended.args == [None]
    assert store.batch == batch()
    assert "cancelled the reading" in dialog.status.text()


def test_that_a_folder_that_is_gone_is_told(qtbot, dialog, store, tmp_path):
    with qtbot.waitSignal(dialog.reader.done, timeout=60_000):
        dialog.reader.read(tmp_path / "gone", store.batch, None)
    assert "cannot be looked into" in dialog.status.text()


def test_that_another_folder_can_be_chosen_and_is_remembered(dialog, folder):
    dialog.choose.click()
    assert dialog._settings.learning == folder
    assert dialog.folder.text_shown() == str(folder)


def test_that_a_file_that_has_not_changed_is_not_read_again(folder):
    known = {}
    first = read_folder(folder, batch(), SHELF, known)
    again = read_folder(folder, batch(), SHELF, known)
    assert all(one is other for one, other in zip(first.sources, again.sources, strict=True))


def test_that_a_reading_goes_on_only_as_long_as_it_is_wanted(folder):
    steps = []

    def went(number, of):
        steps.append((number, of))
        return number < 1

    assert read_folder(folder, batch(), SHELF, {}, went=went) is None
    assert steps == [(0, 4), (1, 4)]


TAUGHT = taught_by(
    batch(), [Source(name=name, told=(Told(trait="pace", of="all-rounder", value=0.25, sd=0.08),)) for name in "abcd"]
)


def test_that_the_recipe_pane_tells_from_how_many_and_leaves_it_out(qtbot):
    store = BatchStore(edits.learn(batch(), TAUGHT))
    pane = RecipePane(store, SHELF, Display(), LIGHT)
    qtbot.addWidget(pane)
    store.changed.connect(pane.show_batch)
    section = pane.learning
    assert section.summary.text_shown() == "learnt from 4 batches"
    section.disclosure.setChecked(True)
    assert "faster" in section.text.text()
    section.used.click()
    assert not store.batch.learning.used
    assert section.summary.text_shown() == "left out"
    with qtbot.waitSignal(pane.learning_wanted):
        section.open.click()


def test_that_the_yeast_stops_where_earlier_batches_say(qtbot):
    told = Told(trait="tolerance", of="all-rounder", value=0.02, sd=0.004)
    stronger = edits.learn(
        batch(), taught_by(batch(), [Source(name="a", told=(told,)), Source(name="b", told=(told,))])
    )
    store = BatchStore(batch())
    pane = RecipePane(store, SHELF, Display(), LIGHT)
    qtbot.addWidget(pane)
    store.changed.connect(pane.show_batch)
    before = pane.yeast.text.text()
    store.edit(stronger, "learn")
    assert pane.yeast.text.text() != before
    store.undo_stack.undo()
    assert pane.yeast.text.text() == before


def test_that_without_anything_learnt_there_is_nothing_to_switch(qtbot):
    pane = RecipePane(BatchStore(batch()), SHELF, Display(), LIGHT)
    qtbot.addWidget(pane)
    pane.learning.disclosure.setChecked(True)
    assert pane.learning.used.isHidden()
    assert pane.learning.summary.text_shown() == "nothing learnt"


def test_that_figures_follow_the_readers_units(dialog, store):
    dialog.set_display(Display(system=System.US))
    store.edit(edits.learn(batch(), TAUGHT), "learn")
    assert dialog.texts() == [in_words(words, Display(system=System.US)) for words in told(store.batch, SHELF)]
    store.edit(edits.learn(batch(), Learning()), "forget")
    assert dialog.boxes == []
