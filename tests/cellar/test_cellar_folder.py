"""A folder of batches as its files tell it, without anything worked out."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings

from planner.cellar.folder import look
from planner.document import edits
from planner.document.batch import Event, Tasting, What
from planner.document.codec import SUFFIX, encode
from planner.evaluation.headline import STAGES
from tests.example_batches import PITCHED, SHELF, full, plain, read, with_log
from tests.random_batches import batches


def put(folder, name, batch):
    path = folder / f"{name}{SUFFIX}"
    path.write_bytes(batch if isinstance(batch, bytes) else encode(batch))
    return path


def rows(folder, known=()):
    return look(folder, {row.path: row for row in known}, SHELF)


def test_that_every_batch_of_the_folder_is_listed_by_its_file_and_nothing_else(tmp_path):
    put(tmp_path, "b", plain())
    put(tmp_path, "a", full())
    (tmp_path / "notes.txt").write_text("no batch", encoding="utf-8")
    (tmp_path / f"folder{SUFFIX}").mkdir()
    assert [row.path.name for row in rows(tmp_path)] == [f"a{SUFFIX}", f"b{SUFFIX}"]


@pytest.mark.parametrize(
    ("content", "why"),
    [(b"", "empty"), (b'{"format": 1,\n oh', "line 2"), (b"[]", "not a batch"), (b"\xff\xfe", "not a batch file")],
)
def test_that_a_damaged_file_is_listed_with_what_is_wrong(tmp_path, content, why):
    path = put(tmp_path, "hurt", content)
    (row,) = rows(tmp_path)
    assert row.is_damaged
    assert why in row.trouble
    assert row.name == "hurt"
    assert path.read_bytes() == content


@pytest.mark.parametrize(
    ("batch", "stage"),
    [
        (plain(), "plan"),
        (with_log(plain(), pitched_at=PITCHED), "ferment"),
        (with_log(plain(), read(3.0, 1.080)), "ferment"),
        (with_log(plain(), Event(day=60.0, what=What.STABILISED), pitched_at=PITCHED), "adjust"),
        (with_log(plain(), Event(day=90.0, what=What.BOTTLED), pitched_at=PITCHED), "bottled"),
        (with_log(plain(), Event(day=90.0, what=What.BOTTLED, excluded=True), pitched_at=PITCHED), "ferment"),
    ],
)
def test_that_the_log_tells_the_stage(tmp_path, batch, stage):
    put(tmp_path, "a", batch)
    assert rows(tmp_path)[0].stage == stage


def test_that_the_main_fruit_comes_first_and_the_year_is_that_of_the_pitching(tmp_path):
    batch = with_log(full(), pitched_at="2024-09-01T12:00+02:00")
    put(tmp_path, "a", batch)
    (row,) = rows(tmp_path)
    heaviest = max(batch.recipe.fruits, key=lambda line: line.mass)
    assert row.fruits[0] == SHELF.fruit(heaviest.key).name
    assert row.year == 2024


def test_that_a_search_finds_words_of_notes_and_tastings(tmp_path):
    put(tmp_path, "a", msgspec.structs.replace(plain(), notes="From the Hedge", tastings=(Tasting(note="Like SMOKE"),)))
    words = rows(tmp_path)[0].words
    assert "from the hedge" in words
    assert "like smoke" in words


def test_that_only_what_changed_is_read_again(tmp_path):
    put(tmp_path, "a", plain())
    put(tmp_path, "b", plain())
    before = rows(tmp_path)
    put(tmp_path, "b", msgspec.structs.replace(plain(), name="Renamed, and so longer"))
    after = rows(tmp_path, before)
    assert after[0] is before[0]
    assert after[1].name == "Renamed, and so longer"


def test_that_two_batches_of_one_name_are_two_in_calendars_and_each_the_same_at_each_reading(tmp_path):
    put(tmp_path, "a", plain())
    put(tmp_path, "b", plain())
    put(tmp_path, "c", edits.change_recipe(plain(), calendar="its own"))
    first, second, third = (row.identity for row in rows(tmp_path))
    assert first != second
    assert third == "its own"
    assert [row.identity for row in rows(tmp_path)] == [first, second, third]


def test_that_a_folder_that_is_not_there_is_an_error(tmp_path):
    with pytest.raises(FileNotFoundError):
        rows(tmp_path / "none")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(batches())
def test_that_any_batch_that_a_file_can_hold_is_a_row(tmp_path, batch):
    put(tmp_path, "a", batch)
    (row,) = rows(tmp_path)
    assert row.stage in STAGES
    assert row.name == batch.name
